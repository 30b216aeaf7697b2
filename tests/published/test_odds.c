/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * odds: fault trees, importance, standby, common cause, intervals and weighted trials against
 * published values.  Marks: [read] was seen in the source or in a quotation of it, [memory] is
 * recalled, [computed] follows from the printed equation.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <stdint.h>

#include "sim/odds.h"

#define COUNT(a) ((int)(sizeof(a) / sizeof(a)[0]))
#define TREE(sets, chances)                                                                        \
    {                                                                                              \
        (sets), (chances), COUNT(sets), COUNT(chances)                                             \
    }

static void near(double got, double expected, double relative, const char *what)
{
    cr_assert(fabs(got / expected - 1.0) <= relative, "%s: %.12g, not %.12g", what, got, expected);
}

/* To the digits that are printed: half a unit of the last of them. */
static void printed(double got, double expected, int digits, const char *what)
{
    const double unit = pow(10.0, floor(log10(expected)) - digits + 1);
    cr_assert_float_eq(got, expected, 0.5001 * unit, "%s: %.6g, not %.6g", what, got, expected);
}

/* ---- fault trees ----------------------------------------------------------------------------- */

enum { T = 1, K2 = 2, S = 4, S1 = 8, K1 = 16, R = 32 };
static const uint64_t pressure_tank[] = { T, K2, S | S1, S | K1, S | R };

/* NASA Fault Tree Handbook with Aerospace Applications, 2002; 3.5013348120867e-5 of a public suite
 * of fault trees, FFORT [read]. */
Test(published_odds, pressure_tank)
{
    const double p[] = { 5e-6, 3e-5, 1e-4, 3e-5, 5e-6, 1e-4 };
    const struct odds_tree t = TREE(pressure_tank, p);
    near(odds_exact(&t), 3.5013348120867e-5, 1e-7, "of the suite");
    near(odds_exact(&t), 3.501334916e-5, 1e-9, "exact [computed]");
    near(odds_rare(&t), 3.50135e-5, 1e-9, "sum");
}

/* NUREG-0492, 1981, with K1 = 3e-5: inputs [memory], shares [computed]. */
Test(published_odds, shares_of_the_older_pressure_tank)
{
    const double p[] = { 5e-6, 3e-5, 1e-4, 3e-5, 3e-5, 1e-4 };
    const struct odds_tree t = TREE(pressure_tank, p);
    near(odds_rare(&t), 3.5016e-5, 1e-9, "sum");
    cr_assert_float_eq(odds_importance(&t, 0).fussell_vesely, 0.1428, 5e-5);
    cr_assert_float_eq(odds_importance(&t, 1).fussell_vesely, 0.8568, 5e-5);
    cr_assert_float_eq(odds_importance(&t, 2).fussell_vesely, 0.00046, 5e-6);
}

/* The handbook's seals: one of 0.1 with 1e-5, or four of 1e-3 [read].  Plain doubles lose the
 * seventh digit of 1 - (1 - p)(1 - p). */
Test(published_odds, seals_keep_every_digit)
{
    const uint64_t sets[] = { 3, 60 };
    const double p[] = { 0.1, 1e-5, 1e-3, 1e-3, 1e-3, 1e-3 };
    const struct odds_tree t = TREE(sets, p);
    near(odds_exact(&t), 1.000000999999e-6, 1e-14, "exact");
    near(odds_bound(&t), 1.000000999999e-6, 1e-14, "bound");
}

/* Mentes & Helvacioglu 2011, spread mooring, in FFORT [read]. */
Test(published_odds, spread_mooring)
{
    const uint64_t sets[] = { 1, 2, 4, 8, 16, 32, 64, 128, 256, 512 };
    const double p[] = { 1.73e-5, 4.20e-3, 9.31e-3, 8.64e-3, 8.95e-6,
                         8.95e-6, 9.93e-5, 4.37e-5, 5.46e-8, 4.17e-3 };
    const struct odds_tree t = TREE(sets, p);
    cr_assert_float_eq(odds_exact(&t), 0.026246389824230, 1e-15);
    cr_assert_float_eq(odds_bound(&t), 0.026246389824230, 1e-15);
}

