/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * valve: float valve, tube and check valve of the product line.  Page: docs/valve.md.
 */
#ifndef MODELS_VALVE_H
#define MODELS_VALVE_H

#include "water.h"

/* A float valve opens in proportion to the fall of the level below where it shuts. */
struct float_valve {
    double shuts_at;            /* level [m] */
    double band;                /* proportional band PB [m] */
    double seat;                /* bore of the seat [m] */
};

struct tube {
    double length, bore;        /* m */
    double ends;                /* velocity heads lost where it begins and ends */
};

/* Opening 0..1 at a level; stuck: -1 works, else held at that opening; weep: least opening. */
double float_valve_opening(const struct float_valve *v, double level, double stuck, double weep);

/* Pressure lost [Pa] at a flow and opening (> 0): orifice, discharge coefficient 0.62. */
double float_valve_loss(const struct float_valve *v, double opening, double flow,
                        const struct fluid *water);

/* Flow [m3/s] of an opening at a pressure; its inverse. */
double float_valve_flow(const struct float_valve *v, double opening, double pressure,
                        const struct fluid *water);

/* Pressure lost [Pa] in a tube: laminar below Re 2300, Swamee-Jain above 4000, joined linearly. */
double tube_loss(double length, double bore, double flow, const struct fluid *water);

/* Flow [m3/s] that a pressure drives through a tube and its ends; 0 if there is no pressure. */
double tube_flow(const struct tube *tube, double pressure, const struct fluid *water);

/* Darcy friction factors, also for overflow pipes. */
double friction_swamee_jain(double reynolds, double relative_roughness);
double friction_colebrook(double reynolds, double relative_roughness);

#endif
