/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <criterion/criterion.h>
#include <math.h>

#include "fixture.h"
#include "sim/guard.h"

/* The tank's volume is a given function of time: V = v[0] + v[1] s + v[2] s2, s = t/1000. */
static void parabola(double t, const double x[], double dx[], void *context)
{
    const double *v = context;
    (void)x;
    for (int k = 0; k < X_COUNT; k++)
        dx[k] = 0.0;
    dx[X_TANK] = (v[1] + 2.0 * v[2] * t / 1000.0) / 1000.0;
}

/* What a guard sees at x. */
static struct sight at(const double x[])
{
    static const struct signals none;
    return (struct sight){ .x = x, .signals = &none };
}

static bool crossed(const struct guard *g, const struct plant *p, const double x[])
{
    const struct sight s = at(x);
    return guard_crossed(g, p, &s);
}

static int locate(const struct guard g[], int n, const struct plant *p, struct stepper *s,
                  double *t, double x[], enum status *status)
{
    static const struct signals none;
    const struct guarded_step step = {
        .plant = p,
        .stepper = s,
        .start = { stepper_start_x(s), stepper_start_dx(s), &none, 0.0 },
        .end = { x, stepper_end_dx(s), &none, 0.0 },
        .live = &none,
    };
    return guard_locate(g, n, &step, t, x, status);
}

static struct stepper *one_step(double v[], double *t, double x[], double length)
{
    double scale[X_COUNT], dx[X_COUNT];
    for (int k = 0; k < X_COUNT; k++) {
        scale[k] = 1.0;
        x[k] = 0.0;
    }
    x[X_TANK] = v[0];
    *t = 0.0;
    struct stepper *s = stepper_create(X_COUNT, scale, 1.0, parabola, v);
    parabola(0.0, x, dx, v);
    stepper_restart(s, dx);
    cr_assert_eq(stepper_step(s, t, x, length), STATUS_OK);
    cr_assert_eq(*t, length, "one step of %g s", length);
    return s;
}

Test(guard, finds_a_crossing_to_a_millionth_of_a_second)
{
    const struct plant p = fixture_plant();
    for (int k = 1; k < 20; k++) {
        double v[3] = { 0.01, 0.004, 0.001 * k }, x[X_COUNT], t;
        struct stepper *s = one_step(v, &t, x, 60.0);
        const double at = 3.0 * k; /* s */
        const double level = v[0] + v[1] * at / 1e3 + v[2] * at * at / 1e6;
        bool on = false;
        const struct guard g = { "here", CHANNEL_TANK_VOLUME, level, 0.0, &on, NULL };
        enum status status;
        cr_assert_eq(locate(&g, 1, &p, s, &t, x, &status), 0);
        cr_assert_float_eq(t, at, 1e-6, "%g instead of %g", t, at);
        cr_assert(crossed(&g, &p, x), "the end lies past the threshold");
        stepper_free(s);
    }
}

Test(guard, takes_the_earliest_of_several)
{
    const struct plant p = fixture_plant();
    double v[3] = { 0.0, 1.0, 0.0 }, x[X_COUNT], t;
    struct stepper *s = one_step(v, &t, x, 60.0);
    bool a = false, b = false, c = false;
    const struct guard g[] = { { "last", CHANNEL_TANK_VOLUME, 0.050, -1.0, &a, NULL },
                               { "first", CHANNEL_TANK_VOLUME, 0.010, -1.0, &b, NULL },
                               { "second", CHANNEL_TANK_VOLUME, 0.030, -1.0, &c, NULL } };
    enum status status;
    cr_assert_eq(locate(g, 3, &p, s, &t, x, &status), 1);
    cr_assert_float_eq(t, 10.0, 1e-6);
    stepper_free(s);
}

Test(guard, does_not_miss_a_threshold_touched_and_left_within_one_step)
{
    const struct plant p = fixture_plant();
    /* rises to 1 at 25 s and is back near its start at the end of the step */
    double v[3] = { 0.0, 80.0, -1600.0 }, x[X_COUNT], t;
    struct stepper *s = one_step(v, &t, x, 48.0);
    bool on = false;
    const struct guard g = { "brief", CHANNEL_TANK_VOLUME, 0.9999, -1.0, &on, NULL };
    cr_assert_not(crossed(&g, &p, x), "the end shows nothing");
    enum status status;
    cr_assert_eq(locate(&g, 1, &p, s, &t, x, &status), 0);
    const double first = 25.0 * (1.0 - sqrt(1e-4)); /* root of the parabola */
    cr_assert_float_eq(t, first, 1e-6, "%.9g instead of %.9g", t, first);

    t = 48.0;
    const struct guard above = { "never", CHANNEL_TANK_VOLUME, 1.0001, -1.0, &on, NULL };
    cr_assert_eq(locate(&above, 1, &p, s, &t, x, &status), -1);
    stepper_free(s);
}

Test(guard, limits_the_step_to_half_the_time_to_the_nearest_threshold)
{
    const struct plant p = fixture_plant();
    double x[X_COUNT] = { 0 }, dx[X_COUNT] = { 0 };
    dx[X_TANK] = 1e-6;
    bool on = false, up = true;
    const struct guard g[] = { { "far", CHANNEL_TANK_VOLUME, 1e-3, -1.0, &on, NULL },
                               { "behind", CHANNEL_TANK_VOLUME, 1.0, -1.0, &up, NULL } };
    const struct sight s = { .x = x, .dx = dx };
    cr_assert_float_eq(guard_step_limit(g, 2, &p, &s, 0.5), 500.0, 1e-9);
    cr_assert(isinf(guard_step_limit(g + 1, 1, &p, &s, 0.5)), "it moves away from this one");
}

Test(guard, between_its_two_levels_stays_as_it_is)
{
    const struct plant p = fixture_plant();
    double x[X_COUNT] = { 0 };
    x[X_TANK] = 0.5;
    bool on = false;
    const struct guard g = { "band", CHANNEL_TANK_VOLUME, 0.6, 0.4, &on, NULL };
    cr_assert_not(crossed(&g, &p, x));
    on = true;
    cr_assert_not(crossed(&g, &p, x));
}
