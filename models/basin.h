/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * basin: the served open water: evaporation, salinity, rim.  Page: docs/basin.md.
 */
#ifndef MODELS_BASIN_H
#define MODELS_BASIN_H

#include "cycle.h"
#include "parcel.h"

struct basin {
    double surface;        /* m2, where the level moves (of the sump, if there is one) */
    double open_surface;   /* m2 that evaporates */
    double volume;         /* m3 at its working level */
    double freeboard;      /* m from the working level to the rim */
    struct cycle water;    /* degC */
    struct cycle air;      /* degC */
    struct cycle humidity; /* share 0..1 */
    struct cycle draught;  /* air speed [m/s] */
    double calibration;    /* measured over modelled evaporation */
    double salinity;       /* g/kg at the start; 0 for fresh water */
    double start_day;      /* day of the year at t = 0 */
};

/* Evaporation of the basin at time t [m3 of water per s]. */
double basin_evaporation(const struct basin *b, double t);

double basin_level(const struct basin *b, double volume); /* m above the working level */
double basin_rim_volume(const struct basin *b);           /* m3 */

/* Salinity [g/kg] of what is in it at a temperature. */
double basin_salinity(const struct vessel *v, double temperature);

#endif
