/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * odds: against every outcome counted one by one, closed forms, limits, drawn histories, and the
 * definitions of the intervals.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <string.h>

#include "sim/odds.h"

#define COUNT(a) ((int)(sizeof(a) / sizeof(a)[0]))

static double uniform(uint64_t *seed)
{
    *seed = *seed * 6364136223846793005u + 1442695040888963407u;
    return ((double)(*seed >> 11) + 0.5) * 0x1p-53;
}

static int below(uint64_t *seed, int n)
{
    return (int)(uniform(seed) * n);
}

static double wait(uint64_t *seed, double rate) /* until the next failure */
{
    return rate > 0.0 ? -log(uniform(seed)) / rate : INFINITY;
}

static void near(double got, double expected, double relative, const char *what)
{
    cr_assert(fabs(got - expected) <= relative * fabs(expected), "%s: %.15g, not %.15g", what, got,
              expected);
}

/* ---- sets ------------------------------------------------------------------------------------ */

struct system {
    uint64_t set[12];
    double p[9];
    struct odds_tree tree;
};

static void draw_system(struct system *s, uint64_t *seed)
{
    const int events = 1 + below(seed, COUNT(s->p)), sets = below(seed, COUNT(s->set) + 1);
    const double scale = below(seed, 2) ? 1.0 : 1e-6;
    for (int i = 0; i < events; i++)
        s->p[i] = below(seed, 12) ? scale * uniform(seed) : below(seed, 2);
    for (int j = 0; j < sets; j++) {
        s->set[j] = 0;
        for (int k = below(seed, 4); k >= 0; k--)
            s->set[j] |= (uint64_t)1 << below(seed, events);
    }
    s->tree = (struct odds_tree){ s->set, s->p, sets, events };
}

/* Adds up the outcomes in which all of `sure` and none of `never` happen, for certain, and some set
 * that holds all of `wanted` is complete. */
static double counted(const struct odds_tree *t, uint64_t sure, uint64_t never, uint64_t wanted)
{
    double sum = 0.0;
    for (uint64_t outcome = 0; outcome < (uint64_t)1 << t->events; outcome++) {
        double p = 1.0;
        for (int i = 0; i < t->events; i++) {
            const double chance = sure >> i & 1 ? 1.0 : never >> i & 1 ? 0.0 : t->p[i];
            p *= outcome >> i & 1 ? chance : 1.0 - chance;
        }
        bool happens = false;
        for (int j = 0; j < t->sets; j++)
            happens |= !(t->set[j] & ~outcome) && !(wanted & ~t->set[j]);
        sum += happens ? p : 0.0;
    }
    return sum;
}

Test(odds, exact_chance_is_the_sum_over_every_outcome)
{
    uint64_t seed = 1;
    for (int trial = 0; trial < 1000; trial++) {
        struct system s;
        draw_system(&s, &seed);
        near(odds_exact(&s.tree), counted(&s.tree, 0, 0, 0), 1e-13, "exact");
    }
}

Test(odds, minimal_sets_happen_as_often_and_hold_none_of_each_other)
{
    uint64_t seed = 2;
    for (int trial = 0; trial < 1000; trial++) {
        struct system s, all;
        draw_system(&s, &seed);
        all = s;
        all.tree.set = all.set;
        all.tree.p = all.p;
        s.tree.set = s.set;
        s.tree.sets = odds_minimal(s.set, s.tree.sets);
        near(odds_exact(&s.tree), counted(&all.tree, 0, 0, 0), 1e-13, "exact");
        for (int j = 0; j < s.tree.sets; j++)
            for (int k = 0; k < s.tree.sets; k++)
                cr_assert(j == k || (s.set[j] & ~s.set[k]), "trial %d: %d in %d", trial, j, k);
        cr_assert_leq(odds_exact(&s.tree), odds_bound(&s.tree) * (1.0 + 1e-14));
        cr_assert_leq(odds_bound(&s.tree), odds_rare(&s.tree) * (1.0 + 1e-14));
    }
}

