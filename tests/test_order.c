/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * order: the order of accuracy of each numerical part, seen against exact solutions at five or more
 * sizes of a step, slope by least squares on logarithms.  The figures stand in docs/accuracy.md;
 * each test prints its own. The beds are in tests/test_made.c, the segments of the membrane in
 * tests/test_membrane.c.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "fixture.h"
#include "models/gas.h"
#include "models/water.h"
#include "sim/guard.h"
#include "sim/sample.h"
#include "tests/slope.h"

enum { SIZES = 6 };

/* ---- steps of the integrator --------------------------------------------------------------------
 */

/* x' = x (1 - x)/100 from 1/2: x = 1/(1 + exp(-t/100)). */
static void sigmoid(double t, const double x[], double dx[], void *context)
{
    (void)t;
    (void)context;
    dx[0] = x[0] * (1.0 - x[0]) / 100.0;
}

static double end_of_sigmoid(double step, double tolerance)
{
    static const double SPAN = 120.0, scale[1] = { 1.0 };
    double x[1] = { 0.5 }, dx[1], t = 0.0;
    struct stepper *s = stepper_create(1, scale, tolerance, sigmoid, NULL);
    sigmoid(t, x, dx, NULL);
    stepper_resume(s, dx, step);
    for (int k = 1; t < SPAN; k++)
        cr_assert_eq(stepper_step(s, &t, x, fmin(k * step, SPAN)), STATUS_OK);
    stepper_free(s);
    return fabs(x[0] - 1.0 / (1.0 + exp(-SPAN / 100.0)));
}

Test(order, of_the_integrator_at_fixed_steps_is_five)
{
    double size[SIZES], error[SIZES];
    for (int i = 0; i < 5; i++) {
        size[i] = 120.0 / (3 << i);
        error[i] = end_of_sigmoid(size[i], 1e9);
    }
    const double slope = slope_of("integrator, steps", size, error, 5);
    cr_expect_float_eq(slope, 5.0, 0.2, "%g", slope);
}

/* The tolerance is no bound; the error follows it nearly in proportion. */
Test(order, of_the_integrator_in_its_tolerance_is_near_one)
{
    double size[SIZES], error[SIZES];
    for (int i = 0; i < SIZES; i++) {
        size[i] = pow(10.0, -4.0 - i);
        error[i] = end_of_sigmoid(1e4, size[i]);
        cr_expect_lt(error[i], 10.0 * size[i], "tolerance %g: %g", size[i], error[i]);
    }
    const double slope = slope_of("integrator, tolerance", size, error, SIZES);
    cr_expect(slope > 0.75 && slope < 1.25, "%g", slope);
}

/* ---- across an event ----------------------------------------------------------------------------
 */

/* A volume grows in proportion to itself up to 2, and from there falls: V = exp(kt), then 2
 * exp(-2k(t - te)). */
static const double RATE = 1e-2; /* 1/s */

static void to_and_fro(double t, const double x[], double dx[], void *context)
{
    const bool *back = context;
    (void)t;
    for (int k = 0; k < X_COUNT; k++)
        dx[k] = 0.0;
    dx[X_TANK] = (*back ? -2.0 : 1.0) * RATE * x[X_TANK];
}

struct ended {
    double at, end;
};

static struct ended across(double step)
{
    static const double SPAN = 120.0;
    static const struct signals none;
    const struct plant p = fixture_plant();
    double scale[X_COUNT], x[X_COUNT] = { 0.0 }, dx[X_COUNT], t = 0.0;
    bool back = false;
    for (int k = 0; k < X_COUNT; k++)
        scale[k] = 1.0;
    x[X_TANK] = 1.0;
    struct stepper *s = stepper_create(X_COUNT, scale, 1e9, to_and_fro, &back);
    to_and_fro(t, x, dx, &back);
    stepper_resume(s, dx, step);
    const struct guard g = { "two", CHANNEL_TANK_VOLUME, 2.0, -1.0, &back, NULL };
    struct ended e = { NAN, NAN };
    double from = 0.0;
    for (int k = 1; t < SPAN; k++) {
        cr_assert_eq(stepper_step(s, &t, x, fmin(from + k * step, SPAN)), STATUS_OK);
        const struct guarded_step seen = { .plant = &p,
                                           .stepper = s,
                                           .start = { stepper_start_x(s), stepper_start_dx(s),
                                                      &none, 0.0 },
                                           .end = { x, stepper_end_dx(s), &none, 0.0 },
                                           .live = &none };
        enum status status = STATUS_OK;
        if (back || guard_locate(&g, 1, &seen, &t, x, &status) < 0)
            continue;
        e.at = from = t;
        k = 0;
        back = true;
        to_and_fro(t, x, dx, &back);
        stepper_resume(s, dx, step);
    }
    e.end = x[X_TANK];
    stepper_free(s);
    return e;
}

