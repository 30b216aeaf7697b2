/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * sample, indices: against stratification by count, exact integrals, tables of order statistics,
 * and functions whose indices are known in closed form.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "sim/indices.h"
#include "sim/sample.h"

Test(sample, latin_hypercube_has_one_point_in_each_stratum_of_each_dimension)
{
    enum { N = 97, D = 7 };
    static double u[N * D];
    for (unsigned long seed = 1; seed < 20; seed++) {
        cr_assert(sample_latin(u, N, D, seed));
        for (int d = 0; d < D; d++) {
            int count[N] = { 0 };
            for (int i = 0; i < N; i++) {
                cr_assert(u[i * D + d] > 0.0 && u[i * D + d] < 1.0);
                count[(int)(u[i * D + d] * N)]++;
            }
            for (int i = 0; i < N; i++)
                cr_assert_eq(count[i], 1, "stratum %d of dimension %d", i, d);
        }
    }
}

/* The first point of a seed, as it has always been; the library itself takes 0 for 4357. */
Test(sample, every_seed_has_points_of_its_own)
{
    static const struct {
        unsigned long seed;
        double first;
    } known[] = { { 0, 0.499741748906672 },
                  { 1, 0.91702199843712151 },
                  { 4356, 0.85077565326355398 },
                  { 4358, 0.1947435587644577 },
                  { 4294967295ul, 0.59763202886097133 } };
    enum { SEEDS = sizeof known / sizeof known[0], N = 4 };
    double first[SEEDS + 1];
    for (int i = 0; i <= SEEDS; i++) {
        double u[N];
        cr_assert(sample_sobol(u, N, 1, i < SEEDS ? known[i].seed : 4357));
        first[i] = u[0];
        if (i < SEEDS)
            cr_expect_float_eq(u[0], known[i].first, 1e-15, "seed %lu: %.17g", known[i].seed, u[0]);
        for (int j = 0; j < i; j++)
            cr_assert_gt(fabs(first[i] - first[j]), 1e-6, "%d and %d", i, j);
    }
    double latin[2][N];
    int pick[2][64];
    for (int i = 0; i < 2; i++) {
        const unsigned long seed = i == 0 ? 0 : 4357;
        cr_assert(sample_latin(latin[i], N, 1, seed) && sample_again(pick[i], 64, 1, seed));
    }
    cr_assert_neq(memcmp(latin[0], latin[1], sizeof latin[0]), 0);
    cr_assert_neq(memcmp(pick[0], pick[1], sizeof pick[0]), 0);
}

/* McKay, Beckman and Conover (1979): of a sum of the inputs the mean varies far less than by
 * chance. */
Test(sample, latin_hypercube_narrows_the_mean_of_a_sum)
{
    enum { N = 50, D = 4, TIMES = 200 };
    static double u[N * D];
    double squares = 0.0;
    for (int t = 0; t < TIMES; t++) {
        cr_assert(sample_latin(u, N, D, 1000ul + (unsigned long)t));
        double mean = 0.0;
        for (int i = 0; i < N * D; i++)
            mean += u[i] / N;
        squares += (mean - D / 2.0) * (mean - D / 2.0) / TIMES;
    }
    const double by_chance = D / 12.0 / N;
    cr_assert_lt(squares, 0.01 * by_chance, "%g of %g", squares, by_chance);
}

/* The first numbers of the unshifted sequence, Bratley and Fox (1988): a shift keeps differences.
 */
Test(sample, sobol_is_the_published_sequence_shifted)
{
    double u[4 * 2];
    cr_assert(sample_sobol(u, 4, 2, 3));
    static const double known[4][2] = {
        { 0.5, 0.5 }, { 0.75, 0.25 }, { 0.25, 0.75 }, { 0.375, 0.375 }
    };
    for (int i = 1; i < 4; i++)
        for (int d = 0; d < 2; d++) {
            const double shift = u[2 * i + d] - u[d], expected = known[i][d] - known[0][d];
            cr_assert_float_eq(remainder(shift - expected, 1.0), 0.0, 1e-12);
        }
}