Test(odds, importance_is_what_every_outcome_says)
{
    uint64_t seed = 3;
    int seen = 0;
    for (int trial = 0; trial < 1000; trial++) {
        struct system s;
        draw_system(&s, &seed);
        s.tree.sets = odds_minimal(s.set, s.tree.sets);
        const int i = below(&seed, s.tree.events);
        const uint64_t bit = (uint64_t)1 << i;
        const double all = counted(&s.tree, 0, 0, 0), sure = counted(&s.tree, bit, 0, 0),
                     never = counted(&s.tree, 0, bit, 0);
        if (!(all > 0.0 && never > 0.0))
            continue;
        seen++;
        const struct odds_importance got = odds_importance(&s.tree, i);
        cr_assert_float_eq(got.birnbaum, sure - never, 1e-13 * sure);
        cr_assert_float_eq(got.criticality, (sure - never) * s.p[i] / all, 1e-12);
        near(got.fussell_vesely, counted(&s.tree, 0, 0, bit) / all, 1e-12, "Fussell and Vesely");
        near(got.achievement, sure / all, 1e-12, "achievement");
        near(got.reduction, all / never, 1e-12, "reduction");
        near(got.diagnostic, s.p[i] * sure / all, 1e-12, "diagnostic");
    }
    cr_assert_gt(seen, 500);
}

Test(odds, minimal_sets_keep_their_order)
{
    uint64_t sets[] = { 7, 12, 3, 12, 9, 3, 8 | 16, 16 };
    cr_assert_eq(odds_minimal(sets, COUNT(sets)), 4);
    const uint64_t expected[] = { 12, 3, 9, 16 };
    cr_assert_eq(memcmp(sets, expected, sizeof expected), 0);

    uint64_t with_empty[] = { 5, 0, 2, 0 };
    cr_assert_eq(odds_minimal(with_empty, 4), 1);
    cr_assert_eq(with_empty[0], 0);
    cr_assert_eq(odds_minimal(sets, 0), 0);
}

Test(odds, nothing_listed_never_happens_and_an_empty_set_always)
{
    const uint64_t empty[] = { 0 };
    const struct odds_tree never = { empty, NULL, 0, 0 }, always = { empty, NULL, 1, 0 };
    cr_assert_eq(odds_exact(&never), 0.0);
    cr_assert_eq(odds_bound(&never), 0.0);
    cr_assert_eq(odds_exact(&always), 1.0);
    cr_assert_eq(odds_bound(&always), 1.0);
}

/* All pairs of 24 events: it does not happen if none or one of them does. */
Test(odds, all_pairs_of_two_dozen_events)
{
    uint64_t sets[276];
    double p[24], none = 1.0, ratio = 0.0;
    int n = 0;
    for (int i = 0; i < 24; i++) {
        p[i] = 0.001 * (i + 1);
        none *= 1.0 - p[i];
        ratio += p[i] / (1.0 - p[i]);
        for (int j = 0; j < i; j++)
            sets[n++] = (uint64_t)1 << i | (uint64_t)1 << j;
    }
    const struct odds_tree t = { sets, p, n, 24 };
    near(odds_exact(&t), 1.0 - none * (1.0 + ratio), 1e-13, "pairs");
}

Test(odds, all_sixty_four_events)
{
    uint64_t sets[ODDS_EVENTS];
    double p[ODDS_EVENTS];
    for (int i = 0; i < ODDS_EVENTS; i++) {
        sets[i] = (uint64_t)1 << i;
        p[i] = 0.01;
    }
    const struct odds_tree any = { sets, p, ODDS_EVENTS, ODDS_EVENTS };
    near(odds_exact(&any), 1.0 - pow(0.99, 64), 1e-13, "any");
    near(odds_bound(&any), 1.0 - pow(0.99, 64), 1e-13, "any, bound");
    const uint64_t every[] = { UINT64_MAX };
    const struct odds_tree all = { every, p, 1, ODDS_EVENTS };
    near(odds_exact(&all), pow(0.01, 64), 1e-13, "all");
}

