/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Tests of sim/rinse_*.c: a year in the middle of a life against whole lives, the map against a
 * fine grid, what must not pay.  All plants are invented; spans are short so that they take
 * seconds.
 *
 * Slow: with sanitizers in the medium gate only.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "fixture.h"
#include "sim/first.h"
#include "sim/rinse_find.h"

static const double DAY = 86400.0, HOUR = 3600.0, YEAR = 365.25 * 86400.0;
static const double SPAN = 24.0, SHORT_SPAN = 6.0; /* days */

/* A membrane without a cartridge before it, 60 L a day; default prices, 40 a membrane. */
static struct plant fouling_plant(double solids)
{
    struct plant p = fixture_plant();
    p.has_basin = false;
    p.topoff.kind = TOPOFF_NONE;
    p.train[0] = p.train[p.membrane];
    p.stages = 1;
    p.membrane = 0;
    p.feed.c[CHLORINE] = p.feed.c[CHLORAMINE] = 0.0;
    p.feed.c[SOLIDS] = solids;
    p.fill.on_at = 0.35;
    p.solenoid_power = 8.0;
    return p;
}

static struct plan fouling_plan(double days)
{
    struct plan plan = fixture_plan(days);
    plan.record = DAY;
    plan.draws = 1;
    plan.draw[0] = (struct draw){ 60e-3, DAY, 9.0 * HOUR, 10e-3 / 60.0 };
    plan.rule[0] = (struct rule){ NAN, NAN, NAN, 0.85, NAN, NAN };
    plan.prices.water = 1.908;
    plan.prices.sewer = 2.138;
    plan.prices.electricity = 0.17 / 3.6e6;
    plan.prices.stage[0] = 40.0;
    return plan;
}

static struct rinse_case fouling_case(double solids, double days)
{
    static struct rinse_case c;
    const struct plant p = fouling_plant(solids);
    const struct plan plan = fouling_plan(days);
    cr_assert_eq(rinse_year_prepare(&c, &p, &plan, days * DAY, NULL), STATUS_OK);
    return c;
}

static struct rinse every(const struct rinse_case *c, double interval, double length)
{
    struct rinse r = rinse_year_none(&c->plant.rinse);
    r.every = interval;
    r.every_for = length;
    return r;
}

/* ---- whole lives -------------------------------------------------------------------------------
 */

struct life {
    volatile sig_atomic_t over;
    double t, x[X_COUNT];
};

static void see_life(void *self, const struct glimpse *g)
{
    struct life *l = self;
    if (l->over)
        return;
    l->t = g->t;
    memcpy(l->x, g->x, sizeof l->x);
    l->over = g->moment == MOMENT_CHANGE && strcmp(g->change->kind, "replace") == 0;
}

/* The engine, from a new membrane to the visit that finds it due. */
static struct life whole_life(double solids, const struct rinse *programme)
{
    struct plant p = fouling_plant(solids);
    p.rinse = *programme;
    struct plan plan = fouling_plan(2000.0);
    plan.visits.every = 6.0 * HOUR;
    struct life life = { 0 };
    const struct observer o = { see_life, &life };
    const struct run_options options = { .observers = &o, .observer_count = 1, .stop = &life.over };
    struct run_figures figures;
    char words[RUN_WORDS];
    run_simulate(&p, &plan, &options, &figures, words);
    cr_assert(life.over, "it is replaced");
    return life;
}

Test(rinse, a_year_in_the_middle_of_a_life_costs_what_whole_lives_cost)
{
    static const double hours[] = { 0.3, 1.0, 10.0, INFINITY };
    for (int i = 0; i < 4; i++) {
        /* a life of a month ends with one fill of 1.3 days or with the next */
        const double coarse = isfinite(hours[i]) ? 1.0 : 2.0;
        const struct rinse_case c = fouling_case(0.2e-3, SPAN);
        const struct rinse r = every(&c, HOUR * hours[i], isfinite(hours[i]) ? 120.0 : 0.0);
        const struct rinse_year y = rinse_year_of(&c, &r, NULL);
        const struct life l = whole_life(0.2e-3, &r);
        const double spent =
            1.908 * l.x[X_FEED] + 2.138 * l.x[X_DRAIN] + 0.17 / 3.6e6 * l.x[X_ENERGY] + 40.0;
        const double cost = spent * 0.06 * 365.25 / l.x[X_PRODUCT];
        cr_log_info("every %g h: life %.1f of %.1f days, a year %.1f of %.1f", hours[i],
                    y.membrane_life / DAY, l.t / DAY, y.total, cost);
        cr_expect_float_eq(y.membrane_life, l.t, 0.03 * coarse * l.t, "every %g h: %g of %g days",
                           hours[i], y.membrane_life / DAY, l.t / DAY);
        cr_expect_float_eq(y.total, cost, 0.015 * coarse * cost, "every %g h: %g of %g", hours[i],
                           y.total, cost);
    }
}

