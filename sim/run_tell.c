/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * run_tell: what observers are told of a run, and the rows of its series, read off inside a step.
 */
#include <math.h>
#include <stddef.h>

#include "run_inner.h"

void run_tell(struct run *r, enum moment moment, double t, const double x[],
              const struct signals *sig, const struct change *change)
{
    const struct glimpse g = {
        .moment = moment,
        .plant = r->plant,
        .plan = r->plan,
        .settings = &r->settings,
        .state = &r->state,
        .t = t,
        .x = x,
        .signals = sig,
        .change = change,
    };
    for (int i = 0; i < r->options->observer_count; i++)
        r->options->observers[i].see(r->options->observers[i].self, &g);
}

void run_tell_changes(struct run *r)
{
    for (int i = 0; i < r->changes.count; i++)
        run_tell(r, MOMENT_CHANGE, r->state.t, r->state.x, &r->before, &r->changes.change[i]);
    r->changes.count = 0;
}

/* x at time t within the present step: the cubic with the values and rates of both ends. */
static void interpolate(const struct run *r, double t, double x[], struct signals *sig)
{
    const double t0 = stepper_start_t(r->stepper), h = r->state.t - t0;
    const double s = (t - t0) / h;
    const double *x0 = stepper_start_x(r->stepper), *x1 = r->state.x;
    const double *d0 = stepper_start_dx(r->stepper), *d1 = r->dx;
    const double a = (1.0 + 2.0 * s) * (1.0 - s) * (1.0 - s), b = s * (1.0 - s) * (1.0 - s);
    const double c = s * s * (3.0 - 2.0 * s), d = -s * s * (1.0 - s);
    for (int k = 0; k < X_COUNT; k++)
        x[k] = a * x0[k] + b * h * d0[k] + c * x1[k] + d * h * d1[k];

    /* signals are a plain row of doubles: linear between both ends */
    const double *g0 = (const double *)&r->before, *g1 = (const double *)&r->after;
    double *g = (double *)sig;
    for (size_t k = 0; k < offsetof(struct signals, line) / sizeof *g; k++)
        g[k] = g0[k] + s * (g1[k] - g0[k]);
    sig->tank_level = tank_level(&r->plant->tank, x[X_TANK]);
    if (r->plant->has_basin)
        sig->basin_level = basin_level(&r->plant->basin, x[X_BASIN]);
}

/* Rows of the series never stop the integrator; they are read off inside the step. */
void run_sample(struct run *r)
{
    for (;; r->next_sample++) {
        const double t = (double)r->next_sample * r->plan->record;
        if (t > r->state.t || t > r->plan->length)
            return;
        double x[X_COUNT];
        struct signals sig;
        if (r->state.t > stepper_start_t(r->stepper)) {
            interpolate(r, t, x, &sig);
            run_tell(r, MOMENT_SAMPLE, t, x, &sig, NULL);
        } else {
            run_tell(r, MOMENT_SAMPLE, t, r->state.x, &r->before, NULL);
        }
    }
}
