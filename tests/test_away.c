/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "fixture.h"
#include "sim/away.h"

static const double DAY = 86400.0;

/* ---- a steady plant, and doors ----------------------------------------------------------------
 */

/* Nothing changes over the year; the top-off swings by a fifth of a millimetre, so that what the
 * served water keeps back is small beside the tank. */
static struct plant steady(void)
{
    struct plant p = fixture_plant();
    p.topoff.on_below = 1e-4;
    p.topoff.off_above = 2e-4;
    return p;
}

static struct plan nobody_draws(double days)
{
    struct plan plan = fixture_plan(days);
    plan.draws = 0;
    return plan;
}

static struct campaign *campaign_of(const struct plant *p, const struct plan *plan, double span)
{
    const struct campaign_options o = { .span = span, .jobs = 1 };
    struct campaign *c = NULL;
    cr_assert_eq(campaign_create(p, plan, &o, &c), STATUS_OK);
    return c;
}

static void unplug(const void *self, struct plant *p)
{
    door_plant(*(const unsigned *)self, p);
}

static enum status close_door(const void *self, const struct plant *p, const struct plan *plan,
                              struct moment_saved *m)
{
    const struct leaving how = { .deeds = *(const unsigned *)self };
    return door_leave(&how, p, plan, &m->t, &m->saved);
}

static struct campaign *behind_door(const struct campaign *c, unsigned deeds)
{
    const struct campaign_change how = { unplug, close_door, &deeds };
    struct campaign *out = NULL;
    cr_assert_eq(campaign_change(c, &how, &out), STATUS_OK);
    return out;
}

/* ---- the reserve ------------------------------------------------------------------------------
 */

/* What stands above the outlet, over what evaporates. */
static void reserve_lasts_as_long_as_it_should(double diameter, bool over_span)
{
    struct plant p = steady();
    p.tank.diameter = diameter;
    const double span = 14.0 * DAY;
    const struct plan plan = nobody_draws(365.0);
    struct campaign *c = campaign_of(&p, &plan, span);
    struct campaign *shut = behind_door(c, DEED_SHUT);
    campaign_set_span(shut, 200.0 * DAY);
    const double evaporates = basin_evaporation(&p.basin, 0.0);
    const double swing = p.basin.surface * (p.topoff.on_below + p.topoff.off_above);
    for (int m = 0; m < campaign_moments(shut); m++) {
        const struct trial none = { .moment = m };
        const struct damage d = campaign_try(shut, &none, NULL);
        cr_assert_eq(d.status, STATUS_OK);
        const double held = campaign_moment(shut, m)->saved.state.x[X_TANK];
        const double expected = (held - tank_volume(&p.tank, p.tank.outlet)) / evaporates;
        cr_assert_float_eq(d.dry, expected, swing / evaporates, "%g, not %g days", d.dry / DAY,
                           expected / DAY);
        cr_assert_eq(d.dry > span, over_span);
    }
    campaign_free(shut);
    campaign_free(c);
}

Test(away, with_the_valve_shut_the_tank_lasts_for_its_water_over_evaporation)
{
    reserve_lasts_as_long_as_it_should(0.5, true);
}

Test(away, a_tank_too_small_goes_dry_at_the_time_of_the_closed_form)
{
    reserve_lasts_as_long_as_it_should(0.2, false);
}

Test(away, a_tank_that_is_filled_first_is_left_where_filling_stops)
{
    const struct plant p = steady();
    const struct plan plan = nobody_draws(365.0);
    struct campaign *c = campaign_of(&p, &plan, DAY);
    struct campaign *full = behind_door(c, DEED_FILL | DEED_SHUT);
    const double wanted = tank_volume(&p.tank, p.fill.off_at);
    for (int m = 0; m < campaign_moments(full); m++) {
        const struct moment_saved *then = campaign_moment(full, m);
        cr_assert_float_eq(then->saved.state.x[X_TANK], wanted, 0.02 * wanted);
        cr_assert_geq(then->t, campaign_moment(c, m)->t);
        cr_assert_not(then->saved.settings.hand_valve);
        cr_assert_eq(then->saved.settings.health.low_switch, WORKS);
    }
    campaign_free(full);
    campaign_free(c);
}