Test(order, of_the_integrator_does_not_fall_across_an_event)
{
    const double event = log(2.0) / RATE, end = 2.0 * exp(-2.0 * RATE * (120.0 - event));
    double size[SIZES], error[SIZES], late[SIZES];
    for (int i = 0; i < SIZES; i++) {
        size[i] = 120.0 / (3 << i);
        const struct ended e = across(size[i]);
        late[i] = fabs(e.at - event);
        error[i] = fabs(e.end - end);
    }
    slope_of("time of the event", size, late, 4);
    const double slope = slope_of("integrator across an event", size, error, 4);
    cr_expect_geq(slope, 4.8, "%g", slope);
    cr_expect_lt(late[SIZES - 1], 1.1e-8, "%g s late", late[SIZES - 1]);
}

/* Where the steps themselves are exact only the search is left: 1e-8 s, never early. */
static void steady(double t, const double x[], double dx[], void *context)
{
    (void)t;
    (void)x;
    for (int k = 0; k < X_COUNT; k++)
        dx[k] = 0.0;
    dx[X_TANK] = *(const double *)context;
}

Test(order, events_are_found_to_a_hundred_millionth_of_a_second)
{
    static const struct signals none;
    const struct plant p = fixture_plant();
    unsigned long seed = 7;
    double worst = 0.0;
    for (int trial = 0; trial < 300; trial++) {
        double flow = 1e-6 * exp(7.0 * fixture_random(&seed)), scale[X_COUNT], x[X_COUNT] = { 0.0 };
        double dx[X_COUNT], t = 0.0;
        for (int k = 0; k < X_COUNT; k++)
            scale[k] = 1.0;
        struct stepper *s = stepper_create(X_COUNT, scale, 1e9, steady, &flow);
        steady(t, x, dx, &flow);
        stepper_restart(s, dx);
        cr_assert_eq(stepper_step(s, &t, x, 60.0), STATUS_OK);
        const double at = 0.5 + 59.0 * fixture_random(&seed);
        bool on = false;
        const struct guard g = { "here", CHANNEL_TANK_VOLUME, flow * at, -1.0, &on, NULL };
        const struct guarded_step seen = { .plant = &p,
                                           .stepper = s,
                                           .start = { stepper_start_x(s), stepper_start_dx(s),
                                                      &none, 0.0 },
                                           .end = { x, stepper_end_dx(s), &none, 0.0 },
                                           .live = &none };
        enum status status = STATUS_OK;
        cr_assert_eq(guard_locate(&g, 1, &seen, &t, x, &status), 0);
        cr_expect(t > at - 1e-12 && t < at + 1.1e-8, "trial %d: %.3g s late", trial, t - at);
        worst = fmax(worst, t - at);
        stepper_free(s);
    }
    fprintf(stderr, "order: events: at most %.2e s late\n", worst);
}

/* ---- evaporation: a rate that swings with the day -----------------------------------------------
 */

/* By Simpson's rule on half minutes. */
static double evaporated(const struct basin *b, double span)
{
    const int halves = (int)(span / 30.0);
    double sum = basin_evaporation(b, 0.0) + basin_evaporation(b, span);
    for (int k = 1; k < halves; k++)
        sum += (k % 2 == 1 ? 4.0 : 2.0) * basin_evaporation(b, 30.0 * k);
    return sum * 10.0;
}

