/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * safeguard: see safeguard.h.  A safeguard is a change of the plant, faults of its own included:
 * what can fail is listed anew for each.
 */
#include "safeguard.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "cases.h"
#include "screen.h"
#include "text.h"

static const double ABOVE = 0.02;      /* m, of a float valve above the stop switch */
static const double LIP_ABOVE = 0.025; /* m; NHBC Standards 2020, 8.1.4 */
static const double LEAK = 5e-5;       /* m3 that a leak sensor needs; assumption */
static const double TWICE = 2.0; /* a timer allows so many times the longest run; common practice */

/* ---- what could be added ----------------------------------------------------------------------
 */

/* Half-way from where filling stops to where the tank runs over. */
static double half_way_up(const struct plant *p)
{
    const double top =
        p->tank.overflow.kind == OVERFLOW_NONE ? p->tank.height : p->tank.overflow.lip;
    return 0.5 * (p->fill.off_at + top);
}

static bool add_high_switch(struct plant *p, const struct overflow_found *f, char *words)
{
    (void)f;
    if (p->fill.high_switch && p->fill.guard_valve)
        return false;
    if (!p->fill.high_switch)
        p->fill.high_at = half_way_up(p);
    p->fill.high_switch = p->fill.guard_valve = true;
    snprintf(words, SAFEGUARD_WORDS, "high switch at %.1f cm with a valve of its own",
             100.0 * p->fill.high_at);
    return true;
}

static bool add_leak_sensor(struct plant *p, const struct overflow_found *f, char *words)
{
    (void)f;
    if (p->fill.leak_sensor && p->fill.guard_valve)
        return false;
    if (!p->fill.leak_sensor)
        p->fill.leak_volume = LEAK;
    p->fill.leak_sensor = p->fill.guard_valve = p->fill.leak_latches = true;
    snprintf(words, SAFEGUARD_WORDS, "leak sensor under the tank with a valve of its own");
    return true;
}

static bool add_float_valve(struct plant *p, const struct overflow_found *f, char *words)
{
    (void)f;
    const double at = p->fill.off_at + ABOVE;
    if (p->fill.float_valve || at >= p->tank.height)
        return false;
    p->fill.float_valve = true;
    p->fill.valve.shuts_at = at;
    snprintf(words, SAFEGUARD_WORDS, "float valve on the product that shuts at %.1f cm",
             100.0 * at);
    return true;
}

/* The smallest usual bore that takes the most that comes in, dependably and below the rim. */
static bool add_overflow_pipe(struct plant *p, const struct overflow_found *f, char *words)
{
    static const double bores[] = { 0.019, 0.025, 0.032, 0.040, 0.050 }; /* m */
    const double lip = p->fill.off_at + LIP_ABOVE;
    if (p->tank.overflow.kind != OVERFLOW_NONE &&
        overflow_dependable(&p->tank.overflow, p->tank.height, 1.0) >= f->worst_inflow)
        return false;
    for (size_t i = 0; i < sizeof bores / sizeof bores[0]; i++) {
        const struct overflow o = { .kind = OVERFLOW_STANDPIPE,
                                    .lip = lip,
                                    .bore = bores[i],
                                    .fall = 0.5,
                                    .length = 1.0,
                                    .meniscus = 3e-3 };
        if (lip + bores[i] >= p->tank.height ||
            overflow_dependable(&o, p->tank.height, 1.0) < f->worst_inflow)
            continue;
        p->tank.overflow = o;
        snprintf(words, SAFEGUARD_WORDS, "overflow pipe of %.0f mm to a drain, lip at %.1f cm",
                 1e3 * o.bore, 100.0 * lip);
        return true;
    }
    return false;
}

static bool add_run_timer(struct plant *p, const struct overflow_found *f, char *words)
{
    char span[SCREEN_CELL];
    if (p->fill.run_timer || !p->fill.switches || !(f->least_inflow > 0.0))
        return false;
    const double fill =
        tank_volume(&p->tank, p->fill.off_at) - tank_volume(&p->tank, p->fill.on_at);
    p->fill.run_timer = p->fill.timer_latches = true;
    p->fill.longest_run = TWICE * fill / f->least_inflow;
    snprintf(words, SAFEGUARD_WORDS, "run timer of %s on the feed solenoid",
             screen_span(p->fill.longest_run, span));
    return true;
}

static bool add_topoff_timer(struct plant *p, const struct overflow_found *f, char *words)
{
    char span[SCREEN_CELL];
    (void)f;
    if (p->topoff.kind != TOPOFF_PUMP || isfinite(p->topoff.longest_run))
        return false;
    p->topoff.longest_run = TWICE * p->topoff.off_above * p->basin.surface / p->topoff.flow;
    p->topoff.latches = true;
    snprintf(words, SAFEGUARD_WORDS, "longest run of %s for the top-off pump",
             screen_span(p->topoff.longest_run, span));
    return true;
}

static bool add_drip_pan(struct plant *p, const struct overflow_found *f, char *words)
{
    (void)f;
    if (p->fill.drip_pan)
        return false;
    p->fill.drip_pan = true;
    p->fill.pan_volume = 0.01;
    snprintf(words, SAFEGUARD_WORDS, "drip pan of 10 L under the tank");
    return true;
}

typedef bool add_safeguard(struct plant *p, const struct overflow_found *f, char *words);

static add_safeguard *const safeguards[] = { add_high_switch,   add_leak_sensor, add_float_valve,
                                             add_overflow_pipe, add_run_timer,   add_topoff_timer,
                                             add_drip_pan };

enum { SAFEGUARDS = sizeof safeguards / sizeof safeguards[0] };

/* ---- what it buys -----------------------------------------------------------------------------
 */

