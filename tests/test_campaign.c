/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Slow: with sanitizers in the medium gate only.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "fixture.h"
#include "sim/calm.h"
#include "sim/chance.h"

static const double DAY = 86400.0;

static struct campaign *campaign_of(const struct plant *p, const struct plan *plan, double span,
                                    int jobs)
{
    const struct campaign_options o = { .span = span, .jobs = jobs };
    struct campaign *c = NULL;
    cr_assert_eq(campaign_create(p, plan, &o, &c), STATUS_OK);
    return c;
}

static const struct hazard *hazard_named(const struct hazard h[], int n, const char *part,
                                         const char *mode)
{
    for (int i = 0; i < n; i++)
        if (strcmp(h[i].part, part) == 0 && strcmp(h[i].mode, mode) == 0)
            return &h[i];
    cr_assert(false, "%s %s is not in the list", part, mode);
    return NULL;
}

static struct damage worst_of(const struct campaign *c, const struct hazard *h)
{
    struct damage worst = { .spill = INFINITY, .basin_spill = INFINITY };
    for (int m = 0; m < campaign_moments(c); m++) {
        const struct trial t = { .moment = m, .count = 1, .strike = { { h, 0.0 } } };
        const struct damage d = campaign_try(c, &t, NULL);
        cr_assert_eq(d.status, STATUS_OK);
        if (fmin(d.spill, d.basin_spill) < fmin(worst.spill, worst.basin_spill))
            worst = d;
    }
    return worst;
}

/* ---- hazards ----------------------------------------------------------------------------------
 */

Test(hazard, only_parts_that_are_there_can_fail)
{
    struct plant p = fixture_plant();
    struct hazard h[HAZARDS_MAX];
    const int without = hazard_list(&p, h);
    for (int i = 0; i < without; i++) {
        cr_assert_str_neq(h[i].part, "high switch");
        cr_assert_str_neq(h[i].part, "guard valve");
    }
    p.fill.high_switch = p.fill.guard_valve = true;
    p.fill.high_at = 0.75;
    const int with = hazard_list(&p, h);
    cr_assert_gt(with, without);
    hazard_named(h, with, "high switch", "shows dry");
    hazard_named(h, with, "guard valve", "sticks open");
}

Test(hazard, a_cut_comes_back_and_a_part_has_one_mode_at_a_time)
{
    const struct plant p = fixture_plant();
    struct hazard h[HAZARDS_MAX];
    const int n = hazard_list(&p, h);
    struct event e[HAZARD_EVENTS];
    const struct hazard *cut = hazard_named(h, n, "mains", "cut off");
    cr_assert_eq(hazard_events(cut, 100.0, e), 2);
    cr_assert_eq(e[0].kind, EVENT_POWER_OFF);
    cr_assert_eq(e[1].kind, EVENT_POWER_ON);
    cr_assert_float_eq(e[1].at, 100.0 + cut->lasts, 1e-9);
    const struct hazard *open = hazard_named(h, n, "feed solenoid", "sticks open");
    const struct hazard *shut = hazard_named(h, n, "feed solenoid", "sticks shut");
    cr_assert_not(hazard_together(open, shut));
    cr_assert(hazard_together(open, cut));
}

/* ---- trials -----------------------------------------------------------------------------------
 */

/* A steady feed, no served water and no draws: the tank is at its stop level, sound, for ever. */
static struct plant full_and_steady(void)
{
    struct plant p = fixture_plant();
    p.has_basin = false;
    p.topoff.kind = TOPOFF_NONE;
    p.tank_start = 0.69;
    return p;
}

Test(campaign, a_stuck_solenoid_spills_at_the_time_of_the_closed_form)
{
    const struct plant p = full_and_steady();
    struct plan plan = fixture_plan(1.0);
    plan.draws = 0;
    struct campaign *c = campaign_of(&p, &plan, 3.0 * DAY, 1);
    struct hazard h[HAZARDS_MAX];
    const int n = hazard_list(&p, h);
    const struct hazard *open = hazard_named(h, n, "feed solenoid", "sticks open");
    const struct damage d = worst_of(c, open);

    static struct state s;
    plant_start(&p, &s);
    const double flow = plant_filling(&p, &s).product_flow, area = M_PI / 4.0 * 0.25;
    /* a second passes before it sticks */
    const double expected = area * 0.11 / flow + 1.0; /* it rests at 0.69 m */
    cr_assert_float_eq(d.spill, expected, 2.0, "%g s, not %g", d.spill, expected);
    const double over = flow * (3.0 * DAY - d.spill);
    cr_assert_float_eq(d.spilled, over, 1e-6 * over);
    cr_assert_float_eq(d.floor, d.spilled, 1e-12);
    campaign_free(c);
}

