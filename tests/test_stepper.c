/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <criterion/criterion.h>
#include <math.h>
#include <stdint.h>

#include "sim/stepper.h"

static void decay(double t, const double x[], double dx[], void *context)
{
    (void)t;
    dx[0] = -*(double *)context * x[0];
}

static void swing(double t, const double x[], double dx[], void *context)
{
    (void)x;
    (void)context;
    dx[0] = cos(t);
}

static double end_of_decay(double tolerance)
{
    double rate = 1e-3, x[1] = { 1.0 }, dx[1], t = 0.0;
    const double scale[1] = { 1.0 };
    struct stepper *s = stepper_create(1, scale, tolerance, decay, &rate);
    decay(0.0, x, dx, &rate);
    stepper_restart(s, dx);
    while (t < 5000.0)
        cr_assert_eq(stepper_step(s, &t, x, 5000.0), STATUS_OK);
    cr_assert_eq(t, 5000.0, "arrives exactly");
    stepper_free(s);
    return x[0];
}

Test(stepper, follows_the_closed_form_better_at_a_finer_tolerance)
{
    const double exact = exp(-5.0);
    const double coarse = fabs(end_of_decay(1e-5) - exact);
    const double fine = fabs(end_of_decay(1e-9) - exact);
    cr_assert_lt(fine, 1e-8);
    cr_assert_lt(fine, 0.01 * coarse, "coarse %g fine %g", coarse, fine);
}

Test(stepper, repeats_its_last_step_at_any_shorter_length)
{
    double x[1] = { 0.0 }, dx[1] = { 1.0 }, t = 0.0, y[1];
    const double scale[1] = { 1.0 };
    struct stepper *s = stepper_create(1, scale, 1e-10, swing, NULL);
    stepper_restart(s, dx);
    cr_assert_eq(stepper_step(s, &t, x, 0.5), STATUS_OK);
    for (int k = 1; k <= 10; k++) {
        const double h = t * k / 10.0;
        cr_assert_eq(stepper_repeat(s, h, y), STATUS_OK);
        cr_assert_float_eq(y[0], sin(h), 1e-8, "at %g: %g", h, y[0] - sin(h));
    }
    stepper_free(s);
}

static void broken(double t, const double x[], double dx[], void *context)
{
    (void)x;
    (void)context;
    dx[0] = t > 1.0 ? NAN : 1.0;
}

Test(stepper, reports_a_state_that_is_no_number)
{
    double x[1] = { 0.0 }, dx[1] = { 1.0 }, t = 0.0;
    const double scale[1] = { 1.0 };
    struct stepper *s = stepper_create(1, scale, 1e-8, broken, NULL);
    stepper_restart(s, dx);
    enum status status = STATUS_OK;
    for (int k = 0; k < 100 && status == STATUS_OK; k++)
        status = stepper_step(s, &t, x, 100.0);
    cr_assert_eq(status, STATUS_DIVERGED);
    stepper_free(s);
}

/* Rates that are another each time: no step is so small that its error is. */
static void noise(double t, const double x[], double dx[], void *context)
{
    (void)t;
    (void)x;
    uint64_t *seed = context;
    *seed = *seed * 6364136223846793005u + 1442695040888963407u;
    dx[0] = 1e200 * ((double)(*seed >> 11) * 0x1p-53 - 0.5);
}

Test(stepper, gives_up_where_no_step_is_small_enough)
{
    double x[1] = { 0.0 }, dx[1] = { 1.0 }, t = 0.0;
    const double scale[1] = { 1.0 };
    uint64_t seed = 1;
    struct stepper *s = stepper_create(1, scale, 1e-8, noise, &seed);
    stepper_restart(s, dx);
    cr_assert_eq(stepper_step(s, &t, x, 100.0), STATUS_STUCK);
    cr_assert_lt(stepper_calls(s), 1000);
    cr_assert_eq(t, 0.0);
    stepper_free(s);
}

/* What the rates leave behind is that of the end: guards on signals rely on it. */
struct last {
    double t, x;
};

static void remember(double t, const double x[], double dx[], void *context)
{
    *(struct last *)context = (struct last){ t, x[0] };
    dx[0] = cos(t);
}

Test(stepper, calls_the_rates_last_at_the_end)
{
    struct last last = { 0.0, 0.0 };
    double x[1] = { 0.0 }, dx[1] = { 1.0 }, y[1], t = 0.0;
    const double scale[1] = { 1.0 };
    struct stepper *s = stepper_create(1, scale, 1e-10, remember, &last);
    stepper_restart(s, dx);
    while (t < 20.0) {
        cr_assert_eq(stepper_step(s, &t, x, 20.0), STATUS_OK);
        cr_assert_float_eq(last.t, t, 1e-12);
        cr_assert_eq(last.x, x[0]);
        const double h = t - stepper_start_t(s);
        for (int k = 1; k < 5; k++) {
            cr_assert_eq(stepper_repeat(s, 0.2 * k * h, y), STATUS_OK);
            cr_assert_float_eq(last.t, stepper_start_t(s) + 0.2 * k * h, 1e-12);
            cr_assert_eq(last.x, y[0]);
        }
    }
    stepper_free(s);
}
