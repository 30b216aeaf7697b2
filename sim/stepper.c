/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * stepper: see stepper.h.  GSL neither locates events nor keeps the start of a step for its user,
 * so both are kept here; a second step object repeats steps without touching the first one's state.
 */
#include "stepper.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_odeiv2.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { DIMENSION_MAX = 32, TRIES_MAX = 60 };

static const double FIRST_STEP = 1800.0;    /* s, after a restart */
static const double LONGEST_STEP = 14400.0; /* s: four hours see the swing of a day */

struct stepper {
    size_t n;
    stepper_rates rates;
    void *context;
    gsl_odeiv2_system system;
    gsl_odeiv2_step *step, *repeat;
    gsl_odeiv2_control *control;
    double h; /* s, suggested for the next step */
    long calls;
    double t0; /* start of the last step */
    double x0[DIMENSION_MAX], dx0[DIMENSION_MAX], dx1[DIMENSION_MAX];
};

static int call_rates(double t, const double x[], double dx[], void *context)
{
    struct stepper *s = context;
    s->calls++;
    s->rates(t, x, dx, s->context);
    return GSL_SUCCESS;
}

/* Whether there is memory for a control: the library takes for granted that there is, so it is
 * asked for here and given back just before, in pieces of the sizes that it will want. */
static bool room_for_control(size_t n)
{
    void *control = malloc(sizeof(gsl_odeiv2_control)), *state = malloc(5 * sizeof(double));
    void *scale = malloc(n * sizeof(double));
    const bool fine = control && state && scale;
    free(control);
    free(state);
    free(scale);
    return fine;
}

struct stepper *stepper_create(int dimension, const double scale[], double tolerance,
                               stepper_rates rates, void *context)
{
    struct stepper *s = calloc(1, sizeof *s);
    if (!s || dimension > DIMENSION_MAX)
        return free(s), NULL;
    s->n = (size_t)dimension;
    s->rates = rates;
    s->context = context;
    s->system = (gsl_odeiv2_system){ call_rates, NULL, s->n, s };
    s->step = gsl_odeiv2_step_alloc(gsl_odeiv2_step_rkf45, s->n);
    s->repeat = gsl_odeiv2_step_alloc(gsl_odeiv2_step_rkf45, s->n);
    if (room_for_control(s->n))
        s->control = gsl_odeiv2_control_scaled_new(tolerance, 0.0, 1.0, 0.0, scale, s->n);
    if (!s->step || !s->repeat || !s->control)
        return stepper_free(s), NULL;
    s->h = FIRST_STEP;
    return s;
}

void stepper_free(struct stepper *s)
{
    if (!s)
        return;
    if (s->control)
        gsl_odeiv2_control_free(s->control);
    if (s->repeat)
        gsl_odeiv2_step_free(s->repeat);
    if (s->step)
        gsl_odeiv2_step_free(s->step);
    free(s);
}

void stepper_restart(struct stepper *s, const double dx[])
{
    gsl_odeiv2_step_reset(s->step);
    memcpy(s->dx1, dx, s->n * sizeof *dx);
    s->h = FIRST_STEP;
}

double stepper_suggested(const struct stepper *s)
{
    return s->h;
}

void stepper_resume(struct stepper *s, const double dx[], double suggested)
{
    stepper_restart(s, dx);
    s->h = suggested;
}

static bool all_finite(const double x[], size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (!isfinite(x[i]))
            return false;
    return true;
}

enum status stepper_step(struct stepper *s, double *t, double x[], double limit)
{
    const size_t bytes = s->n * sizeof *x;
    memcpy(s->dx0, s->dx1, bytes);
    s->t0 = *t;
    memcpy(s->x0, x, bytes);

    double h = fmin(s->h, LONGEST_STEP);
    for (int try = 0; try < TRIES_MAX; try++) {
        /* land on the limit exactly; do not leave a sliver of a step before it */
        const bool last = h >= (limit - s->t0) * (1.0 - 1e-9);
        if (last)
            h = limit - s->t0;
        double error[DIMENSION_MAX];
        memcpy(x, s->x0, bytes);
        if (gsl_odeiv2_step_apply(s->step, s->t0, h, x, error, s->dx0, s->dx1, &s->system) !=
            GSL_SUCCESS)
            return STATUS_STUCK;
        if (!all_finite(x, s->n))
            return STATUS_DIVERGED;
        double next = h;
        const int advice = gsl_odeiv2_control_hadjust(s->control, s->step, x, error, s->dx1, &next);
        if (advice == GSL_ODEIV_HADJ_DEC) {
            h = next;
            continue;
        }
        *t = last ? limit : s->t0 + h;
        s->h = last ? fmax(next, s->h) : next;
        return STATUS_OK;
    }
    return STATUS_STUCK;
}

enum status stepper_repeat(struct stepper *s, double h, double x[])
{
    double error[DIMENSION_MAX], dx[DIMENSION_MAX];
    memcpy(x, s->x0, s->n * sizeof *x);
    if (gsl_odeiv2_step_apply(s->repeat, s->t0, h, x, error, s->dx0, dx, &s->system) != GSL_SUCCESS)
        return STATUS_STUCK;
    return all_finite(x, s->n) ? STATUS_OK : STATUS_DIVERGED;
}

const double *stepper_start_x(const struct stepper *s)
{
    return s->x0;
}

const double *stepper_start_dx(const struct stepper *s)
{
    return s->dx0;
}

const double *stepper_end_dx(const struct stepper *s)
{
    return s->dx1;
}

double stepper_start_t(const struct stepper *s)
{
    return s->t0;
}

long stepper_calls(const struct stepper *s)
{
    return s->calls;
}