Test(odds, tiny_chances_keep_their_digits)
{
    const uint64_t sets[] = { 3, 4 };
    const double p[] = { 1e-80, 1e-70, 3e-150 };
    const struct odds_tree t = { sets, p, 2, 3 };
    near(odds_exact(&t), 4e-150, 1e-15, "exact");
    near(odds_bound(&t), 4e-150, 1e-15, "bound");
    near(odds_rare(&t), 4e-150, 1e-15, "sum");
}

/* ---- faults that wait ------------------------------------------------------------------------ */

/* The difference of exponentials, with the spare digits of long double: good to 1e-19/x. */
static double missing(long double x)
{
    return (double)(1.0L + expm1l(-x) / x);
}

Test(odds, hidden_share_over_all_scales)
{
    for (double x = 1e-12; x < 1e4; x *= 1.7) {
        const struct odds_part part = { .hides = x };
        const double expected = x < 1e-6 ? x / 2.0 - x * x / 6.0 : missing(x);
        near(odds_hidden(x, 1.0), expected, 1e-12, "closed form");
        near(odds_waiting(1, &part, 1, 1.0), expected, 1e-12, "quadrature");
    }
    cr_assert_eq(odds_hidden(0.0, 1.0), 0.0);
    cr_assert_eq(odds_hidden(1.0, 0.0), 0.0);
}

/* Mean of (1 - e^-at)(1 - e^-bt) over 0 to 1. */
static double both(double a, double b)
{
    return missing(a) + missing(b) - missing(a + b);
}

Test(odds, guards_tested_together_follow_the_closed_form)
{
    for (double a = 1e-2; a < 2e3; a *= 3.0)
        for (double b = 1e-2; b < 2e3; b *= 7.0) {
            const struct odds_part part[] = { { .hides = a / 3.0 }, { .hides = b / 3.0 } };
            near(odds_waiting(3, part, 2, 3.0), both(a, b), 1e-10, "two");
        }
    const struct odds_part three[] = { { .hides = 2 }, { .hides = 0.3 }, { .hides = 50 } };
    near(odds_waiting(7, three, 3, 1.0),
         missing(2) + missing(0.3) + missing(50) - missing(2.3) - missing(52) - missing(50.3) +
             missing(52.3),
         1e-13, "three");
}

/* x^n/(n + 1) against (x/2)^n: 4/3 for two, 2 for three. */
Test(odds, plain_product_is_the_unsafe_one)
{
    struct odds_part part[10];
    double product = 1.0;
    for (int n = 1; n <= 10; n++) {
        part[n - 1] = (struct odds_part){ .hides = 1e-9 * n };
        product *= odds_hidden(1e-9 * n, 1.0);
        const double ratio = odds_waiting((1u << n) - 1, part, n, 1.0) / product;
        near(ratio, ldexp(1.0, n) / (n + 1), 1e-7, "ratio");
    }
}

Test(odds, standing_chances_multiply)
{
    const struct odds_part part[] = { { .standing = 0.01 }, { .standing = 0.3 }, { .hides = 0.5 } };
    near(odds_waiting(3, part, 3, 1.0), 0.003, 1e-14, "two");
    near(odds_waiting(7, part, 3, 1.0), 0.003 * odds_hidden(0.5, 1.0), 1e-14, "three");
    near(odds_waiting(3, part, 3, 0.0), 0.003, 1e-14, "tested all the time");
    near(odds_waiting(0, part, 3, 1.0), 1.0, 1e-15, "none");
}

/* Where each part that starts is also one that hides, the sum under the integral is the derivative
 * of the product, so its mean is the product's rise over the interval. */