enum { V1 = 1, P1 = 2, V2 = 4, P2 = 8 };
static const uint64_t two_trains[] = { V1 | V2, V1 | P2, P1 | V2, P1 | P2 };

/* Two trains, each a valve and a pump, of the test suite of a public fault-tree tool [read]. */
Test(published_odds, two_trains)
{
    const double p[] = { 0.4, 0.6, 0.5, 0.7 }, even[] = { 0.5, 0.7, 0.5, 0.7 },
                 small[] = { 0.04, 0.06, 0.05, 0.07 };
    const struct odds_tree t = TREE(two_trains, p), e = TREE(two_trains, even),
                           s = TREE(two_trains, small);
    cr_assert_float_eq(odds_exact(&t), 0.646, 1e-15);
    cr_assert_float_eq(odds_bound(&t), 0.766144, 1e-15);
    cr_assert_float_eq(odds_exact(&e), 0.7225, 1e-15);
    cr_assert_gt(odds_rare(&e), 1.0);
    cr_assert_float_eq(odds_rare(&s), 0.012, 1e-15);
}

/* The same suite: importance and the chance given the top event, within 5e-4 [read]. */
Test(published_odds, importance_in_two_trains)
{
    const double p[] = { 0.4, 0.6, 0.5, 0.7 };
    const struct odds_tree t = TREE(two_trains, p);
    static const double rows[][5] = {
        /* birnbaum, criticality, RAW, RRW, diagnostic */
        { 0.34, 0.2105, 1.316, 1.267, 0.5263 },
        { 0.51, 0.4737, 1.316, 1.9, 0.7895 },
        { 0.228, 0.1765, 1.176, 1.214, 0.5882 },
        { 0.38, 0.4118, 1.176, 1.7, 0.8235 },
    };
    for (int i = 0; i < COUNT(rows); i++) {
        const struct odds_importance got = odds_importance(&t, i);
        cr_assert_float_eq(got.birnbaum, rows[i][0], 5e-4, "event %d", i);
        cr_assert_float_eq(got.criticality, rows[i][1], 5e-4, "event %d", i);
        cr_assert_float_eq(got.achievement, rows[i][2], 5e-4, "event %d", i);
        cr_assert_float_eq(got.reduction, rows[i][3], 5e-4, "event %d", i);
        cr_assert_float_eq(got.diagnostic, rows[i][4], 5e-4, "event %d", i);
    }
}

/* The same suite: three trains, all chances 0.1, beta 0.2 among the valves and among the pumps;
 * ten minimal sets, within 1e-5 [read]. */
Test(published_odds, three_trains_with_common_cause)
{
    const struct odds_split split = odds_split(0.1, 0.2);
    double p[8] = { [6] = split.together, [7] = split.together };
    uint64_t sets[10] = { [8] = 1 << 6, [9] = 1 << 7 };
    for (int i = 0; i < 6; i++)
        p[i] = split.alone; /* valve and pump of each train */
    for (int i = 0; i < 8; i++)
        sets[i] = 1u << (i & 1) | 4u << (i >> 1 & 1) | 16u << (i >> 2);
    const struct odds_tree t = TREE(sets, p);
    cr_assert_eq(odds_minimal(sets, 10), 10);
    cr_assert_float_eq(odds_exact(&t), 0.04308, 1e-5);
    cr_assert_float_eq(odds_rare(&t), 0.044096, 1e-5);
}

/* ---- in time --------------------------------------------------------------------------------- */

/* Radio block centre, Flammini et al. 2005, in FFORT: groups of parts that are repaired at once,
 * rates and repairs per hour [read]. */