/* ---- faults behind the door -------------------------------------------------------------------
 */

static int spilling(const struct campaign *c, const struct plant *p)
{
    struct sets *s = calloc(1, sizeof *s);
    cr_assert_not_null(s);
    cr_assert_eq(sets_search_singles(s, c, p), STATUS_OK);
    int n = 0;
    for (int i = 0; i < s->hazards; i++)
        n += isfinite(s->single[i].worst.spill);
    sets_free(s);
    free(s);
    return n;
}

Test(away, with_the_valve_shut_no_fault_of_the_filling_spills)
{
    const struct plant p = steady();
    const struct plan plan = nobody_draws(365.0);
    struct campaign *c = campaign_of(&p, &plan, 3.0 * DAY);
    struct campaign *shut = behind_door(c, DEED_SHUT);
    cr_assert_gt(spilling(c, &p), 0);
    cr_assert_eq(spilling(shut, &p), 0);
    campaign_free(shut);
    campaign_free(c);
}

struct last {
    double served, salinity;
};

static void see_last(void *self, const struct glimpse *g)
{
    struct last *l = self;
    l->served = g->x[X_BASIN];
    l->salinity = basin_salinity(&g->state->basin, g->plant->basin.water.mean);
}

Test(away, without_top_off_the_served_water_falls_by_what_evaporates)
{
    const struct plant p = steady();
    const struct plan plan = nobody_draws(365.0);
    const double span = 3.0 * DAY;
    struct campaign *c = campaign_of(&p, &plan, span);
    const unsigned deeds[] = { DEED_TOPOFF, DEED_MAINS };
    for (int i = 0; i < 2; i++) {
        struct campaign *left = behind_door(c, deeds[i]);
        struct last last = { 0 };
        const struct observer o = { see_last, &last };
        const struct trial none = { .moment = 0 };
        const double held = campaign_moment(left, 0)->saved.state.x[X_BASIN];
        cr_assert_eq(campaign_try(left, &none, &o).status, STATUS_OK);
        const double expected = held - span * basin_evaporation(&p.basin, 0.0);
        cr_assert_float_eq(last.served, expected, 1e-6 * expected, "%.9g, not %.9g, %d", last.served,
                           expected, i);
        cr_assert_gt(last.salinity, 35.0 * held / expected * 0.99);
        campaign_free(left);
    }
    campaign_free(c);
}

/* ---- cartridges -------------------------------------------------------------------------------
 */

static struct absence stay(const struct plant *p, const struct plan *plan,
                           const struct run_saved *from, const struct leaving *how)
{
    const struct absence_case c = { p, plan, from, *how, 14.0 * DAY };
    struct absence out;
    cr_assert_eq(absence_run(&c, &out), STATUS_OK);
    return out;
}

/* Its carbon is made for chlorine. */
static struct plant without_chloramine(void)
{
    struct plant p = fixture_plant();
    p.feed.c[CHLORAMINE] = 0.0;
    return p;
}

