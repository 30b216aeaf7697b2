/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * tank: geometry of the storage tank, its overflow pipe and its rim.  Page: docs/tank.md.
 *   lying cylinder: V = L R^2 (theta - sin theta)/2, h = 2 R sin^2(theta/4)
 *   cone: V = pi h (rb^2 + rb r + r^2)/3, r = rb + (Rt - rb) h/Hc
 *   overflow: the least of weir or critical depth, orifice, and full pipe
 * Assumes walls that do not bulge, still water at the mouth, and an overflow that runs freely.
 */
#include "tank.h"

#include <math.h>

#include "root.h"
#include "valve.h"
#include "water.h"

static const double GRAVITY = 9.80665;
static const double CD = 0.60;          /* of the weir and of the orifice */
static const double FITTINGS = 2.5;     /* sum of K of the pipe: entry 0.5 and two elbows of 1 */
static const double SELF_VENTING = 0.3; /* Froude number up to which air leaves upwards */
static const double ROOT = 1e-14;       /* relative width of a found root */
static const double CRITICAL_TOP = 1.2; /* H/D above which the orifice is the less by far */

static double clamp(double x, double low, double high)
{
    return fmin(fmax(x, low), high);
}

static double disc(double diameter)
{
    return M_PI * diameter * diameter / 4.0;
}

/* Angle of the wetted arc of a lying cylinder at a level, and the level at an angle. */
static double arc(double diameter, double level)
{
    return 4.0 * asin(sqrt(clamp(level / diameter, 0.0, 1.0)));
}

static double arc_level(double diameter, double theta)
{
    const double s = sin(theta / 4.0);
    return diameter * s * s;
}

/* theta of theta - sin theta = s, for s from 0 to pi.  The left side is convex there, so that
 * Newton comes down from the right after one step; the series starts it from just below the root.
 */
static double arc_of_segment(double s)
{
    const double x = cbrt(6.0 * s), first = x * (1.0 + x * x / 60.0);
    if (x < 0.01)
        return first; /* the next term is x^5/1400 */
    double theta = fmin(first, M_PI);
    for (int i = 0; i < 4; i++)
        theta = clamp(theta - (theta - sin(theta) - s) / (1.0 - cos(theta)), first, M_PI);
    return theta;
}

static double lying_volume(const struct tank *t, double level)
{
    const double theta = arc(t->diameter, level);
    return t->length * t->diameter * t->diameter / 8.0 * (theta - sin(theta));
}

static double lying_level(const struct tank *t, double volume)
{
    const double s = clamp(8.0 * volume / (t->length * t->diameter * t->diameter), 0.0, 2.0 * M_PI);
    if (s <= M_PI)
        return arc_level(t->diameter, arc_of_segment(s));
    return t->diameter - arc_level(t->diameter, arc_of_segment(2.0 * M_PI - s));
}

static double cone_radius(const struct tank *t, double level)
{
    const double top = t->diameter / 2.0, bottom = t->bottom_diameter / 2.0;
    return level < t->cone_height ? bottom + (top - bottom) * level / t->cone_height : top;
}

static double cone_volume(const struct tank *t, double level)
{
    const double h = fmin(level, t->cone_height);
    const double rb = t->bottom_diameter / 2.0, r = cone_radius(t, h);
    return M_PI * h * (rb * rb + rb * r + r * r) / 3.0 + disc(t->diameter) * (level - h);
}

/* In the cone r^3 - rb^3 = 3 V (Rt - rb)/(pi Hc), and then h = 3 V/(pi (rb^2 + rb r + r^2)). */
static double cone_level(const struct tank *t, double volume)
{
    const double full = cone_volume(t, t->cone_height);
    if (volume >= full)
        return t->cone_height + (volume - full) / disc(t->diameter);
    if (volume <= 0.0)
        return 0.0;
    const double rb = t->bottom_diameter / 2.0, widening = t->diameter / 2.0 - rb;
    const double r = cbrt(rb * rb * rb + 3.0 * volume * widening / (M_PI * t->cone_height));
    return 3.0 * volume / (M_PI * (rb * rb + rb * r + r * r));
}