Test(odds, frequency_of_hidden_faults_is_the_rise_of_their_product)
{
    uint64_t seed = 4;
    for (int trial = 0; trial < 300; trial++) {
        struct odds_part part[6];
        double early = 1.0, late = 1.0;
        const double interval = 0.1 + 10.0 * uniform(&seed);
        const int n = 1 + below(&seed, COUNT(part));
        for (int i = 0; i < n; i++) {
            const double rate = exp(8.0 * uniform(&seed) - 5.0), standing = 0.2 * uniform(&seed);
            part[i] = (struct odds_part){ rate, rate, standing };
            early *= standing;
            late *= 1.0 - (1.0 - standing) * exp(-rate * interval);
        }
        near(odds_frequency((1u << n) - 1, part, n, interval), (late - early) / interval, 1e-12,
             "rise");
    }
}

Test(odds, frequency_of_a_seen_fault_is_its_rate_times_the_waiting_guards)
{
    const struct odds_part part[] = { { .starts = 0.02 }, { .hides = 0.03 }, { .hides = 0.1 } };
    near(odds_frequency(7, part, 3, 2.0), 0.02 * odds_waiting(6, part, 3, 2.0), 1e-14, "guarded");
    near(odds_frequency(1, part, 3, 2.0), 0.02, 1e-15, "bare");
    cr_assert_eq(odds_frequency(6, part, 3, 2.0), 0.0);
    cr_assert_eq(odds_frequency(0, part, 3, 2.0), 0.0);
}

Test(odds, a_failed_part_does_not_fail_again)
{
    const double down = odds_revealed(0.5, 0.2);
    const struct odds_part part[] = { { .starts = 0.5, .standing = down } };
    near(odds_frequency(1, part, 1, 1.0), 1.0 / (1.0 / 0.5 + 0.2), 1e-14, "one per cycle");
}

Test(odds, the_unit_of_time_does_not_matter)
{
    const struct odds_part a[] = { { 0.02, 0.02, 0.01 }, { 0.0, 0.5, 0.0 } };
    const struct odds_part b[] = { { 0.02 / 365, 0.02 / 365, 0.01 }, { 0.0, 0.5 / 365, 0.0 } };
    near(odds_frequency(3, b, 2, 365.0) * 365, odds_frequency(3, a, 2, 1.0), 1e-14, "frequency");
    near(odds_waiting(3, b, 2, 365.0), odds_waiting(3, a, 2, 1.0), 1e-14, "waiting");
}

/* A control whose faults are seen, two guards whose faults are not; everything is tested at whole
 * numbers and mended. */
Test(odds, frequency_of_drawn_histories)
{
    const struct odds_part part[] = { { .starts = 1.5 }, { .hides = 0.8 }, { .hides = 0.4 } };
    uint64_t seed = 5;
    const int years = 200000;
    double spills = 0.0, squares = 0.0;
    for (int year = 0; year < years; year++) {
        const double guards = fmax(wait(&seed, 0.8), wait(&seed, 0.4));
        int n = 0;
        for (double t = wait(&seed, 1.5); t < 1.0; t += wait(&seed, 1.5))
            n += t > guards;
        spills += n;
        squares += n * n;
    }
    const double mean = spills / years, error = sqrt(squares / years - mean * mean) / sqrt(years);
    cr_assert_float_eq(odds_frequency(7, part, 3, 1.0), mean, 4.0 * error, "%g, drawn %g +- %g",
                       odds_frequency(7, part, 3, 1.0), mean, error);
    cr_assert_lt(error, 0.02 * mean);
}

Test(odds, mending_at_its_limits)
{
    for (double x = 1e-6; x < 20.0; x *= 5.0)
        near(odds_hidden_mended(x, 1.0, 0.0), odds_hidden(x, 1.0), 1e-14, "at once");
    near(odds_hidden_mended(1e-6, 1.0, 0.3), 1e-6 * (0.5 + 0.3), 1e-5, "first order");
    near(odds_hidden_mended(1e4, 1.0, 1.0), 1.0, 1e-3, "always failed");
}