/* ---- limits -------------------------------------------------------------------------------------
 */

Test(rinse, of_no_length_costs_what_no_rinse_costs)
{
    const struct rinse_case c = fouling_case(0.2e-3, SPAN);
    const struct rinse none = rinse_year_none(&c.plant.rinse);
    const double cost = rinse_year_of(&c, &none, NULL).total;
    cr_assert_gt(cost, 100.0);
    const struct rinse zero = every(&c, HOUR, 0.0);
    const struct rinse_year y = rinse_year_of(&c, &zero, NULL);
    cr_expect_float_eq(y.total, cost, 1e-3 * cost, "%g of %g", y.total, cost);
    struct rinse stop = none;
    stop.at_stop = 0.1;
    cr_expect_float_eq(rinse_year_of(&c, &stop, NULL).total, cost, 1e-3 * cost);
    stop.at_stop = 0.0;
    stop.with = RINSE_PERMEATE;
    cr_expect_eq(rinse_year_of(&c, &stop, NULL).total, cost);
}

Test(rinse, water_and_money_add_up)
{
    const struct rinse_case c = fouling_case(0.2e-3, SPAN);
    struct rinse r = every(&c, HOUR, 60.0);
    r.divert = 60.0;
    const struct rinse_year y = rinse_year_of(&c, &r, NULL);
    cr_expect_float_eq(y.served, 60e-3 * 365.25, 0.05 * y.served, "60 L a day: %g m3", y.served);
    cr_expect_float_eq(y.feed, y.served + y.drain, 1e-3 * y.feed, "what comes in goes somewhere");
    cr_expect_gt(y.lost, 0.0);
    cr_expect_float_eq(y.water, 1.908 * y.feed, 1e-9 * y.water);
    cr_expect_float_eq(y.sewer, 2.138 * y.drain, 1e-9 * y.sewer);
    cr_expect_float_eq(y.membrane, 40.0 * YEAR / y.membrane_life, 1e-9 * y.membrane);
    cr_expect_float_eq(y.total, y.water + y.sewer + y.electricity + y.membrane, 1e-9 * y.total);
}

/* ---- the map against a fine grid ----------------------------------------------------------------
 */

static struct rinse_map *map_of(const struct rinse_case *c, int jobs)
{
    struct rinse_map *m = calloc(1, sizeof *m);
    const struct rinse none = rinse_year_none(&c->plant.rinse);
    const struct rinse_options o = { .jobs = jobs };
    m->base = none;
    m->enough = rinse_year_of(c, &none, NULL).served;
    cr_assert_eq(rinse_map_make(m, c, &o), STATUS_OK);
    cr_assert_geq(m->best_i, 0);
    return m;
}

enum { FINE_I = 14, FINE_J = 8, THIRD = 3 };

/* Every third place of the map, beside those that the map looks at first. */
static double brute_force(const struct rinse_case *c, double enough)
{
    static struct rinse_task task[FINE_I * FINE_J];
    const struct rinse_options o = { 0 };
    for (int i = 0; i < FINE_I; i++)
        for (int j = 0; j < FINE_J; j++)
            task[i * FINE_J + j] =
                (struct rinse_task){ .c = c,
                                     .programme = every(c, rinse_map_every(THIRD * i + 1),
                                                        rinse_map_for(THIRD * j + 1)) };
    cr_assert_eq(rinse_task_all(task, FINE_I * FINE_J, &o), STATUS_OK);
    double best = INFINITY;
    for (int k = 0; k < FINE_I * FINE_J; k++)
        if (task[k].year.served > 0.995 * enough)
            best = fmin(best, rinse_map_money(&task[k].year, enough));
    return best;
}