Test(published_odds, radio_block_centre)
{
    static const struct {
        int parts, needed; /* how many, how many failed */
        double rate, repairs;
    } groups[] = { { 3, 3, 1.8182e-5, 6 }, { 2, 2, 2.5e-6, 6 },    { 2, 2, 4.4444e-6, 4 },
                   { 2, 2, 5.7078e-6, 6 }, { 3, 2, 7.4074e-6, 6 }, { 2, 2, 3.003e-9, 4 } };
    uint64_t sets[16];
    double p[16];
    int events = 0, n = 0;
    for (int g = 0; g < COUNT(groups); events += groups[g++].parts) {
        for (int i = 0; i < groups[g].parts; i++)
            p[events + i] = odds_revealed(groups[g].rate, 1.0 / groups[g].repairs);
        for (unsigned mask = 0; mask < 1u << groups[g].parts; mask++)
            if (__builtin_popcount(mask) == groups[g].needed)
                sets[n++] = (uint64_t)mask << events;
    }
    const struct odds_tree t = { sets, p, n, events };
    cr_assert_eq(n, 8);
    near(odds_exact(&t), 6.8855993e-12, 1e-6, "unavailability");
}

/* The exponential curve of the same suite, to the digits that it prints [read]; with the digits of
 * the equation [computed]. */
Test(published_odds, exponential_curve)
{
    static const double rows[][4] = {
        { 24, 2.399e-4, 1e-7, 2.3997e-4 },   { 48, 4.7989e-4, 1e-8, 4.7988e-4 },
        { 72, 7.197e-4, 1e-7, 7.1974e-4 },   { 96, 9.595e-4, 1e-7, 9.5954e-4 },
        { 120, 1.199e-3, 1e-6, 1.19928e-3 },
    };
    for (int i = 0; i < COUNT(rows); i++) {
        const double got = odds_weibull_share(1e5, 1.0, rows[i][0]);
        cr_assert_float_eq(got, rows[i][1], rows[i][2], "%g h", rows[i][0]);
        cr_assert_float_eq(got, rows[i][3], 5e-9, "%g h", rows[i][0]);
    }
}

/* Equations of the source book [computed]. */
Test(published_odds, faults_that_wait)
{
    cr_assert_float_eq(odds_hidden(1e-6, 8760.0), 4.3672e-3, 5e-8);
    cr_assert_float_eq(odds_hidden(0.02, 1.0), 0.00993367, 5e-9);
    cr_assert_float_eq(odds_hidden(0.02, 10.0), 0.09365, 5e-6);
}

/* C l T/2 + (1 - C) l L/2 = 0.0190 at 0.02 a year [computed] is of first order: the exact share is
 * 1.1 % below it, and at a ten-thousandth of the rate they agree. */
Test(published_odds, test_that_misses_faults)
{
    near(odds_hidden_partly(2e-6, 1.0, 0.9, 10.0), 0.0190e-4, 2e-6, "slow");
    cr_assert_float_eq(odds_hidden_partly(0.02, 1.0, 0.9, 10.0), 0.018788, 5e-7);
}

/* Barringer's Weibull database, means as printed there [read, in a copy], within 1 h; shares
 * [computed]. */
Test(published_odds, weibull_means)
{
    static const double rows[][3] = { { 1.1, 75000, 72368 },   { 1.2, 35000, 32923 },
                                      { 1.2, 100000, 94066 },  { 1.2, 50000, 47033 },
                                      { 0.7, 100000, 126582 }, { 1.0, 100000, 100000 },
                                      { 1.1, 25000, 24123 } };
    for (int i = 0; i < COUNT(rows); i++)
        cr_assert_float_eq(odds_weibull_mean(rows[i][1], rows[i][0]), rows[i][2], 1.0, "row %d", i);
    cr_assert_float_eq(odds_weibull_share(75000, 1.1, 8760), 0.0899, 5e-5);
    cr_assert_float_eq(odds_weibull_share(35000, 1.2, 5 * 8760), 0.730, 5e-4);
}

/* ---- redundancy ------------------------------------------------------------------------------ */

