/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * guard: see guard.h.  Two cases hide a crossing from a look at the end of a step: the level comes
 * and goes within it (the turning point is looked up and tried), or two guards cross (the earliest
 * wins, the step ends there, and the other is found again).
 */
#include "guard.h"

#include <math.h>
#include <string.h>

static const double TIME_TOLERANCE = 1e-8; /* s */
static const double SHORTEST_LIMIT = 20.0; /* s */

enum { SEARCH_MAX = 80 };

double guard_value(const struct plant *p, enum channel c, const double x[])
{
    switch (c) {
    case CHANNEL_TANK_LEVEL:
        return tank_level(&p->tank, x[X_TANK]);
    case CHANNEL_TANK_VOLUME:
        return x[X_TANK];
    case CHANNEL_BASIN_VOLUME:
        return x[X_BASIN];
    case CHANNEL_SPILLED:
        return x[X_SPILL];
    }
    return 0.0;
}

double guard_rate(const struct plant *p, enum channel c, const double x[], const double dx[])
{
    switch (c) {
    case CHANNEL_TANK_LEVEL:
        return dx[X_TANK] / tank_area(&p->tank, tank_level(&p->tank, x[X_TANK]));
    case CHANNEL_TANK_VOLUME:
        return dx[X_TANK];
    case CHANNEL_BASIN_VOLUME:
        return dx[X_BASIN];
    case CHANNEL_SPILLED:
        return dx[X_SPILL];
    }
    return 0.0;
}

/* Distance past the threshold that is watched for now: positive once crossed. */
static double excess(const struct guard *g, const struct plant *p, const double x[])
{
    const double value = guard_value(p, g->channel, x);
    return *g->on ? g->lower - value : value - g->upper;
}

static double excess_rate(const struct guard *g, const struct plant *p, const double x[],
                          const double dx[])
{
    const double rate = guard_rate(p, g->channel, x, dx);
    return *g->on ? -rate : rate;
}

bool guard_crossed(const struct guard *g, const struct plant *p, const double x[])
{
    return excess(g, p, x) >= 0.0;
}

double guard_step_limit(const struct guard g[], int n, const struct plant *p, const double x[],
                        const double dx[], double share)
{
    double limit = INFINITY;
    for (int i = 0; i < n; i++) {
        const double rate = excess_rate(&g[i], p, x, dx);
        const double gap = -excess(&g[i], p, x);
        if (rate > 0.0 && gap > 0.0)
            limit = fmin(limit, fmax(share * gap / rate, SHORTEST_LIMIT));
    }
    return limit;
}

/* Time in (0, h) at which the cubic through both ends of the step turns round, or NAN. */
static double turning_point(double e0, double r0, double e1, double r1, double h)
{
    /* e'(s)/h with s = t/h is a quadratic: a s^2 + b s + c */
    const double a = 6.0 * (e0 - e1) / h + 3.0 * (r0 + r1);
    const double b = -6.0 * (e0 - e1) / h - 4.0 * r0 - 2.0 * r1;
    const double c = r0;
    const double disc = b * b - 4.0 * a * c;
    if (disc < 0.0)
        return NAN;
    /* the stable form of the root at which a positive rate turns negative */
    const double s = 2.0 * c / (-b + sqrt(disc));
    return s > 0.0 && s < 1.0 ? s * h : NAN;
}

/* A length of step at which guard g is past its threshold, or NAN: the end, or where it turned. */
static double crossed_within(const struct guard *g, const struct plant *p, struct stepper *s,
                             double h, const double x[])
{
    if (guard_crossed(g, p, x))
        return h;
    const double *x0 = stepper_start_x(s);
    const double r0 = excess_rate(g, p, x0, stepper_start_dx(s));
    const double r1 = excess_rate(g, p, x, stepper_end_dx(s));
    if (r0 <= 0.0 || r1 >= 0.0)
        return NAN;
    const double turn = turning_point(excess(g, p, x0), r0, excess(g, p, x), r1, h);
    double trial[X_COUNT];
    if (isnan(turn) || stepper_repeat(s, turn, trial) != STATUS_OK)
        return NAN;
    return guard_crossed(g, p, trial) ? turn : NAN;
}

/* The shortest step, to TIME_TOLERANCE, at which g is past its threshold; found by false position
 * with halving, on real steps. */
static double locate(const struct guard *g, const struct plant *p, struct stepper *s, double high,
                     enum status *status)
{
    double x[X_COUNT];
    double low = 0.0, e_low = excess(g, p, stepper_start_x(s));
    if (e_low >= 0.0)
        return 0.0;
    *status = stepper_repeat(s, high, x);
    double e_high = excess(g, p, x);
    for (int i = 0; i < SEARCH_MAX && high - low > TIME_TOLERANCE && *status == STATUS_OK; i++) {
        double h = low + (high - low) * e_low / (e_low - e_high);
        /* aim a hair past the crossing: the answer must lie beyond it */
        h = fmin(fmax(h + 0.5 * TIME_TOLERANCE, low + 0.25 * TIME_TOLERANCE),
                 high - 0.25 * TIME_TOLERANCE);
        if (i % 3 == 2)
            h = 0.5 * (low + high);
        *status = stepper_repeat(s, h, x);
        const double e = excess(g, p, x);
        if (e >= 0.0) {
            high = h;
            e_high = e;
        } else {
            low = h;
            e_low = e;
        }
    }
    return high;
}

int guard_locate(const struct guard g[], int n, const struct plant *p, struct stepper *s, double *t,
                 double x[], enum status *status)
{
    const double h = *t - stepper_start_t(s);
    double earliest = INFINITY;
    int which = -1;
    *status = STATUS_OK;
    for (int i = 0; i < n && *status == STATUS_OK; i++) {
        const double within = crossed_within(&g[i], p, s, h, x);
        if (isnan(within))
            continue;
        const double at = locate(&g[i], p, s, within, status);
        if (at < earliest) {
            earliest = at;
            which = i;
        }
    }
    if (which >= 0 && earliest < h && *status == STATUS_OK) {
        if (earliest > 0.0)
            *status = stepper_repeat(s, earliest, x);
        else
            memcpy(x, stepper_start_x(s), X_COUNT * sizeof *x);
        *t = stepper_start_t(s) + earliest;
    }
    return which;
}
