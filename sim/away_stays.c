/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * away_stays: the span without any fault, from every moment of a year; water only.
 */
#include <math.h>
#include <stdlib.h>

#include "away_inner.h"
#include "channel.h"

struct look {
    struct away_stay *stay;
    double made; /* m3 made before */
};

static void see(void *self, const struct glimpse *g)
{
    const struct look *l = self;
    struct away_stay *s = l->stay;
    s->made = g->x[X_PRODUCT] - l->made;
    s->tank_least = fmin(s->tank_least, g->signals->tank_level);
    if (!g->plant->has_basin)
        return;
    s->served_least = fmin(s->served_least, basin_level(&g->plant->basin, g->x[X_BASIN]));
    s->salinity_most = fmax(s->salinity_most, channel_salinity(g));
}

static struct away_stay stay_fresh(void)
{
    return (struct away_stay){ .damage = campaign_unhurt(),
                               .tank_least = INFINITY,
                               .served_least = INFINITY };
}

static void work(void *self, long i)
{
    struct away_stays *s = self;
    const struct trial t = { .moment = (int)i };
    const struct moment_saved *m = campaign_moment(s->campaign, (int)i);
    s->stay[i] = stay_fresh();
    struct look l = { &s->stay[i], m->saved.state.x[X_PRODUCT] };
    const struct observer o = { see, &l };
    s->stay[i].damage = campaign_try(s->campaign, &t, &o);
}

enum status away_try_stays(struct campaign *c, double span, struct away_stays *out)
{
    out->campaign = c;
    campaign_set_span(c, span);
    if (!campaign_all(c, campaign_moments(c), work, out))
        return STATUS_INTERRUPTED;
    for (int i = 0; i < campaign_moments(c); i++)
        TRY(out->stay[i].damage.status);
    return STATUS_OK;
}

static double short_after(const struct damage *d)
{
    return sets_begins(d, HARM_DRY);
}

static double wrong_after(const struct damage *d)
{
    return fmin(short_after(d), fmin(d->spill, d->basin_spill));
}

static bool is_worse(const struct away_stay *s, const struct away_stay *than)
{
    const double a = wrong_after(&s->damage), b = wrong_after(&than->damage);
    return a != b ? a < b : s->tank_least < than->tank_least;
}

static void worsen(struct away_stay *w, const struct away_stay *s)
{
    struct damage *d = &w->damage;
    d->spill = fmin(d->spill, s->damage.spill);
    d->basin_spill = fmin(d->basin_spill, s->damage.basin_spill);
    d->overflow = fmin(d->overflow, s->damage.overflow);
    d->dry = fmin(d->dry, s->damage.dry);
    d->low = fmin(d->low, s->damage.low);
    d->floor = fmax(d->floor, s->damage.floor);
    d->salinity = fmin(d->salinity, s->damage.salinity);
    w->tank_least = fmin(w->tank_least, s->tank_least);
    w->served_least = fmin(w->served_least, s->served_least);
    w->salinity_most = fmax(w->salinity_most, s->salinity_most);
    w->made = fmax(w->made, s->made);
}

static void sum_up_stays(const struct away_stays *s, struct away_measure *m)
{
    m->worst = stay_fresh();
    for (int i = 0; i < campaign_moments(s->campaign); i++) {
        worsen(&m->worst, &s->stay[i]);
        if (is_worse(&s->stay[i], &s->stay[m->worst_moment]))
            m->worst_moment = i;
    }
}

static void sum_up_reserve(const struct away_stays *s, struct away_measure *m)
{
    m->lasts_least = INFINITY;
    m->lasts_most = 0.0;
    for (int i = 0; i < campaign_moments(s->campaign); i++) {
        const double lasts = short_after(&s->stay[i].damage);
        if (lasts < m->lasts_least) {
            m->lasts_least = lasts;
            m->lasts_moment = i;
        }
        m->lasts_most = fmax(m->lasts_most, lasts);
    }
}

bool away_salt_within(const struct away_stay *s, const struct limits *l)
{
    const bool low = isfinite(s->damage.salinity) && s->damage.salinity < l->salinity_low;
    return !low && !(s->salinity_most > l->salinity_high);
}

enum status away_try_without_fault(struct away *a, struct campaign *c, struct away_measure *m)
{
    struct away_stays *s = malloc(sizeof *s);
    if (!s)
        return STATUS_MEMORY;
    enum status status = away_try_stays(c, a->horizon, s);
    if (status == STATUS_OK) {
        sum_up_reserve(s, m);
        status = away_try_stays(c, a->span, s);
    }
    if (status == STATUS_OK) {
        sum_up_stays(s, m);
        m->holds = isinf(wrong_after(&m->worst.damage)) &&
                   away_salt_within(&m->worst, &a->scenario->plan.limits);
    }
    free(s);
    return status;
}
