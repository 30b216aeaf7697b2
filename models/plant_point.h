/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * plant_point: pressures along the line at trial flows, and the flow at which they agree; used by
 * plant_flow.c alone.
 */
#ifndef MODELS_PLANT_POINT_H
#define MODELS_PLANT_POINT_H

#include "membrane_channel.h"
#include "plant.h"

/* What stays the same while one operating point is sought, and the trial. */
struct plant_point {
    const struct plant *p;
    const struct settings *set;
    const struct state *state;
    struct fluid water;       /* the feed */
    struct membrane membrane; /* as wear has left it */
    struct channel channel;   /* of it */
    double open_drain;        /* share of the restrictor that is free; above 1 in a rinse */
    double held_pressure;     /* Pa on the product that is prescribed, or NAN */
    double drive;             /* Pa that is left over at no flow, without a membrane */
    int diverts_behind;       /* stage behind which the product runs to the drain, or -1 */
    double supply;            /* Pa */
    double temperature;       /* degC of the feed */
    double feed_opening;      /* 0..1 of the feed valve */
    double float_opening;     /* 0..1 */
    double left;              /* m3/s that the last trial was off */
    double product;           /* m3/s, trial */
    double drain;             /* m3/s, at that trial */
    double drain_most;        /* m3/s, what the restrictor passes when no product is made */
    bool cycling;             /* a shut-off valve works on the compliance of the line alone */
};

/* Pressure [Pa] in front of stage `to` when `flow` comes in [m3/s]. */
double plant_point_before(const struct plant_point *o, int to, double flow);

/* Pressure [Pa] behind stage `from - 1` that drives `flow` [m3/s] through the rest of the line to the
 * tank, or to where it is diverted to the drain. */
double plant_point_behind(const struct plant_point *o, int from, double flow);

/* The most that the feed valve alone would let through [m3/s]. */
double plant_point_most(const struct plant_point *o);

/* Makes ready to look for points of the membrane as wear has left it, and says the most that it can
 * ever make [m3/s].  Comes before the three that follow. */
double plant_point_open(struct plant_point *o);

/* Product flow [m3/s] of the membrane, at most `most`; leaves the drain flow that belongs to it. */
double plant_point_make(struct plant_point *o, double most);

/* The same against a pressure on its product [Pa]; NAN: against what lies on the way. */
double plant_point_make_against(struct plant_point *o, double pressure, double most);

/* No way out for the product: all that comes in goes to the drain. */
void plant_point_shut_in(struct plant_point *o);

/* What the line behind the membrane lets out at a pressure [Pa] on it, at most `most` [m3/s]. */
double plant_point_outlet(struct plant_point *o, double pressure, double most);

/* What flows through a line without a membrane [m3/s]; 0 if nothing drives it. */
double plant_point_through(struct plant_point *o);

/* What flows through an open end behind new parts that are flushed [m3/s]. */
double plant_point_open_end(struct plant_point *o);

#endif
