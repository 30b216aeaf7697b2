/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * overflow: see overflow.h.
 */
#include "overflow.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "cases.h"
#include "memory.h"

static const double DAY = 86400.0;  /* s */
static const double ORIFICE = 0.62; /* discharge coefficient of an open end */

/* What an open end of the supply's bore lets out at the highest pressure. */
static double burst_of(const struct plant *p)
{
    const double bore = p->line.supply_bore;
    return ORIFICE * M_PI / 4.0 * bore * bore *
           sqrt(2.0 * cycle_highest(&p->feed.pressure) / 1000.0);
}

/* Everything works and water is called for, but the supply surges. */
static struct settings surging(void)
{
    struct settings set;
    settings_init(&set);
    for (int i = 0; fault_modes[i].part; i++)
        if (fault_modes[i].offset == offsetof(struct settings, health.surge))
            set.health.surge = fault_modes[i].preset;
    set.call = true;
    return set;
}

struct inflow overflow_inflow(const struct plant *p)
{
    struct inflow in = { .least = INFINITY };
    struct state *s = memory_zeroed(sizeof *s);
    if (!s)
        return in;
    plant_start(p, s);
    const struct settings set = surging();
    for (int day = 0; day < 365; day += 5) {
        struct signals sig;
        double x[X_COUNT] = { 0.0 }, dx[X_COUNT];
        s->t = DAY * day;
        const double usual = plant_filling(p, s).product_flow;
        plant_evaluate(p, &set, s, s->t, x, &sig, dx);
        in.least = fmin(in.least, usual);
        in.most = fmax(in.most, usual);
        in.worst = fmax(in.worst, sig.product_flow);
    }
    free(s);
    return in;
}

/* All parts of a campaign must start from the same moments, to the bit. */
static enum status same_normal_year(const struct campaign *c)
{
    double number[1 + MOMENTS_MAX * (1 + X_COUNT)];
    size_t n = 0;
    number[n++] = campaign_cycle(c);
    for (int i = 0; i < campaign_moments(c); i++) {
        const struct moment_saved *m = campaign_moment(c, i);
        number[n++] = m->t;
        memcpy(&number[n], m->saved.state.x, sizeof m->saved.state.x);
        n += X_COUNT;
    }
    return cases_agree(c, "normal year", number, n * sizeof number[0]);
}

enum status overflow_find(struct overflow_found *f, const struct scenario *s,
                          const struct overflow_options *options)
{
    *f = (struct overflow_found){ .scenario = s };
    f->span = options->span > 0.0 ? options->span : s->plan.risk.unattended;
    const struct campaign_options campaign = { .span = f->span,
                                               .jobs = options->jobs,
                                               .progress = progress_stage_show,
                                               .progress_self = &f->stage,
                                               .stage = &f->stage,
                                               .stop = options->stop,
                                               .cases = options->cases,
                                               .name = options->name };
    f->stage = (struct progress_stage){ options->progress, options->progress_self, 0.0, 0.0 };
    const struct inflow in = overflow_inflow(&s->plant);
    f->least_inflow = in.least;
    f->burst_product = in.most;
    f->worst_inflow = in.worst;
    f->burst_supply = burst_of(&s->plant);
    TRY(campaign_create(&s->plant, &s->plan, &campaign, &f->campaign));
    TRY(same_normal_year(f->campaign));
    TRY(sets_search(&f->sets, f->campaign, &s->plant, options->triples));
    if (cases_partial(options->cases))
        return STATUS_OK;
    return chance_reckon(&f->chances, &f->sets, &s->plan, 1.0 / campaign_cycle(f->campaign),
                         options->seed);
}

void overflow_free(struct overflow_found *f)
{
    chance_free(&f->chances);
    sets_free(&f->sets);
    campaign_free(f->campaign);
    f->campaign = NULL;
}