/* Row at the lower end of the interval of a column that holds x. */
static int table_row(const double *column, int rows, double x)
{
    int row = 0;
    while (row < rows - 2 && column[row + 1] <= x)
        row++;
    return row;
}

/* Linear from one column to the other; the first and last rows end it. */
static double table_look(const double *from, const double *to, int rows, double x)
{
    const int i = table_row(from, rows, x);
    const double share = clamp((x - from[i]) / (from[i + 1] - from[i]), 0.0, 1.0);
    return to[i] + share * (to[i + 1] - to[i]);
}

double tank_volume(const struct tank *t, double level)
{
    const double h = clamp(level, 0.0, t->height);
    switch (t->shape) {
    case TANK_BOX:
        return t->length * t->width * h;
    case TANK_UPRIGHT:
        return disc(t->diameter) * h;
    case TANK_LYING:
        return lying_volume(t, h);
    case TANK_CONE:
        return cone_volume(t, h);
    case TANK_TABLE:
        return table_look(t->table_level, t->table_volume, t->rows, h);
    }
    return 0.0;
}

static double level_of(const struct tank *t, double volume)
{
    switch (t->shape) {
    case TANK_BOX:
        return volume / (t->length * t->width);
    case TANK_UPRIGHT:
        return volume / disc(t->diameter);
    case TANK_LYING:
        return lying_level(t, volume);
    case TANK_CONE:
        return cone_level(t, volume);
    case TANK_TABLE:
        return table_look(t->table_volume, t->table_level, t->rows, volume);
    }
    return 0.0;
}

double tank_level(const struct tank *t, double volume)
{
    return clamp(level_of(t, volume), 0.0, t->height);
}

double tank_area(const struct tank *t, double level)
{
    const double h = clamp(level, 0.0, t->height);
    switch (t->shape) {
    case TANK_BOX:
        return t->length * t->width;
    case TANK_UPRIGHT:
        return disc(t->diameter);
    case TANK_LYING:
        return t->length * t->diameter * sin(arc(t->diameter, h) / 2.0);
    case TANK_CONE:
        return disc(2.0 * cone_radius(t, h));
    case TANK_TABLE: {
        const int i = table_row(t->table_level, t->rows, h);
        return (t->table_volume[i + 1] - t->table_volume[i]) /
               (t->table_level[i + 1] - t->table_level[i]);
    }
    }
    return 0.0;
}

double tank_full(const struct tank *t)
{
    return tank_volume(t, t->height);
}

struct tank tank_scaled(const struct tank *t, double share)
{
    struct tank scaled = *t;
    if (t->shape == TANK_BOX || t->shape == TANK_LYING) {
        scaled.length *= share;
    } else if (t->shape == TANK_TABLE) {
        for (int i = 0; i < t->rows; i++)
            scaled.table_volume[i] *= share;
    } else {
        scaled.diameter *= sqrt(share);
        scaled.bottom_diameter *= sqrt(share);
    }
    return scaled;
}

/* Head [m] that a flow needs in the full pipe, its velocity head and fittings included. */
struct pipe {
    const struct overflow *o;
    struct fluid water;
    double head; /* m, available */
};

static double pipe_spare(double flow, void *context)
{
    const struct pipe *p = context;
    const double v = flow / disc(p->o->bore);
    const double friction = tube_loss(p->o->length, p->o->bore, flow, &p->water);
    return p->head - (1.0 + FITTINGS) * v * v / (2.0 * GRAVITY) -
           friction / (p->water.density * GRAVITY);
}

/* Lets no more through than the full pipe does; its friction is looked at first at the flow of the
 * mouth, and most often that is all. */