static void agrees(double solids)
{
    const struct rinse_case c = fouling_case(solids, SPAN);
    struct rinse_map *m = map_of(&c, 0);
    const double fine = brute_force(&c, m->enough), found = m->cost[m->best_i][m->best_j];
    cr_log_info("%g mg/L: %d runs, best %.2f (every %.2f h for %.0f s); %d on a grid %.2f",
                1e3 * solids, m->runs, found, rinse_map_every(m->best_i) / HOUR,
                rinse_map_for(m->best_j), FINE_I * FINE_J, fine);
    cr_expect_lt(found, 1.01 * fine);
    cr_expect_gt(found, 0.97 * fine, "a fine grid is not much worse: %g of %g", found, fine);
    cr_expect_lt(m->runs, 200);
    /* what lies between is interpolated about as well as it says, where it matters */
    for (int i = 3; i < RINSE_MAP_I; i += 6)
        for (int j = 3; j < RINSE_MAP_J; j += 6) {
            if (m->known[i][j] || m->cost[i][j] > 1.05 * found)
                continue;
            const struct rinse r = every(&c, rinse_map_every(i), rinse_map_for(j));
            const struct rinse_year y = rinse_year_of(&c, &r, NULL);
            const double cost = rinse_map_money(&y, m->enough);
            cr_expect_float_eq(m->cost[i][j], cost, 0.01 * cost, "%d %d: %g of %g", i, j,
                               m->cost[i][j], cost);
        }
    free(m);
}

Test(rinse, map_agrees_with_a_fine_grid_on_a_clean_feed)
{
    agrees(0.05e-3);
}

Test(rinse, map_agrees_with_a_fine_grid_on_a_dirty_feed)
{
    agrees(0.2e-3);
}

Test(rinse, map_agrees_with_a_fine_grid_on_a_very_dirty_feed)
{
    agrees(1e-3);
}

static double best_interval(double solids)
{
    const struct rinse_case c = fouling_case(solids, SHORT_SPAN);
    double best = 0.0, least = INFINITY;
    for (int i = 0; i < RINSE_MAP_I; i += 2) {
        const struct rinse r = every(&c, rinse_map_every(i), 120.0);
        const double cost = rinse_year_of(&c, &r, NULL).total;
        if (cost < least) {
            least = cost;
            best = r.every;
        }
    }
    return best;
}

Test(rinse, more_solids_ask_for_shorter_intervals)
{
    const double clean = best_interval(0.03e-3), middle = best_interval(0.2e-3),
                 dirty = best_interval(1.5e-3);
    cr_log_info("best after %.2f, %.2f, %.2f h", clean / HOUR, middle / HOUR, dirty / HOUR);
    cr_expect_gt(clean, middle);
    cr_expect_gt(middle, dirty);
}

Test(rinse, does_not_depend_on_threads)
{
    const struct rinse_case c = fouling_case(0.2e-3, 3.0);
    struct rinse_map *one = map_of(&c, 1), *three = map_of(&c, 3);
    cr_assert_eq(memcmp(one->cost, three->cost, sizeof one->cost), 0);
    cr_assert_eq(one->runs, three->runs);
    free(one);
    free(three);
}

/* ---- the whole answer ---------------------------------------------------------------------------
 */

static struct rinse_found *found(struct scenario *s, double solids)
{
    struct rinse_found *f = calloc(1, sizeof *f);
    memset(s, 0, sizeof *s);
    s->plant = fouling_plant(solids);
    s->plan = fouling_plan(SHORT_SPAN);
    const struct rinse_options o = { .span = SHORT_SPAN * DAY };
    cr_assert_null(rinse_find_refused(s));
    cr_assert_eq(rinse_find(f, s, &o), STATUS_OK);
    return f;
}

Test(rinse, does_not_pay_on_a_feed_without_solids)
{
    static struct scenario s;
    struct rinse_found *f = found(&s, 0.0);
    cr_expect(!f->pays);
    cr_expect_leq(f->way[RINSE_NONE].money, 1.001 * f->subject.money);
    free(f);
}