Test(sample, sobol_fills_every_dimension_up_to_its_last)
{
    enum { N = 1024, D = SAMPLE_DIMENSIONS };
    static double u[N * D];
    cr_assert(sample_sobol(u, N, D, 7));
    for (int d = 0; d < D; d++) {
        double mean = 0.0, square = 0.0;
        for (int i = 0; i < N; i++) {
            const double v = u[i * D + d];
            cr_assert(v > 0.0 && v < 1.0);
            mean += v / N;
            square += v * v / N;
        }
        cr_assert_float_eq(mean, 0.5, 2e-3, "dimension %d", d);
        cr_assert_float_eq(square, 1.0 / 3.0, 3e-3, "dimension %d", d);
    }
    cr_assert_not(sample_sobol(u, 10, SAMPLE_DIMENSIONS + 1, 7));
    cr_assert_not(sample_sobol(u, 10, 0, 7));
}

Test(spread, quantiles_are_those_of_the_normal_and_of_its_halves)
{
    const struct spread sd = { 10.0, 2.0, NAN, NAN, false };
    cr_assert_float_eq(sample_value(&sd, 0.5), 10.0, 1e-12);
    cr_assert_float_eq(sample_value(&sd, 0.975), 10.0 + 2.0 * 1.959964, 1e-5);
    const struct spread range = { 10.0, NAN, 9.0, 14.0, false };
    cr_assert_float_eq(sample_value(&range, 0.1), 9.0, 1e-9);
    cr_assert_float_eq(sample_value(&range, 0.5), 10.0, 1e-9);
    cr_assert_float_eq(sample_value(&range, 0.9), 14.0, 1e-9);
    const struct spread ratio = { 10.0, NAN, 2.0, 20.0, true };
    cr_assert_float_eq(sample_value(&ratio, 0.1), 2.0, 1e-9);
    cr_assert_float_eq(sample_value(&ratio, 0.9), 20.0, 1e-9);
    cr_assert_gt(sample_value(&ratio, 1e-9), 0.0);
    const struct spread wide = { 10.0, 10.0, NAN, NAN, true };
    cr_assert_gt(sample_value(&wide, 1e-6), 0.0);
    const struct spread none = { 10.0, NAN, NAN, NAN, true };
    cr_assert_eq(sample_value(&none, 0.01), 10.0);
}

/* Confidence of the median between two order statistics: tables of the sign test, W. J. Conover,
 * Practical Nonparametric Statistics (from memory; each is 1 - 2 P[Bin(n, 1/2) < k], a sum of a row
 * of Pascal's triangle: n = 10, 2nd to 9th: 1 - 22/1024 = 0.9785; n = 20, 6th to 15th: 0.9586). */
Test(sample, ranks_about_the_median_are_those_of_the_tables)
{
    struct ranks r = sample_quantile_ranks(10, 0.5, 0.95);
    cr_assert(r.low == 1 && r.high == 8, "%d %d", r.low, r.high);
    r = sample_quantile_ranks(20, 0.5, 0.95);
    cr_assert(r.low == 5 && r.high == 14, "%d %d", r.low, r.high);
    r = sample_quantile_ranks(5, 0.5, 0.95);
    cr_assert(r.low == -1 && r.high == 5, "five values cannot bound it: %d %d", r.low, r.high);
}

/* Rule of 59 values (Wilks 1941): the largest bounds the 95 % quantile with 95 % confidence. */
Test(sample, fifty_nine_values_bound_the_95_percent_quantile_from_above)
{
    cr_assert_eq(sample_quantile_ranks(59, 0.95, 0.90).high, 58);
    cr_assert_eq(sample_quantile_ranks(58, 0.95, 0.90).high, 58, "none of 58 does");
}

Test(sample, a_quantile_lies_at_its_mean_rank)
{
    const double x[] = { 1.0, 2.0, 3.0, 4.0 };
    cr_assert_float_eq(sample_quantile(x, 4, 0.5), 2.5, 1e-12);
    cr_assert_float_eq(sample_quantile(x, 4, 0.2), 1.0, 1e-12);
    cr_assert_float_eq(sample_quantile(x, 4, 0.9), 4.0, 1e-12);
    const double y[] = { 1.0, 2.0, INFINITY };
    cr_assert_float_eq(sample_quantile(y, 3, 0.5), 2.0, 0.0);
    cr_assert(isinf(sample_quantile(y, 3, 0.6)));
}

/* ---- indices --------------------------------------------------------------------------------- */

enum { POINTS = 4096, MOST = 8 };

static double points[POINTS * (MOST + 2) * MOST], answers[POINTS * (MOST + 2)];

