/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Slow: with sanitizers in the medium gate only.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "fixture.h"
#include "sim/chance.h"
#include "sim/rates.h"
#include "sim/stream.h"
#include "sim/years.h"

static const double DAY = 86400.0;
static const double YEAR = 365.25 * 86400.0;

/* ---- a plant to count with --------------------------------------------------------------------
 */

/* Full and at rest, no served water, no draws, an overflow pipe: when something happens does not
 * matter. */
static struct plant at_rest(void)
{
    struct plant p = fixture_plant();
    p.has_basin = false;
    p.topoff.kind = TOPOFF_NONE;
    p.tank_start = 0.69;
    p.tank.overflow = (struct overflow){ .kind = OVERFLOW_STANDPIPE, .lip = 0.76, .bore = 0.025 };
    p.train[2].params.membrane.wear.on = false;
    return p;
}

static int mode_of(const char *part, const char *mode)
{
    for (int i = 0; fault_modes[i].part; i++)
        if (strcmp(fault_modes[i].part, part) == 0 && strcmp(fault_modes[i].mode, mode) == 0)
            return i;
    cr_assert(false, "%s %s is no fault", part, mode);
    return 0;
}

/* Nothing ever fails. */
static struct plan sound(const struct plant *p)
{
    struct plan plan = fixture_plan(1.0);
    plan.draws = 0;
    plan.risk.inspected = YEAR;
    plan.risk.mending = 2.0 * DAY;
    plan.risk.common_cause = 0.1;
    for (int i = RATES_FIRST; rates_exists(i); i++)
        if (rates_applies(p, i))
            plan.risk.rate[plan.risk.rates++] =
                (struct rate_given){ i, RATE_PER_TIME, 0.0, 1.0, i < 0 ? 7200.0 : NAN };
    return plan;
}

static void set_rate(struct plan *plan, int which, enum rate_kind kind, double value)
{
    for (int i = 0; i < plan->risk.rates; i++)
        if (plan->risk.rate[i].which == which) {
            plan->risk.rate[i].kind = kind;
            plan->risk.rate[i].median = kind == RATE_PER_TIME ? value / YEAR : value;
        }
}

static struct campaign *campaign_of(const struct plant *p, const struct plan *plan, int jobs)
{
    const struct campaign_options o = { .span = 3.0 * DAY, .jobs = jobs };
    struct campaign *c = NULL;
    cr_assert_eq(campaign_create(p, plan, &o, &c), STATUS_OK);
    return c;
}

static struct years *years_of(const struct campaign *c, const struct plant *p,
                              const struct plan *plan)
{
    static const struct years_options none = { { false } };
    struct years *y = NULL;
    cr_assert_eq(years_create(c, p, plan, &none, &y), STATUS_OK);
    return y;
}

/* The share of years that the sets say. */
static double share_by_sets(const struct campaign *c, const struct plant *p,
                            const struct plan *plan)
{
    static struct sets s;
    struct chances chances;
    cr_assert_eq(sets_search(&s, c, p, false), STATUS_OK);
    cr_assert_eq(chance_reckon(&chances, &s, plan, 1.0 / campaign_cycle(c), 1), STATUS_OK);
    const double share = odds_share(chances.spill.mean);
    chance_free(&chances);
    sets_free(&s);
    return share;
}

static int hazard_of(const struct years *y, const char *part, const char *mode)
{
    const struct risks *r = years_risks(y);
    for (int i = 0; i < r->hazards; i++)
        if (strcmp(r->hazard[i].part, part) == 0 && strcmp(r->hazard[i].mode, mode) == 0)
            return i;
    cr_assert(false, "%s %s is not in the list", part, mode);
    return 0;
}

/* ---- histories --------------------------------------------------------------------------------
 */

Test(history, faults_come_as_often_as_their_rates_say_and_pairs_at_one_moment)
{
    struct plant p = at_rest();
    struct plan plan = sound(&p);
    set_rate(&plan, mode_of("stop switch", "shows dry"), RATE_PER_TIME, 0.4);
    set_rate(&plan, mode_of("start switch", "shows dry"), RATE_PER_TIME, 0.8);
    set_rate(&plan, mode_of("overflow pipe", "blocked"), RATE_STANDING, 0.2);
    static struct risks r;
    history_risks(&r, &p, &plan, 1.0);
    const struct years_way way = years_plain(3);
    enum { MANY = 20000 };
    long fails = 0, standing = 0, together = 0;
    for (int k = 0; k < MANY; k++) {
        struct history h;
        cr_assert(history_draw(&h, &r, &way.likelier, 3, (uint64_t)k, YEAR));
        for (int i = 0; i < h.count; i++) {
            standing += r.stands[h.happening[i].hazard];
            fails += h.happening[i].at > 0.0;
            together +=
                i > 0 && h.happening[i].at > 0.0 && h.happening[i].at == h.happening[i - 1].at;
        }
        cr_assert_float_eq(history_weight(&h, &r, &way.likelier, YEAR), 1.0, 1e-12);
        history_free(&h);
    }
    /* 0.4 + 0.8 alone and 0.1 x 0.4 of both at once; four standard errors */
    const double both = 0.04 * MANY;
    cr_assert_float_eq((double)together, both, 4.0 * sqrt(both), "%ld pairs", together);
    const double all = 1.2 * MANY + 2.0 * both;
    cr_assert_float_eq((double)fails, all, 4.0 * sqrt(1.2 * MANY + 4.0 * both), "%ld", fails);
    cr_assert_float_eq((double)standing, 0.2 * MANY, 4.0 * sqrt(0.16 * MANY), "%ld", standing);
}

