/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * life: what follows the tape of a year against runs that follow everything.
 */
#include <criterion/criterion.h>
#include <criterion/logging.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "sim/life.h"
#include "sim/scenario.h"

static const double DAY = 86400.0; /* s */

/* The same ends, from a run that follows everything. */
struct watched {
    struct caught jug;
    double product, litres, day, limit;
    double carbon_day, sodium, used[STAGES_MAX];
};

static void see(void *self, const struct glimpse *g)
{
    struct watched *w = self;
    const struct readings *r = &g->state->readings;
    double c[SPECIES_COUNT];
    if (g->moment == MOMENT_DAY)
        for (int k = 0; k < g->plant->stages; k++)
            w->used[k] = g->plant->train[k].kind->used ? g->plant->train[k].kind->used(&g->plant->train[k].params, &g->state->stage[k]) : 0.0;
    if (g->moment != MOMENT_PARCEL)
        return;
    if (isnan(w->carbon_day) && r->membrane_oxidant * species[CHLORINE].molar_mass > 0.1e-3)
        w->carbon_day = g->t / DAY;
    const double product = g->x[g->plant->has_bladder ? X_DELIVERED : X_PRODUCT];
    if (first_catch(&w->jug, product - w->product, r->product_c, c) && isnan(w->day) &&
        first_meter(g->plant, c) >= w->limit) {
        w->day = g->t / DAY;
        w->litres = 1e3 * product;
    }
    w->product = product;
}

static const char *const files[] = { "demo", "float_only", "chloramine", "cold_hard", "acid_well", "vacation" };

Test(life, compare)
{
    for (int i = 0; i < 6; i++) {
        char path[100];
        snprintf(path, sizeof path, "/tmp/w/life/scenarios/%s.cfg", files[i]);
        struct report *report = report_create();
        static struct scenario s;
        cr_assert_eq(scenario_load(path, NULL, &s, report), STATUS_OK);
        struct tape tape;
        clock_t t0 = clock();
        cr_assert_eq(tape_record(&tape, &s.plant, &s.plan), STATUS_OK);
        clock_t t1 = clock();
        struct life life;
        const struct life_options o = { .horizon = 3.0 * 365.0 * DAY };
        life_follow(&life, &s.plant, &s.plan, &tape, &o);
        clock_t t2 = clock();
        cr_log_info("%s: tape %d stretches %.3f L, %.3f s, follow %.3f s", files[i], tape.count, 1e3 * tape.product, (double)(t1 - t0) / CLOCKS_PER_SEC, (double)(t2 - t1) / CLOCKS_PER_SEC);
        for (int k = 0; k < s.plant.stages; k++)
            cr_log_info("   %s: %s day %.1f %.1f L", s.plant.train[k].name, life.end[k].why, life.end[k].t / DAY, life.end[k].litres);
        struct watched w = { .day = NAN, .litres = NAN, .carbon_day = NAN, .limit = isnan(s.plan.limits.product) ? 1e-3 : s.plan.limits.product };
        struct plan plan = s.plan;
        plan.events = 0;
        plan.visits.every = INFINITY;
        plan.commissioning.at_start = false;
        plan.record = 1e9;
        const struct observer ob = { see, &w };
        const struct run_options ro = { .observers = &ob, .observer_count = 1 };
        struct run_figures fig;
        char words[RUN_WORDS];
        t0 = clock();
        run_simulate(&s.plant, &plan, &ro, &fig, words);
        cr_log_info("   run: %.3f s; meter day %.1f %.1f L; carbon day %.1f; used %.4f %.4f %.4f %.4f", (double)(clock() - t0) / CLOCKS_PER_SEC, w.day, w.litres, w.carbon_day, w.used[0], w.used[1], w.used[2], w.used[3]);
        tape_free(&tape);
        scenario_free(&s);
        report_free(report);
    }
}