Test(odds, mending_of_drawn_histories)
{
    const double rate = 0.7, mending = 0.4;
    uint64_t seed = 6;
    double down = 0.0, squares = 0.0, from = 0.0;
    const int years = 200000;
    for (int year = 0; year < years; year++) {
        const double fails = from + wait(&seed, rate), missed = from + fmax(0.0, 1.0 - fails);
        from = fails < 1.0 ? mending : 0.0;
        down += missed;
        squares += missed * missed;
    }
    const double mean = down / years, error = sqrt((squares / years - mean * mean) / years);
    cr_assert_float_eq(odds_hidden_mended(rate, 1.0, mending), mean, 5.0 * error);
}

/* Adds up the availability interval by interval. */
static double partly(double rate, double coverage, int intervals)
{
    double up = 0.0;
    for (int k = 0; k < intervals; k++)
        up += exp(-(1.0 - coverage) * rate * k) * -expm1(-rate) / rate;
    return 1.0 - up / intervals;
}

Test(odds, test_that_finds_only_a_share)
{
    for (double c = 0.0; c <= 1.0; c += 0.25)
        for (int n = 1; n <= 20; n += 6)
            for (double rate = 0.01; rate < 10.0; rate *= 3.0)
                near(odds_hidden_partly(rate, 1.0, c, n), partly(rate, c, n), 1e-11, "partly");
    near(odds_hidden_partly(1e-9, 1.0, 0.6, 8.0), 1e-9 * (0.3 + 0.4 * 4.0), 1e-8, "first order");
    near(odds_hidden_partly(0.3, 1.0, 0.0, 8.0), odds_hidden(0.3, 8.0), 1e-14, "finds nothing");
    near(odds_hidden_partly(0.3, 1.0, 1.0, 8.0), odds_hidden(0.3, 1.0), 1e-14, "finds all");
}

/* ---- common cause ---------------------------------------------------------------------------- */

Test(odds, pair_follows_its_closed_form)
{
    for (double beta = 0.0; beta <= 1.0; beta += 0.125)
        for (double x = 0.03; x < 100.0; x *= 3.0)
            near(odds_pair(x / 2.0, 2.0, beta), 2.0 * missing(x) - missing((2.0 - beta) * x), 1e-11,
                 "pair");
    near(odds_pair(1e-9, 1.0, 0.0), 1e-18 / 3.0, 1e-8, "tiny");
    near(odds_pair(0.3, 1.0, 1.0), odds_hidden(0.3, 1.0), 1e-13, "always together");
}

Test(odds, standard_form_is_the_exact_one_to_first_order)
{
    for (double beta = 0.0; beta <= 1.0; beta += 0.25)
        near(odds_iec_pair(1e-7, 1.0, 0.0, beta), odds_pair(1e-7, 1.0, beta), 1e-6, "pair");
    near(odds_iec_single(1e-7, 1.0, 0.2), odds_hidden_mended(1e-7, 1.0, 0.2), 1e-6, "single");
}

/* A control and its guard of one kind, 0.02 a year, tested each quarter, beta 5 %. */
Test(odds, common_cause_of_control_and_guard_is_an_initiator)
{
    const struct odds_split split = odds_split(0.02, 0.05);
    cr_assert_float_eq(split.alone + split.together, 0.02, 1e-17);
    const struct odds_part part[] = { { .starts = split.alone },
                                      { .hides = split.alone },
                                      { .starts = split.together } };
    const double apart = odds_frequency(3, part, 3, 0.25);
    const double all = apart + odds_frequency(4, part, 3, 0.25);
    near(apart, 0.019 * 0.019 * 0.125, 2e-3, "apart");
    near(all, 1.045e-3, 1e-3, "together");
    cr_assert_gt(all, 20.0 * 0.02 * odds_hidden(0.02, 0.25));
}

/* ---- poorly known rates ---------------------------------------------------------------------- */

Test(odds, error_factor_is_the_ninety_fifth_percentile_over_the_median)
{
    near(odds_quantile(0.02, 5.0, 0.95), 0.1, 1e-9, "95 %");
    near(odds_quantile(0.02, 5.0, 0.50), 0.02, 1e-12, "50 %");
    near(odds_quantile(0.02, 5.0, 0.05), 0.004, 1e-9, "5 %");
    near(odds_quantile(0.02, 1.0, 0.99), 0.02, 1e-15, "known exactly");
    near(odds_product_factor((const double[]){ 7.0 }, 1), 7.0, 1e-14, "one");
}