Test(history, weights_of_a_raised_rate_have_the_mean_of_one)
{
    struct plant p = at_rest();
    struct plan plan = sound(&p);
    set_rate(&plan, mode_of("feed solenoid", "sticks open"), RATE_PER_TIME, 0.2);
    set_rate(&plan, mode_of("overflow pipe", "blocked"), RATE_STANDING, 0.05);
    static struct risks r;
    history_risks(&r, &p, &plan, 1.0);
    struct years_way way = years_plain(4);
    for (int i = 0; i < HAZARDS_MAX; i++)
        way.likelier.times[i] = 5.0;
    struct odds_sample weight = { 0 };
    for (int k = 0; k < 20000; k++) {
        struct history h;
        cr_assert(history_draw(&h, &r, &way.likelier, 4, (uint64_t)k, YEAR));
        odds_sample_add(&weight, 1.0, history_weight(&h, &r, &way.likelier, YEAR));
        history_free(&h);
    }
    const double error = odds_sample_error(&weight);
    cr_assert_lt(error, 0.03);
    cr_assert_float_eq(weight.mean, 1.0, 4.0 * error, "%g +- %g", weight.mean, error);
}

/* ---- both routes ------------------------------------------------------------------------------
 */

/* Where neither phase nor mending plays a part the sets say what the years show. */
static void agree(enum rate_kind kind, double blocked, double inspected)
{
    const struct plant p = at_rest();
    struct plan plan = sound(&p);
    plan.risk.inspected = inspected;
    set_rate(&plan, mode_of("feed solenoid", "sticks open"), RATE_PER_TIME, 0.3);
    set_rate(&plan, mode_of("overflow pipe", "blocked"), kind, blocked);
    struct campaign *c = campaign_of(&p, &plan, 0);
    struct years *y = years_of(c, &p, &plan);
    cr_assert(years_silent(y, hazard_of(y, "overflow pipe", "blocked")));
    cr_assert_not(years_silent(y, hazard_of(y, "feed solenoid", "sticks open")));

    struct years_way way = years_plain(11);
    struct years_found f, w;
    cr_assert_eq(years_find(y, &way, 3000, &f), STATUS_OK);
    const double share = share_by_sets(c, &p, &plan);
    const struct odds_interval i = odds_wilson(f.spills, f.years, 0.98);
    cr_assert(share >= i.low && share <= i.high, "sets %g, years %g to %g", share, i.low, i.high);

    way.seed = 12;
    for (int k = 0; k < HAZARDS_MAX; k++)
        way.likelier.times[k] = 4.0;
    cr_assert_eq(years_find(y, &way, 3000, &w), STATUS_OK);
    const double error = odds_sample_error(&w.weighted);
    cr_assert_lt(error, 0.15 * share, "the weighted years tell too little: %g of %g", error, share);
    cr_assert_gt(w.spills, 2 * f.spills);
    cr_assert_float_eq(w.weighted.mean, share, 3.0 * error, "sets %g, weighted years %g +- %g",
                       share, w.weighted.mean, error);
    years_free(y);
    campaign_free(c);
}

Test(years, agree_with_the_sets_where_a_pipe_is_blocked_for_good)
{
    agree(RATE_STANDING, 0.1, YEAR);
}

Test(years, agree_with_the_sets_where_parts_are_tested_four_times_a_year)
{
    agree(RATE_PER_TIME, 0.5, YEAR / 4.0);
}

Test(years, agree_with_the_sets_where_parts_are_tested_every_three_years)
{
    agree(RATE_PER_TIME, 0.05, 3.0 * YEAR);
}

/* ---- one year ---------------------------------------------------------------------------------
 */

/* A plant that works, with draws and served water. */
static void working(struct plant *p, struct plan *plan)
{
    *p = fixture_plant();
    p->train[2].params.membrane.wear.on = false;
    *plan = sound(p);
    plan->draws = 1;
    plan->draw[0].first = 2.0 * DAY;
    plan->draw[0].every = 5.0 * DAY;
    set_rate(plan, mode_of("feed solenoid", "sticks open"), RATE_PER_TIME, 1.0);
    set_rate(plan, mode_of("top-off pump", "dead"), RATE_PER_TIME, 0.5);
    set_rate(plan, RATES_POWER_CUT, RATE_PER_TIME, 3.0);
}