static void sum_up(const struct overflow_found *f, struct safeguard_row *row)
{
    row->chance = f->chances.spill;
    for (int i = 0; i < f->chances.rows; i++) {
        const struct chance_row *r = &f->chances.row[i];
        if (!r->harm[HARM_TANK] && !r->harm[HARM_SERVED])
            continue;
        row->floor = fmax(row->floor, r->set->worst.floor);
        row->singles += r->set->count == 1;
        row->pairs += r->set->count == 2;
    }
}

static enum status find_with(const struct scenario *s, const struct overflow_options *given,
                             const char *name, struct safeguard_row *row)
{
    struct overflow_options options = *given;
    options.name = name;
    struct overflow_found *f = calloc(1, sizeof *f);
    if (!f)
        return STATUS_MEMORY;
    const enum status status = overflow_find(f, s, &options);
    if (status == STATUS_OK)
        sum_up(f, row);
    overflow_free(f);
    free(f);
    return status;
}

/* Less often, and of equals less on the floor, comes first. */
static int by_gain(const void *a, const void *b)
{
    const struct safeguard_row *x = a, *y = b;
    if (x->chance.mean != y->chance.mean)
        return (x->chance.mean > y->chance.mean) - (x->chance.mean < y->chance.mean);
    return (x->floor > y->floor) - (x->floor < y->floor);
}

/* The best two together, if they change different things. */
static enum status try_both(const struct overflow_found *found,
                            const struct overflow_options *options, struct scenario *s,
                            struct safeguards *out)
{
    char words[2][SAFEGUARD_WORDS];
    s->plant = found->scenario->plant;
    for (int k = 0; k < 2; k++)
        for (int i = 0; i < SAFEGUARDS; i++) {
            struct plant trial = found->scenario->plant;
            char would[SAFEGUARD_WORDS];
            if (safeguards[i](&trial, found, would) && strcmp(would, out->row[k].words) == 0 &&
                !safeguards[i](&s->plant, found, words[k]))
                return STATUS_OK;
        }
    out->two = true;
    snprintf(out->both.words, SAFEGUARD_WORDS, "the first two together");
    return find_with(s, options, "best two", &out->both);
}

enum status safeguard_try(const struct overflow_found *found, const struct overflow_options *given,
                          struct safeguards *out)
{
    struct progress_stage stage = { given->progress, given->progress_self, SAFEGUARD_BEFORE,
                                    SAFEGUARD_BEFORE };
    struct overflow_options options = *given;
    options.progress = progress_stage_show;
    options.progress_self = &stage;
    memset(out, 0, sizeof *out);
    snprintf(out->without.words, SAFEGUARD_WORDS, "as it is");
    sum_up(found, &out->without);
    struct scenario *s = malloc(sizeof *s);
    if (!s)
        return STATUS_MEMORY;
    *s = *found->scenario; /* what it owns stays the other's */
    enum status status = STATUS_OK;
    for (int i = 0; i < SAFEGUARDS && status == STATUS_OK; i++) {
        s->plant = found->scenario->plant;
        struct safeguard_row *row = &out->row[out->rows];
        if (!safeguards[i](&s->plant, found, row->words))
            continue;
        out->rows++;
        char name[CASES_NAME];
        snprintf(name, sizeof name, "safeguard %d", i + 1);
        progress_stage_next(&stage, 1.0, SAFEGUARDS - i);
        status = find_with(s, &options, name, row);
    }
    qsort(out->row, (size_t)out->rows, sizeof out->row[0], by_gain);
    /* a part does not know which are the best: whoever gathers tries them */
    if (status == STATUS_OK && out->rows > 1 && !cases_partial(options.cases)) {
        progress_stage_next(&stage, 1.0, 0.0);
        status = try_both(found, &options, s, out);
    }
    free(s);
    return status;
}

/* ---- words ------------------------------------------------------------------------------------
 */

static void tell(const struct safeguard_row *r, FILE *out)
{
    char words[SCREEN_TEXT] = "", chance[CHANCE_WORDS], litres[SCREEN_CELL];
    fputs("  - ", out);
    text_append(words, sizeof words,
                "%s: %s; at most %s on the floor; %d fault%s and %d pair%s spill", r->words,
                chance_words(&r->chance, chance), screen_litres(r->floor, litres), r->singles,
                r->singles == 1 ? "" : "s", r->pairs, r->pairs == 1 ? "" : "s");
    screen_wrap(out, 4, 4, words);
}

void safeguard_print(const struct safeguards *s, FILE *out)
{
    fputs("\nWHAT A FURTHER SAFEGUARD WOULD BUY, the best first; its own faults included\n", out);
    tell(&s->without, out);
    for (int i = 0; i < s->rows; i++)
        tell(&s->row[i], out);
    if (s->two)
        tell(&s->both, out);
    if (s->rows == 0)
        fputs("  everything on the list is there already\n", out);
}

static json_t *row_json(const struct safeguard_row *r)
{
    return json_pack("{s:s, s:f, s:f, s:f, s:f, s:i, s:i}", "safeguard", r->words, "mean_a_year",
                     r->chance.mean, "low_a_year", r->chance.low, "high_a_year", r->chance.high,
                     "floor_L", 1e3 * r->floor, "faults_that_spill", r->singles, "pairs_that_spill",
                     r->pairs);
}

json_t *safeguard_json(const struct safeguards *s)
{
    json_t *rows = json_array();
    json_array_append_new(rows, row_json(&s->without));
    for (int i = 0; i < s->rows; i++)
        json_array_append_new(rows, row_json(&s->row[i]));
    if (s->two)
        json_array_append_new(rows, row_json(&s->both));
    return rows;
}