Test(order, of_evaporation_follows_the_tolerance)
{
    static struct outcome out;
    struct plant p = fixture_plant();
    p.topoff.kind = TOPOFF_NONE;
    p.basin.air = (struct cycle){ 21.0, 2.0, 200.0, 5.0, 15.0 };
    p.basin.humidity = (struct cycle){ 0.45, 0.0, 0.0, 0.15, 6.0 };
    struct plan plan = fixture_plan(8.0);
    plan.draws = 0;
    const double exact = evaporated(&p.basin, plan.length);
    double size[SIZES], error[SIZES];
    for (int i = 0; i < SIZES; i++) {
        size[i] = plan.tolerance = pow(10.0, -5.0 - i);
        fixture_run(&p, &plan, NULL, &out);
        error[i] = fabs(out.state.x[X_EVAPORATED] / exact - 1.0);
        cr_expect_lt(error[i], 10.0 * size[i], "tolerance %g: %g", size[i], error[i]);
    }
    fprintf(stderr, "order: evaporation by tolerance:");
    for (int i = 0; i < SIZES; i++)
        fprintf(stderr, " %.0e: %.1e", size[i], error[i]);
    fprintf(stderr, "\n");
}

/* ---- carbon dioxide from the air ----------------------------------------------------------------
 */

/* The exchange takes the share of CO2 in what is gained as it is at the beginning of a piece of
 * time: first order in the piece.  Against pieces of two seconds. */
static double taken_up(int pieces)
{
    struct gas g;
    fixture_presets(&g, gas_fields);
    struct vessel v = { .volume = 0.1 };
    v.amount[SODIUM] = 0.002;
    v.amount[CARBON] = 0.0012;
    double all = 0.0;
    for (int k = 0; k < pieces; k++)
        all += gas_exchange(&g, 0.2, &v, 20.0, 86400.0 / pieces);
    return all;
}

Test(order, of_gas_exchange_is_one)
{
    const double exact = taken_up(43200);
    double size[SIZES], error[SIZES];
    for (int i = 0; i < SIZES; i++) {
        size[i] = 86400.0 / (6 << i);
        error[i] = fabs(taken_up(6 << i) / exact - 1.0);
    }
    const double slope = slope_of("carbon dioxide from the air", size, error, SIZES);
    cr_expect_float_eq(slope, 1.0, 0.1, "%g", slope);
}

/* ---- samples ------------------------------------------------------------------------------------
 */

enum { CUBE = 6, SHIFTS = 40 };

/* Mean square error of the mean of prod(1 + (u - 1/2)/(2 + j)) over shifted samples; its integral
 * is 1. */
static double error_of(bool (*sample)(double *, int, int, unsigned long), int n)
{
    static double u[2048 * CUBE];
    double squares = 0.0;
    for (unsigned long seed = 1; seed <= SHIFTS; seed++) {
        cr_assert(sample(u, n, CUBE, seed));
        double mean = 0.0;
        for (int i = 0; i < n; i++) {
            double value = 1.0;
            for (int j = 0; j < CUBE; j++)
                value *= 1.0 + (u[i * CUBE + j] - 0.5) / (2.0 + j);
            mean += value / n;
        }
        squares += (mean - 1.0) * (mean - 1.0) / SHIFTS;
    }
    return sqrt(squares);
}

Test(order, of_sobol_points_is_near_one_and_that_of_strata_a_half)
{
    double size[SIZES], sobol[SIZES], latin[SIZES];
    for (int i = 0; i < SIZES; i++) {
        size[i] = 64 << i;
        sobol[i] = error_of(sample_sobol, 64 << i);
        latin[i] = error_of(sample_latin, 64 << i);
    }
    const double quick = slope_of("Sobol points", size, sobol, SIZES);
    const double slow = slope_of("strata", size, latin, SIZES);
    cr_expect_lt(quick, -0.85, "%g", quick);
    cr_expect_float_eq(slow, -0.5, 0.15, "%g", slow);
    cr_expect_lt(sobol[SIZES - 1], latin[SIZES - 1]);
}