static void reckon(double (*f)(const double u[]), int n, int d, struct sobol_index out[])
{
    cr_assert(indices_points(points, n, d, 11));
    for (int i = 0; i < n * (d + 2); i++)
        answers[i] = f(points + i * d);
    cr_assert(indices_reckon(answers, n, d, 5, out));
}

static double ishigami(const double u[])
{
    const double x = M_PI * (2.0 * u[0] - 1.0), y = M_PI * (2.0 * u[1] - 1.0);
    const double z = M_PI * (2.0 * u[2] - 1.0);
    return sin(x) + 7.0 * sin(y) * sin(y) + 0.1 * pow(z, 4.0) * sin(x);
}

/* Ishigami and Homma (1990), a = 7, b = 0.1: closed form D1 = (1 + b pi^4/5)^2/2, D2 = a^2/8,
 * D13 = b^2 pi^8 8/225. */
Test(indices, of_the_ishigami_function)
{
    const double b = 0.1, p4 = pow(M_PI, 4.0);
    const double D1 = 0.5 * pow(1.0 + b * p4 / 5.0, 2.0), D2 = 49.0 / 8.0;
    const double D13 = b * b * p4 * p4 * 8.0 / 225.0, D = D1 + D2 + D13;
    cr_assert_float_eq(D1 / D, 0.3139, 1e-4, "the printed value");
    cr_assert_float_eq(D2 / D, 0.4424, 1e-4);
    struct sobol_index s[3];
    reckon(ishigami, POINTS, 3, s);
    const double first[] = { D1 / D, D2 / D, 0.0 };
    const double total[] = { (D1 + D13) / D, D2 / D, D13 / D };
    for (int k = 0; k < 3; k++) {
        cr_expect_float_eq(s[k].first, first[k], 0.02, "first %d: %g, not %g", k, s[k].first,
                           first[k]);
        cr_expect_float_eq(s[k].total, total[k], 0.02, "total %d: %g, not %g", k, s[k].total,
                           total[k]);
        cr_expect(s[k].first_low < first[k] + 0.01 && first[k] - 0.01 < s[k].first_high);
        cr_expect(s[k].total_low < total[k] + 0.01 && total[k] - 0.01 < s[k].total_high);
    }
}

static const double G[MOST] = { 0.0, 1.0, 4.5, 9.0, 99.0, 99.0, 99.0, 99.0 };

static double g_function(const double u[])
{
    double product = 1.0;
    for (int k = 0; k < MOST; k++)
        product *= (fabs(4.0 * u[k] - 2.0) + G[k]) / (1.0 + G[k]);
    return product;
}

/* Sobol's G function (Saltelli and Sobol 1995): Vk = 1/(3 (1 + a)^2), V = prod (1 + Vk) - 1. */
Test(indices, of_the_g_function)
{
    double all = 1.0;
    for (int k = 0; k < MOST; k++)
        all *= 1.0 + 1.0 / (3.0 * (1.0 + G[k]) * (1.0 + G[k]));
    struct sobol_index s[MOST];
    reckon(g_function, POINTS, MOST, s);
    for (int k = 0; k < MOST; k++) {
        const double own = 1.0 / (3.0 * (1.0 + G[k]) * (1.0 + G[k]));
        const double first = own / (all - 1.0), total = own * all / (1.0 + own) / (all - 1.0);
        cr_expect_float_eq(s[k].first, first, 0.03, "first %d: %g, not %g", k, s[k].first, first);
        cr_expect_float_eq(s[k].total, total, 0.03, "total %d: %g, not %g", k, s[k].total, total);
    }
}

/* The error falls as points are added. */
Test(indices, converge)
{
    double worst[3];
    for (int j = 0; j < 3; j++) {
        struct sobol_index s[3];
        reckon(ishigami, 64 << (3 * j), 3, s);
        worst[j] = fmax(fabs(s[0].first - 0.31391), fabs(s[1].total - 0.44241));
    }
    cr_assert_lt(worst[2], 0.3 * worst[0], "%g %g %g", worst[0], worst[1], worst[2]);
}

static double constant(const double u[])
{
    (void)u;
    return 3.0;
}

Test(indices, of_what_never_varies_are_nothing)
{
    struct sobol_index s[3];
    reckon(constant, 64, 3, s);
    for (int k = 0; k < 3; k++)
        cr_assert(s[k].first == 0.0 && s[k].total == 0.0);
    cr_assert_not(indices_points(points, 64, 21, 1), "2 x 21 dimensions are more than are sound");
}
