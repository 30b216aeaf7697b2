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

double guard_value(const struct guard *g, const struct plant *p, const struct sight *s)
{
    switch (g->channel) {
    case CHANNEL_TANK_LEVEL:
        return tank_level(&p->tank, s->x[X_TANK]);
    case CHANNEL_TANK_VOLUME:
        return s->x[X_TANK];
    case CHANNEL_BASIN_VOLUME:
        return s->x[X_BASIN];
    case CHANNEL_SPILLED:
        return s->x[X_SPILL];
    case CHANNEL_INLET_PRESSURE:
        return s->signals->inlet_pressure;
    case CHANNEL_BLADDER:
        return s->x[X_BLADDER];
    case CHANNEL_SHUTOFF:
        return plant_shutoff_level(p, g->set, s->x);
    }
    return 0.0;
}

/* The level of a shut-off valve moves with the feed, too: looked up a second later. */
static double shutoff_rate(const struct guard *g, const struct plant *p, const struct sight *s)
{
    double later[X_COUNT];
    for (int k = 0; k < X_COUNT; k++)
        later[k] = s->x[k] + s->dx[k];
    return plant_shutoff_level(p, g->set, later) - plant_shutoff_level(p, g->set, s->x);
}

static double guard_rate(const struct guard *g, const struct plant *p, const struct sight *s)
{
    switch (g->channel) {
    case CHANNEL_TANK_LEVEL:
        return s->dx[X_TANK] / tank_area(&p->tank, tank_level(&p->tank, s->x[X_TANK]));
    case CHANNEL_TANK_VOLUME:
        return s->dx[X_TANK];
    case CHANNEL_BASIN_VOLUME:
        return s->dx[X_BASIN];
    case CHANNEL_SPILLED:
        return s->dx[X_SPILL];
    case CHANNEL_INLET_PRESSURE:
        return s->inlet_rate;
    case CHANNEL_BLADDER:
        return s->dx[X_BLADDER];
    case CHANNEL_SHUTOFF:
        return shutoff_rate(g, p, s);
    }
    return 0.0;
}

/* Distance past the threshold that is watched for now: positive once crossed. */
static double excess(const struct guard *g, const struct plant *p, const struct sight *s)
{
    const double value = guard_value(g, p, s);
    return *g->on ? g->lower - value : value - g->upper;
}

static double excess_rate(const struct guard *g, const struct plant *p, const struct sight *s)
{
    const double rate = guard_rate(g, p, s);
    return *g->on ? -rate : rate;
}

bool guard_crossed(const struct guard *g, const struct plant *p, const struct sight *s)
{
    return excess(g, p, s) >= 0.0;
}

double guard_step_limit(const struct guard g[], int n, const struct plant *p, const struct sight *s,
                        double share)
{
    double limit = INFINITY;
    for (int i = 0; i < n; i++) {
        const double rate = excess_rate(&g[i], p, s);
        const double gap = -excess(&g[i], p, s);
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

/* The excess at `h` after the start of the step: a real step, to x. */
static double excess_at(const struct guard *g, const struct guarded_step *step, double h,
                        double x[], enum status *status)
{
    *status = stepper_repeat(step->stepper, h, x);
    return excess(g, step->plant, &(struct sight){ .x = x, .signals = step->live });
}

/* A length of step at which guard g is past its threshold, or NAN: the end, or where it turned. */
static double crossed_within(const struct guard *g, const struct guarded_step *step, double h)
{
    const struct plant *p = step->plant;
    /* a parcel leaves its dirt in the cartridges: a pressure may be past at the start already */
    if (guard_crossed(g, p, &step->start) || guard_crossed(g, p, &step->end))
        return h;
    const double r0 = excess_rate(g, p, &step->start), r1 = excess_rate(g, p, &step->end);
    if (r0 <= 0.0 || r1 >= 0.0)
        return NAN;
    const double turn =
        turning_point(excess(g, p, &step->start), r0, excess(g, p, &step->end), r1, h);
    double trial[X_COUNT];
    enum status status = STATUS_OK;
    if (isnan(turn) || excess_at(g, step, turn, trial, &status) < 0.0)
        return NAN;
    return status == STATUS_OK ? turn : NAN;
}

/* The shortest step, to TIME_TOLERANCE, at which g is past its threshold; found by the secant inside
 * a bracket, which is halved where it shrinks too slowly, on real steps.  `whole`: the step as it was
 * made reaches to `high`, so that what it came to is known. */
static double locate(const struct guard *g, const struct guarded_step *step, double high,
                     bool whole, enum status *status)
{
    double x[X_COUNT], low = 0.0, wide = high;
    double last = 0.0, e_last = excess(g, step->plant, &step->start);
    if (e_last >= 0.0)
        return 0.0;
    double now = high;
    double e = whole ? excess(g, step->plant, &step->end) : excess_at(g, step, high, x, status);
    for (int i = 0; i < SEARCH_MAX && high - low > TIME_TOLERANCE && *status == STATUS_OK; i++) {
        /* aim a hair past the crossing, where the answer must lie; once there, a hair short of it */
        const double hair = (i > 0 && now == high ? -0.4 : 0.4) * TIME_TOLERANCE;
        double h = now - e * (now - last) / (e - e_last) + hair;
        if (i % 3 == 2 && high - low > 0.5 * wide)
            h = 0.5 * (low + high);
        if (i % 3 == 2)
            wide = high - low;
        if (!(h > low - TIME_TOLERANCE && h < high + TIME_TOLERANCE))
            h = 0.5 * (low + high);
        last = now;
        e_last = e;
        now = fmin(fmax(h, low + 0.25 * TIME_TOLERANCE), high - 0.25 * TIME_TOLERANCE);
        e = excess_at(g, step, now, x, status);
        *(e >= 0.0 ? &high : &low) = now;
    }
    return high;
}

int guard_locate(const struct guard g[], int n, const struct guarded_step *step, double *t,
                 double x[], enum status *status)
{
    struct stepper *s = step->stepper;
    const double h = *t - stepper_start_t(s);
    double earliest = INFINITY;
    int which = -1;
    *status = STATUS_OK;
    for (int i = 0; i < n && *status == STATUS_OK; i++) {
        const double within = crossed_within(&g[i], step, h);
        if (isnan(within))
            continue;
        const double at = locate(&g[i], step, within, within == h, status);
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
