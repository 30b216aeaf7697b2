/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * life: what follows the tape of a year against runs that follow everything.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#include "sim/life.h"
#include "sim/scenario.h"

static const double DAY = 86400.0; /* s */

/* The same ends, from a run that follows everything. */
struct watched {
    struct caught jug;
    double product, litres, day, limit;
};

static void see(void *self, const struct glimpse *g)
{
    struct watched *w = self;
    const struct readings *r = &g->state->readings;
    double c[SPECIES_COUNT];
    if (g->moment != MOMENT_PARCEL)
        return;
    const double product = g->x[g->plant->has_bladder ? X_DELIVERED : X_PRODUCT];
    if (first_catch(&w->jug, product - w->product, r->product_c, c) && isnan(w->day) &&
        first_meter(g->plant, c) >= w->limit) {
        w->day = g->t / DAY;
        w->litres = 1e3 * product;
    }
    w->product = product;
}

/* What everything followed comes to, from the same scenario without visits and dated events. */
static struct watched run_all(const struct scenario *s)
{
    struct watched w = { .day = NAN, .limit = s->plan.limits.product };
    if (isnan(w.limit))
        w.limit = 1e-3;
    static struct plan plan;
    plan = s->plan;
    plan.events = 0;
    plan.visits.every = INFINITY;
    plan.commissioning.at_start = false;
    plan.record = 1e9;
    const struct observer o = { see, &w };
    const struct run_options options = { .observers = &o, .observer_count = 1 };
    struct run_figures figures;
    char words[RUN_WORDS];
    cr_assert_eq(run_simulate(&s->plant, &plan, &options, &figures, words), STATUS_OK);
    return w;
}

static struct life follow(const struct scenario *s, struct life_options o)
{
    struct tape tape;
    struct life life;
    o.horizon = o.horizon > 0.0 ? o.horizon : 3.0 * 365.0 * DAY;
    cr_assert_eq(tape_record(&tape, &s->plant, &s->plan), STATUS_OK);
    cr_assert_eq(life_follow(&life, &s->plant, &s->plan, &tape, &o), STATUS_OK);
    tape_free(&tape);
    return life;
}

static void load(const char *name, struct scenario *s)
{
    char path[200];
    snprintf(path, sizeof path, "scenarios/%s.cfg", name);
    struct report *report = report_create();
    cr_assert_eq(scenario_load(path, NULL, s, report), STATUS_OK);
    report_free(report);
}

/* Waters and plants of all kinds with a level switch. */
Test(life, a_bed_ends_where_the_whole_run_ends_it)
{
    static const char *const names[] = { "demo", "chloramine", "cold_hard", "acid_well" };
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        static struct scenario s;
        load(names[i], &s);
        const struct watched w = run_all(&s);
        const struct life l = follow(&s, (struct life_options){ 0 });
        const struct life_end *bed = &l.end[life_last_bed(&s.plant)];
        cr_assert_float_eq(bed->litres, w.litres, 0.01 * w.litres, "%s: %g L, %g by the whole run",
                           names[i], bed->litres, w.litres);
        cr_assert_float_eq(bed->t / DAY, w.day, 0.015 * w.day, "%s: day %g, %g", names[i],
                           bed->t / DAY, w.day);
        scenario_free(&s);
    }
}

/* Many small fills: a quarter of the sodium that comes into the bed crossed the membrane at rest.
 */
Test(life, what_spoils_the_bed_is_found_by_leaving_it_out)
{
    static struct scenario s;
    load("float_only", &s);
    const struct life_options year = { .horizon = 365.0 * DAY, .last_bed_only = true };
    struct life_options calm = year, whole = year;
    calm.without_start_salt = true;
    whole.without_damage = true;
    const struct life all = follow(&s, year), still = follow(&s, calm), sound = follow(&s, whole);
    const int bed = life_last_bed(&s.plant);
    const double share =
        (still.load[SODIUM] / still.bed_litres) / (all.load[SODIUM] / all.bed_litres);
    cr_assert_lt(share, 0.9);
    cr_assert_gt(still.end[bed].litres, 1.1 * all.end[bed].litres);
    cr_assert_gt(sound.end[bed].litres, all.end[bed].litres);
    scenario_free(&s);
}