Test(odds, lognormal_mean_is_the_mean_of_its_quantiles)
{
    double sum = 0.0;
    const int n = 200000;
    for (int i = 0; i < n; i++)
        sum += odds_quantile(2.0, 5.0, (i + 0.5) / n);
    near(sum / n, odds_mean(2.0, 5.0), 2e-4, "mean");
}

/* ---- what trials prove ----------------------------------------------------------------------- */

static double binomial(long k, long n, double p)
{
    return exp(lgamma((double)n + 1) - lgamma((double)k + 1) - lgamma((double)(n - k) + 1) +
               (double)k * log(p) + (double)(n - k) * log1p(-p));
}

static double at_most(long k, long n, double p)
{
    double sum = 0.0;
    for (long i = 0; i <= k; i++)
        sum += binomial(i, n, p);
    return sum;
}

Test(odds, clopper_and_pearson_leave_half_of_the_rest_on_each_side)
{
    for (long n = 1; n <= 4000; n = 3 * n + 1)
        for (long k = 0; k <= n && k < 30; k++) {
            const struct odds_interval i = odds_clopper_pearson(k, n, 0.9);
            const struct odds_interval turned = odds_clopper_pearson(n - k, n, 0.9);
            cr_assert_float_eq(i.low, 1.0 - turned.high, 1e-12);
            cr_assert(k < n || i.high == 1.0);
            cr_assert(k > 0 || i.low == 0.0);
            if (k < n)
                near(at_most(k, n, i.high), 0.05, 1e-8, "above");
            if (k > 0)
                near(1.0 - at_most(k - 1, n, i.low), 0.05, 1e-8, "below");
        }
}

/* Its ends are where the observed share lies z standard deviations away. */
Test(odds, wilson_solves_its_equation)
{
    const double z = 1.959963984540054;
    for (long n = 1; n <= 1000000; n *= 10)
        for (long k = 0; k <= n; k += 1 + n / 7) {
            const struct odds_interval i = odds_wilson(k, n, 0.95);
            const double share = (double)k / (double)n;
            if (k > 0)
                near(share - i.low, z * sqrt(i.low * (1 - i.low) / (double)n), 1e-8, "low");
            if (k < n)
                near(i.high - share, z * sqrt(i.high * (1 - i.high) / (double)n), 1e-8, "high");
            cr_assert(i.low >= 0.0 && i.high <= 1.0 && i.low <= share && share <= i.high);
        }
}

Test(odds, clopper_and_pearson_cover_as_often_as_they_say)
{
    for (double p = 0.01; p < 1.0; p += 0.07) {
        double covered = 0.0, by_wilson = 0.0;
        for (long k = 0; k <= 60; k++) {
            const struct odds_interval c = odds_clopper_pearson(k, 60, 0.95),
                                       w = odds_wilson(k, 60, 0.95);
            covered += c.low <= p && p <= c.high ? binomial(k, 60, p) : 0.0;
            by_wilson += w.low <= p && p <= w.high ? binomial(k, 60, p) : 0.0;
        }
        cr_assert_geq(covered, 0.95, "p %g: %g", p, covered);
        cr_assert(by_wilson > 0.87, "p %g: %g", p, by_wilson);
    }
}

Test(odds, intervals_up_to_the_most_trials)
{
    const long hits[] = { 0, 1, 7, 1000, 90909, 181818, 500000, 999999, ODDS_TRIALS };
    for (int i = 0; i < COUNT(hits); i++) {
        const struct odds_interval c = odds_clopper_pearson(hits[i], ODDS_TRIALS, 0.95),
                                   w = odds_wilson(hits[i], ODDS_TRIALS, 0.95);
        const double spread = 1e-6 + 1e-3 * sqrt(1e-6 * (double)hits[i]);
        cr_assert_float_eq(c.low, w.low, spread, "%ld", hits[i]);
        cr_assert_float_eq(c.high, w.high, 2.0 * spread, "%ld", hits[i]);
    }
}