Test(rinse, pays_on_a_dirty_feed_whatever_nobody_has_measured_but_how_fast_it_fouls)
{
    static struct scenario s;
    struct rinse_found *f = found(&s, 0.2e-3);
    cr_expect(f->pays);
    cr_expect_lt(f->subject.money, f->way[RINSE_NONE].money);
    for (int d = 0; d < f->doubts; d++) {
        cr_expect_geq(f->doubt[d].subject, 0.999 * f->doubt[d].cheapest);
        cr_expect(f->doubt[d].holds || strcmp(f->doubt[d].key, "solids_halving") == 0, "%s",
                  f->doubt[d].key);
    }
    cr_expect_eq(f->doubts, 14);
    free(f);
}

Test(rinse, is_refused_where_it_cannot_be_done_or_judged)
{
    static struct scenario s;
    s.plant = fouling_plant(0.2e-3);
    s.plan = fouling_plan(6.0);
    cr_expect_null(rinse_find_refused(&s));
    s.plant.fill.switches = false;
    cr_expect(strstr(rinse_find_refused(&s), "solenoid"));
    s.plant.fill.switches = true;
    s.plan.prices.water = s.plan.prices.sewer = 0.0;
    cr_expect(strstr(rinse_find_refused(&s), "cost nothing"));
    s.plant.membrane = -1;
    cr_expect(strstr(rinse_find_refused(&s), "no membrane"));
}

/* ---- resin --------------------------------------------------------------------------------------
 */

struct bed {
    volatile sig_atomic_t over;
    struct first first;
    double made;
};

static void see_bed(void *self, const struct glimpse *g)
{
    struct bed *b = self;
    if (g->moment != MOMENT_PARCEL || b->over)
        return;
    first_see(&b->first, g);
    b->made = g->x[X_PRODUCT];
    b->over = !isnan(b->first.day[PASSED_PRODUCT_LIMIT]);
}

/* The beds' life is told by what the permeate brings; here it is run to the end instead. */
Test(rinse, resin_lives_as_long_as_a_run_to_its_end_says)
{
    struct plant p = fixture_plant();
    p.has_basin = false;
    p.topoff.kind = TOPOFF_NONE;
    p.train[p.membrane].params.membrane.wear.on = false;
    p.fill.on_at = 0.6;
    struct plan plan = fixture_plan(600.0);
    plan.draws = 1;
    plan.draw[0] = (struct draw){ 20e-3, DAY, 9.0 * HOUR, 10e-3 / 60.0 };
    plan.limits.product = 1e-3;
    plan.record = 30.0 * DAY;
    for (int k = 0; k < p.stages; k++)
        plan.rule[k] = (struct rule){ NAN, NAN, NAN, NAN, NAN, NAN };
    static struct rinse_case c;
    cr_assert_eq(rinse_year_prepare(&c, &p, &plan, 60.0 * DAY, NULL), STATUS_OK);
    static const double divert[] = { 0.0, 300.0 };
    double told[2], run[2];
    for (int i = 0; i < 2; i++) {
        p.rinse = rinse_year_none(&p.rinse);
        p.rinse.divert = divert[i];
        const struct rinse_year y = rinse_year_of(&c, &p.rinse, NULL);
        told[i] = y.served * y.resin_life / YEAR;
        struct bed b = { 0 };
        first_init(&b.first);
        const struct observer o = { see_bed, &b };
        const struct run_options options = { .observers = &o,
                                             .observer_count = 1,
                                             .stop = &b.over };
        struct run_figures figures;
        char words[RUN_WORDS];
        run_simulate(&p, &plan, &options, &figures, words);
        cr_assert(b.over);
        run[i] = b.made;
        cr_log_info("divert %g s: %.0f L told, %.0f L run", divert[i], 1e3 * told[i], 1e3 * run[i]);
        cr_expect_float_eq(told[i], run[i], 0.05 * run[i]);
    }
    cr_expect_gt(run[1], run[0], "diverting spares the resin");
    cr_expect_gt(told[1], told[0]);
}