/* The form of IEC 61508-6 at 8760 h between tests and 8 h of mending, three digits [computed]; its
 * table B.3 prints 2.2E-04, 4.4E-06, 2.2E-05, 4.4E-05 in the first row [memory]. */
Test(published_odds, one_out_of_two)
{
    static const double beta[] = { 0.02, 0.10, 0.20 };
    static const double rows[][5] = {
        { 0.5e-7, 2.19e-4, 4.45e-6, 2.20e-5, 4.39e-5 },
        { 2.5e-7, 1.10e-3, 2.35e-5, 1.11e-4, 2.20e-4 },
        { 0.5e-6, 2.19e-3, 5.00e-5, 2.25e-4, 4.43e-4 },
        { 2.5e-6, 1.10e-2, 3.74e-4, 1.23e-3, 2.30e-3 },
        { 0.5e-5, 2.19e-2, 1.06e-3, 2.71e-3, 4.80e-3 },
    };
    for (int i = 0; i < COUNT(rows); i++) {
        const double *r = rows[i];
        printed(odds_iec_single(r[0], 8760.0, 8.0), r[1], 3, "single");
        for (int j = 0; j < 3; j++)
            printed(odds_iec_pair(r[0], 8760.0, 8.0, beta[j]), r[2 + j], 3, "pair");
    }
}

Test(published_odds, one_out_of_two_as_the_standard_prints_it)
{
    printed(odds_iec_single(0.5e-7, 8760.0, 8.0), 2.2e-4, 2, "single");
    printed(odds_iec_pair(0.5e-7, 8760.0, 8.0, 0.02), 4.4e-6, 2, "2 %");
    printed(odds_iec_pair(0.5e-7, 8760.0, 8.0, 0.10), 2.2e-5, 2, "10 %");
    printed(odds_iec_pair(0.5e-7, 8760.0, 8.0, 0.20), 4.4e-5, 2, "20 %");
}

/* 0.02 a year, tested yearly [computed]: both failed, with a common cause of 10 % and without. */
Test(published_odds, pair_with_and_without_common_cause)
{
    cr_assert_float_eq(odds_pair(0.02, 1.0, 0.1), 0.00110573, 5e-9);
    cr_assert_float_eq(odds_iec_pair(0.02, 1.0, 0.0, 0.1), 0.001108, 5e-8);
    cr_assert_float_eq(odds_iec_pair(0.02, 1.0, 0.0, 0.0), 1.333e-4, 5e-8);
}

/* The worked overflow tree of the source book, all numbers assumed [computed]. */
Test(published_odds, overflow_tree)
{
    enum { VALVE, SOLENOID, PIPE, PERSON, PARTS };
    const struct odds_part part[PARTS] = {
        [VALVE] = { .starts = 0.02 },
        [SOLENOID] = { .standing = 0.01 },
        [PIPE] = { .standing = 0.01 },
        [PERSON] = { .starts = 12 * 3e-3 },
    };
    const uint64_t valve = 1 << VALVE, solenoid = 1 << SOLENOID, pipe = 1 << PIPE;
    near(odds_frequency(valve | solenoid | pipe, part, PARTS, 1.0), 2.0e-6, 1e-14, "all");
    near(odds_frequency(valve | solenoid, part, PARTS, 1.0), 2.0e-4, 1e-14, "no pipe");
    near(odds_frequency(valve, part, PARTS, 1.0), 2.0e-2, 1e-14, "neither");
    near(odds_frequency(1 << PERSON | pipe, part, PARTS, 1.0), 3.6e-4, 1e-14, "by hand");
}

/* ---- poorly known rates ---------------------------------------------------------------------- */

/* [computed] */
Test(published_odds, error_factors)
{
    static const double rows[][3] = { { 3, 0.6679, 1.2499 },
                                      { 5, 0.9785, 1.6140 },
                                      { 10, 1.3999, 2.6640 } };
    for (int i = 0; i < COUNT(rows); i++) {
        cr_assert_float_eq(odds_sigma(rows[i][0]), rows[i][1], 5e-5);
        cr_assert_float_eq(odds_mean(1.0, rows[i][0]), rows[i][2], 5e-5);
    }
    cr_assert_float_eq(odds_product_factor((const double[]){ 3, 3, 10 }, 3), 16.08, 5e-3);
}