static double poisson_at_most(long k, double mean)
{
    double sum = 0.0;
    for (long i = 0; i <= k; i++)
        sum += exp((double)i * log(mean) - mean - lgamma((double)i + 1));
    return sum;
}

Test(odds, rates_leave_half_of_the_rest_on_each_side)
{
    for (long k = 0; k < 3000; k = 2 * k + 1) {
        const struct odds_interval i = odds_rate_interval(k, 50.0, 0.9);
        near(poisson_at_most(k, 50.0 * i.high), 0.05, 1e-8, "above");
        if (k > 0)
            near(1.0 - poisson_at_most(k - 1, 50.0 * i.low), 0.05, 1e-8, "below");
        else
            cr_assert_eq(i.low, 0.0);
        near(odds_rate_limit(k, 50.0, 0.95), i.high, 1e-12, "one side");
    }
}

Test(odds, share_of_years_and_frequency_are_inverse)
{
    for (double f = 1e-12; f < 10.0; f *= 3.0)
        near(odds_frequency_of_share(odds_share(f)), f, 1e-10, "back");
    cr_assert_float_eq(odds_share(1.0), 1.0 - exp(-1.0), 1e-15);
    near(odds_share(1e-9), 1e-9 - 5e-19, 1e-15, "rare");
}

Test(odds, unweighted_trials_are_plain_ones)
{
    struct odds_sample s = { 0 };
    for (int i = 0; i < 1000; i++)
        odds_sample_add(&s, i % 40 == 0, 1.0);
    cr_assert_float_eq(s.mean, 0.025, 1e-15);
    near(odds_sample_error(&s), sqrt(0.025 * 0.975 / 999.0), 1e-12, "error");
    near(odds_sample_trials(&s), 999.0, 1e-12, "trials");
    near(odds_sample_hits(&s), 25.0, 1e-12, "hits");
}

Test(odds, one_heavy_trial_is_one_hit)
{
    struct odds_sample s = { 0 };
    for (int i = 0; i < 1000; i++)
        odds_sample_add(&s, i % 2, i == 7 ? 1e6 : 1e-6);
    near(odds_sample_hits(&s), 1.0, 1e-6, "hits");
    near(odds_sample_error(&s), s.mean, 1e-6, "error");
}

Test(odds, a_large_mean_does_not_hide_a_small_spread)
{
    struct odds_sample s = { 0 };
    for (int i = 0; i < 1000; i++)
        odds_sample_add(&s, 1e9 + i % 2, 1.0);
    near(odds_sample_error(&s), sqrt(0.25 / 999.0), 1e-6, "error");
}

/* Failures come four times as often as they should; the weights undo it, count by count. */
Test(odds, weights_give_back_the_true_rate)
{
    const double span = 2.0, rate = 0.3, drawn = 1.2;
    for (long k = 0; k < 12; k++) {
        const double as_drawn = exp(-drawn * span) * pow(drawn * span, (double)k);
        const double as_true = exp(-rate * span) * pow(rate * span, (double)k);
        near(as_drawn * odds_weight(rate, drawn, k, span), as_true, 1e-13, "count");
    }
    cr_assert_eq(odds_weight(0.0, 1.0, 1, 1.0), 0.0);
}

/* ---- bad input ------------------------------------------------------------------------------- */