Test(campaign, a_drip_pan_holds_what_it_holds)
{
    struct plant p = full_and_steady();
    p.fill.drip_pan = true;
    p.fill.pan_volume = 5e-3;
    struct plan plan = fixture_plan(1.0);
    plan.draws = 0;
    struct campaign *c = campaign_of(&p, &plan, 3.0 * DAY, 1);
    struct hazard h[HAZARDS_MAX];
    const int n = hazard_list(&p, h);
    const struct damage d = worst_of(c, hazard_named(h, n, "feed solenoid", "sticks open"));
    cr_assert_float_eq(d.floor, d.spilled - 5e-3, 1e-12);
    campaign_free(c);
}

/* The same fault in a whole run with all chemistry, from t = 0 on. */
static void whole_run(struct plant *p, struct plan *plan, double at, const struct hazard *h,
                      double until, double x[])
{
    plan->events = hazard_events(h, at, plan->event);
    plan->length = until;
    static struct outcome out;
    fixture_run(p, plan, NULL, &out);
    cr_assert_eq(out.status, STATUS_OK);
    memcpy(x, out.state.x, sizeof out.state.x);
}

Test(campaign, following_the_water_alone_gives_the_water_of_a_whole_run)
{
    struct plant p = fixture_plant();
    p.feed.temperature = (struct cycle){ .mean = 12.0, .season = 6.0, .peak_day = 196.0 };
    p.train[2].params.membrane.wear.on = false; /* a new membrane loses some percent within days */
    struct plan plan = fixture_plan(1.0);
    struct campaign *c = campaign_of(&p, &plan, 4.0 * DAY, 1);
    struct hazard h[HAZARDS_MAX];
    const int n = hazard_list(&p, h);
    const struct hazard *open = hazard_named(h, n, "feed solenoid", "sticks open");
    /* the earliest moment that was kept: a whole run gets there soonest */
    const struct trial t = { .moment = 0, .count = 1, .strike = { { open, 0.0 } } };
    const struct damage d = campaign_try(c, &t, NULL);
    const double from = campaign_moment(c, 0)->t;
    plan.draws = campaign_moment(c, 0)->t < 5.0 * DAY ? 0 : 1;
    plan.draw[0].every = INFINITY;
    double x[X_COUNT];
    whole_run(&p, &plan, from + 1.0, open, from + 4.0 * DAY, x);
    cr_assert_gt(d.spilled, 0.0);
    cr_assert_float_eq(d.spilled, x[X_SPILL], 0.003 * x[X_SPILL],
                       "%.4g m3 by the water alone, %.4g m3 by a whole run", d.spilled, x[X_SPILL]);
    campaign_free(c);
}

/* When water first ran over a rim. */
struct first_drop {
    double at;
};

static void see_drop(void *self, const struct glimpse *g)
{
    struct first_drop *f = self;
    if (g->moment == MOMENT_CHANGE && strcmp(g->change->kind, "spill") == 0)
        f->at = fmin(f->at, g->t);
}

/* First drop after a fault at `s`, from the plan's length on nothing is looked at. */
static double drop_from(const struct plant *p, struct plan *plan, const struct run_saved *s,
                        const struct hazard *h, double span)
{
    struct first_drop f = { INFINITY };
    const struct observer o = { see_drop, &f };
    const struct run_options options = { .observers = &o, .observer_count = 1 };
    plan->draws = 0;
    plan->events = hazard_events(h, s->state.t + 1.0, plan->event);
    plan->length = s->state.t + span;
    struct run *r = run_create(p, plan, &options);
    run_restore_for(r, s);
    cr_assert_eq(run_until(r, plan->length), STATUS_OK);
    run_free(r);
    return f.at - s->state.t;
}

enum { RANDOM_MOMENTS = 500, TRIED = 3 };