/* ---- what trials prove ----------------------------------------------------------------------- */

/* R's binom as stored in the tests of statsmodels 0.13 [read]; the last two rows [computed], Wilson
 * also in Newcombe 1998 [memory].  95 %, within 1e-6. */
Test(published_odds, intervals_of_shares)
{
    static const struct {
        long hits, trials;
        struct odds_interval wilson, clopper_pearson;
    } rows[] = {
        { 0, 30, { 0, 0.113513 }, { 0, 0.115703 } },
        { 1, 30, { 0.005909, 0.166704 }, { 0.000844, 0.172169 } },
        { 4, 20, { 0.080658, 0.416017 }, { 0.057334, 0.436614 } },
        { 4, 200, { 0.007804, 0.050287 }, { 0.005476, 0.050414 } },
        { 18, 20, { 0.698966, 0.972134 }, { 0.683017, 0.987651 } },
        { 81, 263, { 0.255289, 0.366210 }, { 0.252737, 0.367622 } },
        { 0, 20, { 0, 0.161125 }, { 0, 0.168433 } },
    };
    for (int i = 0; i < COUNT(rows); i++) {
        const struct odds_interval w = odds_wilson(rows[i].hits, rows[i].trials, 0.95),
                                   c = odds_clopper_pearson(rows[i].hits, rows[i].trials, 0.95);
        cr_assert_float_eq(w.low, rows[i].wilson.low, 1e-6, "row %d", i);
        cr_assert_float_eq(w.high, rows[i].wilson.high, 1e-6, "row %d", i);
        cr_assert_float_eq(c.low, rows[i].clopper_pearson.low, 1e-6, "row %d", i);
        cr_assert_float_eq(c.high, rows[i].clopper_pearson.high, 1e-6, "row %d", i);
    }
}

/* [computed] */
Test(published_odds, rare_events)
{
    cr_assert_float_eq(odds_share_limit(0, 1000, 0.95), 0.0029912, 5e-8);
    cr_assert_float_eq(odds_share_limit(0, 30, 0.95), 0.095034, 5e-7);
    cr_assert_float_eq(odds_rate_limit(0, 100.0, 0.95), 0.029957, 5e-7);
    const struct odds_interval one = odds_rate_interval(1, 100.0, 0.95);
    cr_assert_float_eq(one.low, 2.532e-4, 5e-8);
    cr_assert_float_eq(one.high, 0.055716, 5e-7);
    printed(odds_trials_needed(3.167124e-5, 0.1), 3.16e6, 3, "plain sampling");
}

static double uniform(uint64_t *seed)
{
    *seed = *seed * 6364136223846793005u + 1442695040888963407u;
    return ((double)(*seed >> 11) + 0.5) * 0x1p-53;
}

/* P(Z > 4) = 3.167124e-5 from 1e5 values of N(4, 1) weighted by exp(8 - 4y): relative error 0.67 %,
 * estimate within four standard errors [computed]. */
Test(published_odds, far_tail_by_weighted_trials)
{
    struct odds_sample s = { 0 };
    uint64_t seed = 20;
    for (int i = 0; i < 100000; i++) {
        const double z = sqrt(-2.0 * log(uniform(&seed))) * cos(2.0 * M_PI * uniform(&seed));
        const double y = 4.0 + z;
        odds_sample_add(&s, y > 4.0, exp(8.0 - 4.0 * y));
    }
    const double p = 3.167124e-5, error = odds_sample_error(&s);
    cr_assert_float_eq(s.mean, p, 4.0 * error);
    cr_assert_float_eq(error / p, 0.0067, 0.0002);
    near(odds_sample_trials(&s), odds_trials_needed(p, error / p), 0.04, "plain trials");
}
