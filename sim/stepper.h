/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * stepper: one accepted step of an explicit Runge-Kutta method, and a repeat of it at any shorter
 * length from the saved start (events are located on real steps, not on an interpolant). The only
 * file that knows GSL's odeiv2.
 */
#ifndef SIM_STEPPER_H
#define SIM_STEPPER_H

#include "report.h"

/* Rates at (t, x); must not remember anything between calls. */
typedef void (*stepper_rates)(double t, const double x[], double dx[], void *context);

struct stepper;

/* `scale[dimension]`: typical size of each state; the local error of a step is kept below
 * tolerance x scale.  NULL if out of memory. */
struct stepper *stepper_create(int dimension, const double scale[], double tolerance,
                               stepper_rates rates, void *context);
void stepper_free(struct stepper *s);

/* At the start, and after any jump of state, settings or parameters: dx are the rates from here on.
 */
void stepper_restart(struct stepper *s, const double dx[]);

/* The step that it would try next [s], and to go on with it elsewhere: as if it had not been left.
 */
double stepper_suggested(const struct stepper *s);
void stepper_resume(struct stepper *s, const double dx[], double suggested);

/* Takes one accepted step from *t towards `limit` (never past it; arrives exactly).  Writes x and
 * the rates at both ends. */
enum status stepper_step(struct stepper *s, double *t, double x[], double limit);

/* x at `h` seconds (0 < h <= the step) after the start of the last step.  Here and in stepper_step
 * the last call of the rates is at the end. */
enum status stepper_repeat(struct stepper *s, double h, double x[]);

/* Start and end of the last step: state and rates. */
const double *stepper_start_x(const struct stepper *s);
const double *stepper_start_dx(const struct stepper *s);
const double *stepper_end_dx(const struct stepper *s);
double stepper_start_t(const struct stepper *s);

/* How often the rates were called. */
long stepper_calls(const struct stepper *s);

#endif