static int by_size(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Random moments of the first 60 days, with the draws of the plan, each with every fault: none
 * brings the first drop a minute earlier than the campaign's own moments of the whole year. */
static void hold_against_random_moments(const struct plant *plant, const char *const faults[][2],
                                        unsigned long seed)
{
    static const struct run_options silent = { 0 };
    struct plan plan = fixture_plan(60.0);
    plan.tolerance = 1e-5;
    const double span = 2.0 * DAY;
    struct campaign *c = campaign_of(plant, &plan, span, 1);
    struct plant p = *plant;
    p.water_only = true;
    p.feed.hold = 21600.0;
    struct hazard h[HAZARDS_MAX];
    const int n = hazard_list(&p, h);
    const struct hazard *tried[TRIED];
    double worst[TRIED], at[RANDOM_MOMENTS];
    for (int i = 0; i < TRIED; i++) {
        tried[i] = hazard_named(h, n, faults[i][0], faults[i][1]);
        const struct damage d = worst_of(c, tried[i]);
        worst[i] = fmin(d.spill, d.basin_spill);
        cr_assert(isfinite(worst[i]), "%s %s should spill", faults[i][0], faults[i][1]);
    }
    for (int k = 0; k < RANDOM_MOMENTS; k++)
        at[k] = plan.length * fixture_random(&seed);
    qsort(at, RANDOM_MOMENTS, sizeof at[0], by_size);
    struct run *r = run_create(&p, &plan, &silent);
    cr_assert_eq(run_begin(r), STATUS_OK);
    static struct run_saved s;
    struct plan trial = plan;
    for (int k = 0; k < RANDOM_MOMENTS; k++) {
        cr_assert_eq(run_pause_at(r, at[k]), STATUS_OK);
        run_save(r, &s);
        for (int i = 0; i < DRAWS_MAX; i++) /* nobody is there */
            s.agenda.due[SLOT_DRAW_START + i] = INFINITY;
        for (int i = 0; i < TRIED; i++) {
            const double drop = drop_from(&p, &trial, &s, tried[i], span);
            cr_assert_geq(drop, worst[i] - 60.0,
                          "%s %s on day %.3f: first drop after %g s, the kept moments said %g s",
                          faults[i][0], faults[i][1], at[k] / DAY, drop, worst[i]);
        }
    }
    run_free(r);
    campaign_free(c);
}

Test(campaign, no_random_moment_is_worse_than_the_worst_that_was_kept)
{
    static const char *const faults[TRIED][2] = { { "feed solenoid", "sticks open" },
                                                  { "stop switch", "shows dry" },
                                                  { "top-off pump", "does not stop" } };
    struct plant p = fixture_plant();
    p.feed.temperature = (struct cycle){ .mean = 12.0, .season = 6.0, .peak_day = 40.0 };
    hold_against_random_moments(&p, faults, 99);
}

Test(campaign, nor_is_one_of_a_float_valve)
{
    static const char *const faults[TRIED][2] = { { "float valve", "sticks open" },
                                                  { "float valve", "sticks part open" },
                                                  { "top-off switch", "shows dry" } };
    struct plant p = fixture_plant();
    p.fill.switches = false;
    p.fill.float_valve = true;
    p.fill.valve = (struct float_valve){ 0.70, 0.02, 2.5e-3 };
    p.tank_start = 0.69;
    p.feed.temperature = (struct cycle){ .mean = 14.0, .season = 5.0, .peak_day = 30.0 };
    hold_against_random_moments(&p, faults, 7);
}

Test(campaign, a_normal_year_that_spills_is_told)
{
    struct plant p = fixture_plant();
    p.fill.switches = false; /* nothing stops the water */
    struct plan plan = fixture_plan(1.0);
    struct campaign *c = campaign_of(&p, &plan, 2.0 * DAY, 1);
    cr_assert(isfinite(campaign_normal(c)->spill));
    campaign_free(c);
}

/* ---- sets -------------------------------------------------------------------------------------
 */

/* No served water: fewer faults, and a draw every other day calls for water. */
static struct plant guarded(void)
{
    struct plant p = fixture_plant();
    p.has_basin = false;
    p.topoff.kind = TOPOFF_NONE;
    p.fill.high_switch = p.fill.guard_valve = true;
    p.fill.high_at = 0.75;
    return p;
}

static struct plan drawn(void)
{
    struct plan plan = fixture_plan(1.0);
    plan.draw[0].first = 1.0 * DAY;
    plan.draw[0].every = 2.0 * DAY;
    return plan;
}

static const struct set *set_of(const struct sets *s, const char *part, const char *mode,
                                const char *part2, const char *mode2)
{
    for (int i = 0; i < s->pairs; i++) {
        const struct hazard *a = &s->hazard[s->pair[i].hazard[0]];
        const struct hazard *b = &s->hazard[s->pair[i].hazard[1]];
        if (strcmp(a->part, part) == 0 && strcmp(a->mode, mode) == 0 &&
            strcmp(b->part, part2) == 0 && strcmp(b->mode, mode2) == 0)
            return &s->pair[i];
    }
    return NULL;
}

Test(sets, a_guard_valve_of_its_own_leaves_no_single_fault)
{
    const struct plant p = guarded();
    struct plan plan = drawn();
    struct campaign *c = campaign_of(&p, &plan, 1.0 * DAY, 0);
    static struct sets s;
    cr_assert_eq(sets_search(&s, c, &p, false), STATUS_OK);
    for (int i = 0; i < s.hazards; i++)
        cr_assert(isinf(s.single[i].worst.spill), "%s %s", s.hazard[i].part, s.hazard[i].mode);
    const struct set *both = set_of(&s, "feed solenoid", "sticks open", "high switch", "shows dry");
    cr_assert_not_null(both);
    cr_assert(sets_spills(both));
    cr_assert(sets_spills(set_of(&s, "stop switch", "shows dry", "guard valve", "sticks open")));
    /* without its own valve the high switch is of no use against a stuck solenoid */
    struct plant one = p;
    one.fill.guard_valve = false;
    struct campaign *c1 = campaign_of(&one, &plan, 1.0 * DAY, 0);
    static struct sets s1;
    cr_assert_eq(sets_search(&s1, c1, &one, false), STATUS_OK);
    bool single = false;
    for (int i = 0; i < s1.hazards; i++)
        single = single ||
                 (sets_spills(&s1.single[i]) && strcmp(s1.hazard[i].part, "feed solenoid") == 0);
    cr_assert(single);
    sets_free(&s);
    sets_free(&s1);
    campaign_free(c);
    campaign_free(c1);
}

/* All that is found is found whatever the number of threads, to the bit. */
Test(sets, do_not_depend_on_the_number_of_threads)
{
    const struct plant p = guarded();
    struct plan plan = drawn();
    static struct sets s[2];
    for (int k = 0; k < 2; k++) {
        struct campaign *c = campaign_of(&p, &plan, 1.0 * DAY, k == 0 ? 1 : 3);
        cr_assert_eq(sets_search(&s[k], c, &p, false), STATUS_OK);
        campaign_free(c);
    }
    cr_assert_eq(s[0].pairs, s[1].pairs);
    for (int i = 0; i < s[0].pairs; i++) {
        cr_assert_eq(memcmp(&s[0].pair[i].worst, &s[1].pair[i].worst, sizeof(struct damage)), 0);
        cr_assert_eq(s[0].pair[i].first.moment, s[1].pair[i].first.moment);
    }
    sets_free(&s[0]);
    sets_free(&s[1]);
}

/* Two faults at one instant: which is named first does not matter. */
Test(sets, do_not_depend_on_the_order_of_the_faults)
{
    const struct plant p = guarded();
    struct plan plan = drawn();
    struct campaign *c = campaign_of(&p, &plan, 1.0 * DAY, 1);
    struct hazard h[HAZARDS_MAX];
    const int n = hazard_list(&p, h);
    for (int i = 0; i < n; i++)
        for (int j = i + 1; j < n; j++) {
            if (!hazard_together(&h[i], &h[j]))
                continue;
            const int m = (i + j) % campaign_moments(c);
            const struct trial one = { .moment = m,
                                       .count = 2,
                                       .strike = { { &h[i], 0.0 }, { &h[j], 0.0 } } };
            const struct trial other = { .moment = m,
                                         .count = 2,
                                         .strike = { { &h[j], 0.0 }, { &h[i], 0.0 } } };
            const struct damage a = campaign_try(c, &one, NULL), b = campaign_try(c, &other, NULL);
            cr_assert_eq(memcmp(&a, &b, sizeof a), 0, "%s %s, %s %s", h[i].part, h[i].mode,
                         h[j].part, h[j].mode);
        }
    campaign_free(c);
}

/* ---- chance -----------------------------------------------------------------------------------
 */

static struct set set_with(int a, int b)
{
    struct set s = { .count = b < 0 ? 1 : 2, .hazard = { a, b < 0 ? 0 : b }, .tried = true };
    s.worst =
        (struct damage){ .spill = 10.0, .basin_spill = INFINITY, .dry = INFINITY, .low = INFINITY };
    return s;
}

/* An initiator of 0.02 a year and a guard of 0.05 a year, tested yearly: closed form by hand. */
Test(chance, of_a_pair_is_the_mean_of_each_as_the_last_to_fail)
{
    struct plan plan = fixture_plan(1.0);
    plan.risk.inspected = 365.25 * DAY;
    const struct plant p = fixture_plant();
    static struct sets s;
    s.hazards = hazard_list(&p, s.hazard);
    int a = -1, b = -1;
    for (int i = 0; i < s.hazards; i++) {
        if (strcmp(s.hazard[i].part, "controller") == 0 &&
            strcmp(s.hazard[i].mode, "hangs on") == 0)
            a = i;
        if (strcmp(s.hazard[i].part, "drain line") == 0)
            b = i;
    }
    cr_assert(a >= 0 && b >= 0);
    plan.risk.rates = 2;
    plan.risk.rate[0] = (struct rate_given){ .which = s.hazard[a].row,
                                             .kind = RATE_PER_TIME,
                                             .median = 0.02 / (365.25 * DAY),
                                             .error_factor = 1.0,
                                             .lasts = NAN };
    plan.risk.rate[1] = (struct rate_given){ .which = s.hazard[b].row,
                                             .kind = RATE_PER_TIME,
                                             .median = 0.05 / (365.25 * DAY),
                                             .error_factor = 1.0,
                                             .lasts = NAN };
    struct set pair = set_with(a < b ? a : b, a < b ? b : a);
    s.pair = &pair;
    s.pairs = 1;
    struct chances c;
    cr_assert_eq(chance_reckon(&c, &s, &plan, 1e-6, 1), STATUS_OK);
    /* both failed at the year's end, by either order: (1 - e^-0.02)(1 - e^-0.05) a year */
    const double expected = expm1(-0.02) * expm1(-0.05);
    cr_assert_eq(c.rows, 1);
    cr_assert_float_eq(c.row[0].chance.mean, expected, 1e-6 * expected, "%.9g not %.9g",
                       c.row[0].chance.mean, expected);
    cr_assert_float_eq(c.spill.mean, expected, 1e-6 * expected);
    cr_assert_float_eq(c.spill.low, expected, 1e-6 * expected, "rates without spread");
    chance_free(&c);
}

Test(chance, words_have_two_digits_at_most)
{
    char out[CHANCE_WORDS];
    const struct chance rare = { 1.0 / 347.0, 1.0 / 5912.0, 1.0 / 81.4 };
    cr_assert_str_eq(chance_words(&rare, out),
                     "once in 350 years (once in 5900 years to once in 81 years)");
    const struct chance often = { 2.34, 0.5, 11.7 };
    cr_assert_str_eq(chance_words(&often, out),
                     "2 times a year (once in 2 years to 12 times a year)");
    const struct chance none = { 0.0, 0.0, 0.0 };
    cr_assert_str_eq(chance_words(&none, out), "none found");
}

/* ---- what is dissolved -------------------------------------------------------------------------
 */

/* The first drop after a solenoid that sticks open just when a fill has started [s]. */
static double drop_with(const struct rinse *rinse)
{
    struct plant p = fixture_plant();
    p.rinse = *rinse;
    struct plan plan = fixture_plan(60.0);
    struct campaign *c = campaign_of(&p, &plan, 2.0 * DAY, 1);
    struct hazard h[HAZARDS_MAX];
    const int n = hazard_list(&p, h);
    struct trial t = { .count = 1,
                       .strike = { { hazard_named(h, n, "feed solenoid", "sticks open"), 0.0 } } };
    while (strcmp(campaign_moment(c, t.moment)->words, "just after \"fill starts\"") != 0)
        t.moment++;
    const double drop = campaign_try(c, &t, NULL).spill;
    campaign_free(c);
    return drop;
}

/* The same product is diverted for so long whatever the reading says, or as long as the reading
 * says. */
Test(campaign, follows_the_reading_that_ends_the_diverting)
{
    struct rinse longest = fixture_plant().rinse;
    longest.divert = 0.9 * DAY;
    struct rinse at_once = longest, never = longest;
    at_once.divert_below = 10.0; /* kg/m3: any water */
    never.divert_below = 1e-9;
    cr_assert(calm_is_steered(&(struct plant){ .rinse = at_once }));
    cr_assert_not(calm_is_steered(&(struct plant){ .rinse = longest }));
    const double whole = drop_with(&longest);
    cr_assert_float_eq(drop_with(&never), whole, 0.01 * whole);
    cr_assert_float_eq(drop_with(&at_once), whole - longest.divert,
                       0.02 * (whole - longest.divert));
}
