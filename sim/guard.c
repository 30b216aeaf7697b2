/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * guard: see guard.h.  Two cases hide a crossing from a look at the end of a step: the level comes
 * and goes within it (the turning point is looked up and tried), or two guards cross (the earliest
 * wins, the step ends there, and the other is found again).
 */
#include "guard.h"

#include <math.h>
#include <string.h>

#include "models/root.h"

static const double TIME_TOLERANCE = 1e-8; /* s */
static const double TIME_COARSEST = 1e-4;  /* s, where a level creeps */
static const double SHORTEST_LIMIT = 20.0; /* s */
static const double ROUNDING = 1e-15;      /* of a level: what cannot be told apart, after a step */

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

/* Where in a step a guard is looked for: not past its threshold at `low`, past it at `high`. */
struct search {
    double low, high;     /* s after the start of the step */
    double e_low, e_high; /* what it is past its threshold there */
    double *x;            /* the state at `high` */
};

/* Sets the end of the search, at which guard g is past its threshold: the end of the step, or where
 * it turned.  False if it was never past it. */
static bool crosses(const struct guard *g, const struct guarded_step *step, double h,
                    struct search *s, enum status *status)
{
    const struct plant *p = step->plant;
    *s = (struct search){ .high = h,
                          .e_low = excess(g, p, &step->start),
                          .e_high = excess(g, p, &step->end),
                          .x = s->x };
    memcpy(s->x, step->end.x, X_COUNT * sizeof *s->x);
    /* a parcel leaves its dirt in the cartridges: a pressure may be past at the start already */
    if (s->e_low >= 0.0 || s->e_high >= 0.0)
        return true;
    const double r0 = excess_rate(g, p, &step->start), r1 = excess_rate(g, p, &step->end);
    if (r0 <= 0.0 || r1 >= 0.0)
        return false;
    s->high = turning_point(s->e_low, r0, s->e_high, r1, h);
    if (isnan(s->high))
        return false;
    s->e_high = excess_at(g, step, s->high, s->x, status);
    return s->e_high >= 0.0 && *status == STATUS_OK;
}

/* A real step of length h, inside the search, which gets shorter by it; what g is past there. */
static double look(const struct guard *g, const struct guarded_step *step, double h,
                   struct search *s, enum status *status)
{
    double x[X_COUNT];
    const double e = excess_at(g, step, h, x, status);
    if (e >= 0.0) {
        s->high = h;
        s->e_high = e;
        memcpy(s->x, x, sizeof x);
    } else {
        s->low = h;
        s->e_low = e;
    }
    return e;
}

/* Time [s] in which a guard passes what it can tell apart: where a level creeps, rounding hides it
 * for longer than the tolerance. */
static double resolution(const struct guard *g, const struct guarded_step *step)
{
    const struct plant *p = step->plant;
    const double value = fabs(guard_value(g, p, &step->end));
    const double rate =
        fmax(fabs(guard_rate(g, p, &step->start)), fabs(guard_rate(g, p, &step->end)));
    return fmin(fmax(TIME_TOLERANCE, ROUNDING * value / rate), TIME_COARSEST);
}

/* What the cubic through both ends of a step still lacks to the threshold. */
struct cubic {
    double e0, r0, e1, r1, h;
};

static double cubic_lacks(double t, void *of)
{
    const struct cubic *c = of;
    const double s = t / c->h, left = 1.0 - s;
    return -(c->e0 * (1.0 + 2.0 * s) * left * left + c->e1 * s * s * (3.0 - 2.0 * s) +
             c->h * s * left * (c->r0 * left - c->r1 * s));
}

/* The shortest step, to TIME_TOLERANCE or rounding, at which g is past its threshold.  The cubic
 * through both ends of the step foretells it, nearly always to the tolerance: two looks, a hair on
 * either side.  Else the secant through the last two looks does, with a halving now and then.  All
 * looks are real steps. */
static double locate(const struct guard *g, const struct guarded_step *step, double h,
                     struct search *s, enum status *status)
{
    const struct plant *p = step->plant;
    if (s->e_low >= 0.0) {
        memcpy(s->x, step->start.x, X_COUNT * sizeof *s->x);
        return 0.0;
    }
    struct cubic c = { s->e_low, excess_rate(g, p, &step->start), excess(g, p, &step->end),
                       excess_rate(g, p, &step->end), h };
    const double tolerance = resolution(g, step), hair = 0.45 * tolerance;
    double aim = root_falling(cubic_lacks, &c, 0.0, s->high, 1e-15);
    double last = s->low, e_last = s->e_low;
    for (int i = 0; i < SEARCH_MAX && s->high - s->low > tolerance && *status == STATUS_OK; i++) {
        double next = aim - s->low > tolerance ? aim - hair : aim + hair;
        if (!(next > s->low && next < s->high) || i % 4 == 3)
            next = 0.5 * (s->low + s->high);
        const double e = look(g, step, next, s, status);
        if (fabs(next - last) > 3.0 * tolerance) /* nearer, their difference is rounding */
            aim = next - e * (next - last) / (e - e_last);
        last = next;
        e_last = e;
    }
    return s->high;
}

int guard_locate(const struct guard g[], int n, const struct guarded_step *step, double *t,
                 double x[], enum status *status)
{
    const double h = *t - stepper_start_t(step->stepper);
    double earliest = INFINITY, x_there[X_COUNT], x_earliest[X_COUNT];
    int which = -1;
    *status = STATUS_OK;
    for (int i = 0; i < n && *status == STATUS_OK; i++) {
        struct search s = { .x = x_there };
        if (!crosses(&g[i], step, h, &s, status))
            continue;
        const double at = locate(&g[i], step, h, &s, status);
        if (at < earliest) {
            earliest = at;
            which = i;
            memcpy(x_earliest, x_there, sizeof x_there);
        }
    }
    if (which >= 0 && earliest < h && *status == STATUS_OK) {
        memcpy(x, x_earliest, sizeof x_earliest);
        *t = stepper_start_t(step->stepper) + earliest;
    }
    return which;
}