static double pipe_limit(const struct overflow *o, double flow, double head, double temperature)
{
    struct pipe p = { o, water_fluid(temperature), head + o->fall };
    if (o->length <= 0.0)
        return flow;
    return root_falling(pipe_spare, &p, 0.0, flow, ROOT);
}

static double orifice(double diameter, double head)
{
    return CD * disc(diameter) * sqrt(2.0 * GRAVITY * fmax(head, 0.0));
}

/* Sharp-edged mouth of a standpipe: a weir along its rim until it drowns, at h = 3/8 D.  What
 * blocks the bore (a screen) narrows the orifice and not the weir. */
static double standpipe_mouth(const struct overflow *o, double head, double open)
{
    const double rim = M_PI * o->bore;
    const double weir = 2.0 / 3.0 * CD * sqrt(2.0 * GRAVITY) * rim * head * sqrt(head);
    return fmin(weir, open * orifice(o->bore, head));
}

/* Head of critical flow at the brink of a round pipe, phi = half the wetted angle:
 * H/D = y/D + A/(2 T D), y = D (1 - cos phi)/2, A = D^2 (phi - sin phi cos phi)/4, T = D sin phi.
 */
static double critical_spare(double phi, void *context)
{
    const double *h = context; /* H/D available */
    const double s = sin(phi), c = cos(phi);
    return *h - (1.0 - c) / 2.0 - (phi - s * c) / (8.0 * s);
}

/* Q = A sqrt(g A/T) */
static double critical_flow(double diameter, double phi)
{
    const double s = sin(phi);
    const double area = diameter * diameter * (phi - s * cos(phi)) / 4.0;
    return area * sqrt(GRAVITY * area / (diameter * s));
}

/* Short level pipe through the wall: critical depth at its brink, and above H = D no more than an
 * orifice under the head over its axis.  A blockage narrows both, so that the flow never falls as
 * the water rises. */
static double side_mouth(const struct overflow *o, double head, double open)
{
    double h = head / o->bore;
    double flow = INFINITY;
    if (h < CRITICAL_TOP) {
        /* phi^2 = 3 H/D is the limit of small heads, and lies below the root up to here */
        const double least = fmax(sqrt(3.0 * h), 1e-4);
        flow = critical_flow(o->bore, root_falling(critical_spare, &h, least, 2.5, ROOT));
    }
    if (h > 1.0)
        flow = fmin(flow, orifice(o->bore, head - o->bore / 2.0));
    return open * flow;
}

double overflow_flow(const struct overflow *o, double level, double open, double temperature)
{
    const double head = level - o->lip;
    if (head <= 0.0 || open <= 0.0 || o->kind == OVERFLOW_NONE)
        return 0.0;
    const double mouth =
        o->kind == OVERFLOW_STANDPIPE ? standpipe_mouth(o, head, open) : side_mouth(o, head, open);
    return open * pipe_limit(o, mouth / open, head, temperature);
}

double overflow_dependable(const struct overflow *o, double level, double open)
{
    const double flow = overflow_flow(o, level, open, 20.0);
    if (o->kind == OVERFLOW_SIDE && o->fall <= 0.0)
        return flow; /* nothing falls that could gurgle */
    return fmin(flow, SELF_VENTING * open * disc(o->bore) * sqrt(GRAVITY * o->bore));
}

struct running {
    const struct overflow *o;
    double open, temperature;
    double flow; /* m3/s, wanted */
};

static double flow_wanting(double level, void *context)
{
    const struct running *r = context;
    return r->flow - overflow_flow(r->o, level, r->open, r->temperature);
}

double overflow_level(const struct overflow *o, double flow, double open, double temperature,
                      double highest)
{
    struct running r = { o, open, temperature, flow };
    if (o->kind == OVERFLOW_NONE || flow_wanting(highest, &r) > 0.0)
        return INFINITY;
    return root_falling(flow_wanting, &r, fmin(o->lip, highest), highest, ROOT);
}