Test(odds, rates_and_times_out_of_range_are_not_numbers)
{
    const double got[] = {
        odds_sigma(0.9),
        odds_mean(-1.0, 3.0),
        odds_mean(1.0, 0.0),
        odds_quantile(1.0, 3.0, 0.0),
        odds_quantile(1.0, 3.0, 1.0),
        odds_product_factor((const double[]){ 3.0, 0.5 }, 2),
        odds_weibull_mean(0.0, 1.0),
        odds_weibull_mean(1.0, -1.0),
        odds_weibull_share(1.0, 1.0, -1.0),
        odds_hidden(-1.0, 1.0),
        odds_hidden(1.0, NAN),
        odds_hidden(INFINITY, 1.0),
        odds_hidden_mended(1.0, 1.0, 1.1),
        odds_hidden_mended(1.0, 0.0, 0.0),
        odds_hidden_partly(1.0, 1.0, 1.1, 2.0),
        odds_hidden_partly(1.0, 1.0, 0.5, 0.5),
        odds_revealed(1.0, -1.0),
        odds_split(1.0, 1.1).alone,
        odds_split(-1.0, 0.1).together,
        odds_pair(1.0, 1.0, -0.1),
        odds_pair(-1.0, 1.0, 0.1),
        odds_iec_single(1.0, -1.0, 0.0),
        odds_iec_pair(1.0, 1.0, -1.0, 0.1),
        odds_iec_pair(1.0, 1.0, 1.0, 2.0),
    };
    for (int i = 0; i < COUNT(got); i++)
        cr_assert(isnan(got[i]), "row %d: %g", i, got[i]);
}

Test(odds, trials_out_of_range_are_not_numbers)
{
    struct odds_sample none = { 0 }, one = { 0 };
    odds_sample_add(&one, 1.0, 0.5);
    const double got[] = {
        odds_wilson(-1, 10, 0.95).low,
        odds_wilson(11, 10, 0.95).high,
        odds_wilson(0, 0, 0.95).high,
        odds_wilson(1, 10, 1.0).high,
        odds_clopper_pearson(11, 10, 0.95).low,
        odds_clopper_pearson(1, 10, -0.5).high,
        odds_clopper_pearson(1, ODDS_TRIALS + 1, 0.95).high,
        odds_share_limit(0, 0, 0.95),
        odds_share_limit(1, 10, 0.0),
        odds_rate_interval(-1, 1.0, 0.95).low,
        odds_rate_interval(1, 0.0, 0.95).high,
        odds_rate_interval(1, 1.0, -0.5).high,
        odds_rate_limit(ODDS_COUNT + 1, 1.0, 0.95),
        odds_share(-1.0),
        odds_frequency_of_share(1.0),
        odds_trials_needed(0.0, 0.1),
        odds_trials_needed(0.1, 0.0),
        odds_weight(1.0, 0.0, 1, 1.0),
        odds_weight(1.0, 1.0, -1, 1.0),
        odds_sample_error(&none),
        odds_sample_error(&one),
        odds_sample_trials(&none),
    };
    for (int i = 0; i < COUNT(got); i++)
        cr_assert(isnan(got[i]), "row %d: %g", i, got[i]);
    cr_assert_eq(odds_sample_hits(&none), 0.0);
}

Test(odds, parts_and_events_out_of_range_are_not_numbers)
{
    const struct odds_part good[] = { { 1.0, 1.0, 0.1 } }, bad[] = { { 1.0, 1.0, 1.1 } },
                           backward[] = { { 1.0, -1.0, 0.1 } };
    const uint64_t sets[] = { 2 };
    const double p[] = { 0.1, 0.1 }, wrong[] = { 0.1, NAN };
    const struct odds_tree beyond = { sets, p, 1, 1 }, strange = { sets, wrong, 1, 2 },
                           fine = { sets, p, 1, 2 };
    const double got[] = {
        odds_waiting(2, good, 1, 1.0),
        odds_waiting(1, bad, 1, 1.0),
        odds_frequency(1, backward, 1, 1.0),
        odds_frequency(1, good, 1, -1.0),
        odds_frequency(1, good, 1, INFINITY),
        odds_exact(&beyond),
        odds_rare(&beyond),
        odds_bound(&strange),
        odds_exact(&strange),
        odds_importance(&fine, 2).birnbaum,
        odds_importance(&fine, -1).reduction,
        odds_importance(&strange, 0).diagnostic,
    };
    for (int i = 0; i < COUNT(got); i++)
        cr_assert(isnan(got[i]), "row %d: %g", i, got[i]);
}
