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

Test(life, what_spoils_the_bed_is_found_by_leaving_it_out)
{
    static struct scenario s;
    load("demo", &s);
    const struct life all = follow(&s, (struct life_options){ 0 });
    const struct life calm = follow(&s, (struct life_options){ .without_start_salt = true });
    const struct life whole = follow(&s, (struct life_options){ .without_damage = true });
    const int bed = life_last_bed(&s.plant);
    cr_assert_geq(calm.end[bed].litres, 0.99 * all.end[bed].litres);
    cr_assert_geq(whole.end[bed].litres, 0.999 * all.end[bed].litres);
    /* this bed ends by its anions, so that what starts cost shows in the sodium */
    cr_assert_lt(calm.load[SODIUM] / calm.bed_litres, 0.9 * all.load[SODIUM] / all.bed_litres);
    scenario_free(&s);
}