static double first_drop(const struct year *y)
{
    return fmin(y->tank, y->served);
}

Test(years, left_out_days_and_chemistry_change_little)
{
    struct plant p;
    struct plan plan;
    working(&p, &plan);
    struct campaign *c = campaign_of(&p, &plan, 0);
    struct years *y = years_of(c, &p, &plan);
    const struct years_way quick = years_plain(5);
    struct years_way whole = quick, chemistry = quick;
    whole.whole = chemistry.chemistry = true;
    int wet = 0;
    for (long k = 0; k < 12; k++) {
        const struct year a = years_try(y, &quick, k), b = years_try(y, &whole, k);
        cr_assert_eq(a.status, STATUS_OK);
        cr_assert_eq(b.status, STATUS_OK);
        cr_assert_eq(isfinite(first_drop(&a)), isfinite(first_drop(&b)), "year %ld", k);
        if (isinf(first_drop(&a)) || wet++ >= 3)
            continue;
        const struct year d = years_try(y, &chemistry, k);
        cr_assert_eq(d.status, STATUS_OK);
        /* the phase of the fill may be another after a cut: a cycle at most */
        cr_assert_float_eq(first_drop(&a), first_drop(&b), campaign_cycle(c), "year %ld", k);
        cr_assert_float_eq(first_drop(&b), first_drop(&d), 0.05 * DAY, "year %ld: %g s, %g s", k,
                           first_drop(&b), first_drop(&d));
        cr_assert_float_eq(a.floor, b.floor, 0.02 * b.floor);
        /* beds as new let more through than those that have worked for months */
        cr_assert(b.floor >= 0.995 * d.floor && b.floor <= 1.05 * d.floor, "%g m3, %g m3", b.floor,
                  d.floor);
    }
    cr_assert_geq(wet, 3, "too few years spill to compare");
    years_free(y);
    campaign_free(c);
}

/* A plant whose diverting a reading ends: its years are those of a run with all chemistry. */
Test(years, follow_what_is_dissolved_where_it_steers_the_water)
{
    struct plant p;
    struct plan plan;
    working(&p, &plan);
    p.rinse.divert = 0.5 * DAY;
    p.rinse.divert_below = 0.05;
    struct campaign *c = campaign_of(&p, &plan, 0);
    struct years *y = years_of(c, &p, &plan);
    const struct years_way quick = years_plain(5);
    struct years_way chemistry = quick;
    chemistry.chemistry = true;
    int wet = 0;
    for (long k = 0; k < 12 && wet < 3; k++) {
        const struct year a = years_try(y, &quick, k), b = years_try(y, &chemistry, k);
        cr_assert_eq(a.status, STATUS_OK);
        cr_assert_eq(b.status, STATUS_OK);
        cr_assert_eq(isfinite(first_drop(&a)), isfinite(first_drop(&b)), "year %ld", k);
        if (isinf(first_drop(&a)))
            continue;
        wet++;
        cr_assert_float_eq(first_drop(&a), first_drop(&b), campaign_cycle(c), "year %ld", k);
        cr_assert_float_eq(a.floor, b.floor, 0.02 * b.floor);
    }
    cr_assert_geq(wet, 3, "too few years spill to compare");
    years_free(y);
    campaign_free(c);
}

Test(years, do_not_depend_on_the_number_of_threads)
{
    struct plant p;
    struct plan plan;
    working(&p, &plan);
    static struct years_found f[2];
    for (int jobs = 1; jobs <= 2; jobs++) {
        struct campaign *c = campaign_of(&p, &plan, jobs);
        struct years *y = years_of(c, &p, &plan);
        const struct years_way way = years_plain(6);
        cr_assert_eq(years_find(y, &way, 40, &f[jobs - 1]), STATUS_OK);
        years_free(y);
        campaign_free(c);
    }
    cr_assert_gt(f[0].spills, 0);
    cr_assert_eq(memcmp(&f[0], &f[1], sizeof f[0]), 0);
}

Test(years, without_any_rate_nothing_happens)
{
    const struct plant p = at_rest();
    const struct plan plan = sound(&p);
    struct campaign *c = campaign_of(&p, &plan, 1);
    struct years *y = years_of(c, &p, &plan);
    const struct years_way way = years_plain(7);
    struct years_found f;
    cr_assert_eq(years_find(y, &way, 500, &f), STATUS_OK);
    cr_assert_eq(f.spills + f.dry, 0);
    cr_assert_eq(f.weighted.mean, 0.0);
    years_free(y);
    campaign_free(c);
}
