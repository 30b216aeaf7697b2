/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * tank: geometry of the storage tank, its overflow pipe and its rim.  Page: docs/tank.md.
 * Levels are m above the inside of the bottom.
 */
#ifndef MODELS_TANK_H
#define MODELS_TANK_H

enum tank_shape { TANK_BOX, TANK_UPRIGHT, TANK_LYING, TANK_CONE, TANK_TABLE };

enum { TANK_TABLE_MAX = 64 };

enum overflow_kind { OVERFLOW_NONE, OVERFLOW_STANDPIPE, OVERFLOW_SIDE };

struct overflow {
    enum overflow_kind kind;
    double lip;                 /* level [m] of the lip or invert */
    double bore;                /* m */
    double fall;                /* m, height that the pipe falls below the lip */
    double length;              /* m of pipe; 0: the mouth alone */
    double meniscus;            /* m above the lip at which it starts to run */
};

struct tank {
    enum tank_shape shape;
    double length, width;       /* m: box; length also of the lying cylinder */
    double diameter;            /* m: cylinders, top of the cone */
    double bottom_diameter;     /* m: bottom of the cone */
    double cone_height;         /* m */
    double height;              /* m, bottom to rim */
    double outlet;              /* level [m] below which nothing can be drawn */
    int rows;                   /* of the table */
    double table_level[TANK_TABLE_MAX];  /* m, ascending from 0 */
    double table_volume[TANK_TABLE_MAX]; /* m3, ascending from 0 */
    struct overflow overflow;
};

double tank_volume(const struct tank *t, double level);  /* m3; level kept within 0..height */
double tank_level(const struct tank *t, double volume);  /* m; inverse, to rounding of the volume */
double tank_area(const struct tank *t, double level);    /* m2, free surface */
double tank_full(const struct tank *t);                  /* m3 at the rim */

/* The same heights, and at each level `share` of the volume. */
struct tank tank_scaled(const struct tank *t, double share);

/* Flow [m3/s] of an overflow that runs, at a level: the least of weir, orifice and full pipe
 * (standpipe), or of critical depth, orifice and pipe (side outlet).  open: share of the bore left
 * free, 0 blocked.  The meniscus only delays the start: whether it runs is the caller's to keep. */
double overflow_flow(const struct overflow *o, double level, double open, double temperature);

/* Dependable capacity [m3/s] at a level: no more than the self-venting limit 0.3 A sqrt(gD). */
double overflow_dependable(const struct overflow *o, double level, double open);

/* Level [m] at which the overflow carries a flow, or INFINITY above `highest`. */
double overflow_level(const struct overflow *o, double flow, double open, double temperature,
                      double highest);

#endif