Test(away, a_cartridge_with_little_left_ends_meanwhile_and_is_named)
{
    const struct plant p = without_chloramine();
    const struct plan plan = nobody_draws(20.0);
    struct absence_year *y = calloc(1, sizeof *y);
    cr_assert_not_null(y);
    y->stops = 1;
    y->stop[0] = 5.0 * DAY;
    cr_assert_eq(absence_year(y, &p, &plan), STATUS_OK);
    cr_assert_eq(y->dues, 0);
    struct run_saved *worn = &y->saved[0];
    const struct leaving plain = { 0 }, shut = { .deeds = DEED_SHUT }, renew = { .renew = 1 };
    const struct absence sound = stay(&p, &plan, worn, &plain);
    cr_assert_eq(absence_ends(&sound, p.stages), 0);
    cr_assert(isinf(sound.bad) && isinf(sound.dry) && isinf(sound.spill));
    cr_assert_gt(sound.made, 0.0);

    const double capacity = p.train[0].params.sediment.capacity;
    const double brings = sound.made * p.feed.c[SOLIDS]; /* at least: the drain passes it too */
    worn->state.stage[0].sediment.mass = capacity - 0.5 * brings;
    const struct absence ends = stay(&p, &plan, worn, &plain);
    cr_assert_eq(absence_ends(&ends, p.stages), 1);
    cr_assert_gt(ends.ends[0], 0.0);
    cr_assert_lt(ends.ends[0], 14.0 * DAY);
    cr_assert_str_eq(ends.why[0], "clogged with sediment");
    /* put in anew it lasts; with the supply shut nothing passes it */
    const struct absence renewed = stay(&p, &plan, worn, &renew);
    cr_assert_eq(absence_ends(&renewed, p.stages), 0);
    const struct absence closed = stay(&p, &plan, worn, &shut);
    cr_assert_eq(absence_ends(&closed, p.stages), 0);
    cr_assert_float_eq(closed.made, 0.0, 1e-9);
    free(y);
}

Test(away, a_rule_of_the_scenario_comes_before_what_is_usual)
{
    const struct plant p = without_chloramine();
    struct plan plan = nobody_draws(20.0);
    struct absence_year *y = calloc(1, sizeof *y);
    cr_assert_not_null(y);
    y->stops = 1;
    y->stop[0] = 5.0 * DAY;
    plan.rule[1].calendar = 12.0 * DAY;
    cr_assert_eq(absence_year(y, &p, &plan), STATUS_OK);
    cr_assert_eq(y->dues, 1);
    cr_assert_eq(y->due[0].stage, 1);
    const struct leaving plain = { 0 };
    const struct absence a = stay(&p, &plan, &y->saved[0], &plain);
    cr_assert_str_eq(a.why[1], "its time is up by the calendar");
    cr_assert_geq(a.ends[1], 7.0 * DAY - 1.0);
    free(y);
}

/* ---- all together -----------------------------------------------------------------------------
 */

Test(away, of_what_holds_the_least_that_floods_is_best_and_the_chance_is_that_of_the_span)
{
    struct scenario *s = calloc(1, sizeof *s);
    struct away *a = calloc(1, sizeof *a);
    cr_assert(s && a);
    s->plant = steady();
    s->plant.has_basin = false; /* trials of a tank at rest are quick */
    s->plant.topoff.kind = TOPOFF_NONE;
    s->plan = nobody_draws(365.0);
    const struct away_options o = { .span = 0.25 * DAY, .leaving = NAN };
    cr_assert_eq(away_find(a, s, &o), STATUS_OK);
    const struct away_measure *best = &a->measure[a->best];
    cr_assert_eq(away_answers(a), AWAY_IF);
    cr_assert(best->door->deeds & DEED_SHUT);
    cr_assert(best->holds && best->pairs);
    for (int i = 0; i < a->measures; i++)
        cr_assert(!a->measure[i].holds || a->measure[i].single.mean >= best->single.mean);
    cr_assert_not(away_breaks(a));
    /* of the plant as it is */
    const double exposed = 0.25 * DAY + campaign_cycle(a->overflow.campaign);
    const double yearly = a->overflow.chances.spill.mean;
    cr_assert_float_eq(a->measure[0].spill.mean, 1.0 - exp(-yearly * exposed / (365.25 * DAY)),
                       1e-9);
    cr_assert_leq(a->measure[0].spill.low, a->measure[0].spill.mean);
    cr_assert_leq(a->measure[0].spill.mean, a->measure[0].spill.high);

    char *text = NULL;
    size_t size = 0;
    FILE *f = open_memstream(&text, &size);
    cr_assert_not_null(f);
    away_print(a, f);
    fclose(f);
    cr_assert_eq(strncmp(text, "Leave?      YES for 6 h; first shut the supply", 46), 0, "%.60s",
                 text);
    cr_assert_not_null(strstr(text, "perhaps not once"), "a span below a fill cycle is not told");
    cr_assert_null(strstr(text, "cannot"));
    free(text);
    away_free(a);
    free(a);
    free(s);
}
