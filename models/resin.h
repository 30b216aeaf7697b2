/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * resin: an ion-exchange bed (mixed, cation or anion) as cells in series; film uptake exact along a
 * cell, mass action at the bead, both resins sharing one pH; implicit in the new loading, upwind.
 * Page: docs/resin.md.
 *
 * Assumes: film control, no holdup of water in the voids, carbon held as HCO3- and silica as
 * H3SiO4-, selectivities constant.
 */
#ifndef MODELS_RESIN_H
#define MODELS_RESIN_H

#include "parcel.h"
#include "water.h"

enum { RESIN_CELLS_MAX = 128, RESIN_PATHS = 2 };

struct resin {
    double volume;                       /* m3 of bed, as filled */
    double depth;                        /* m along the flow */
    double cation_share;                 /* of the resin volume: 1 cation bed, 0 anion bed */
    double cation_capacity;              /* eq per m3 of settled cation resin (mol/m3) */
    double anion_capacity;               /* eq per m3 of settled anion resin (mol/m3) */
    double packing;                      /* settled resin volume per bed volume, 0.9 to 1 */
    double bead;                         /* m, harmonic mean diameter */
    double voids;                        /* void fraction of settled resin */
    double film;                         /* multiplier on the film coefficient */
    double short_flow;                   /* loose packing: share of flow that takes a short path */
    double short_resin;                  /* and the share of resin that it meets */
    double selectivity[EXCHANGED_COUNT]; /* against H+ (cations) or OH- (anions) */
    int cells;                           /* along each path */
};

struct resin_state {
    /* equivalent fraction of the species' own sites, by cell from the inlet */
    double y[RESIN_PATHS][RESIN_CELLS_MAX][EXCHANGED_COUNT];
};

void resin_init(const struct resin *p, struct resin_state *s); /* fresh: all H and OH */

/* Ergun's loss [Pa]. */
double resin_pressure_drop(const struct resin *p, double flow, const struct fluid *water);

/* Passes a parcel through; conserves every species to rounding; y stays in [0,1] and each resin's
 * sum at or below 1.  Any parcel size is stable.  Free H+ and OH- follow from what is left. */
void resin_carry(const struct resin *p, struct resin_state *s, struct parcel *water);

/* Sites of each kind [mol of charge]. */
double resin_cation_sites(const struct resin *p);
double resin_anion_sites(const struct resin *p);

/* Amount of a species held [mol]; share of its own resin's sites that it takes up [-]. */
double resin_held(const struct resin *p, const struct resin_state *s, enum species i);
double resin_share(const struct resin *p, const struct resin_state *s, enum species i);

/* The same of the sites of one cell, both paths together; 0 outside the bed. */
double resin_share_at(const struct resin *p, const struct resin_state *s, int cell,
                      enum species i);

/* Share of its life used: the fuller resin's sites that no longer hold H+ or OH-. */
double resin_used(const struct resin *p, const struct resin_state *s);

/* Parcel [m3] that is small against the life of the bed on this water. */
double resin_parcel_limit(const struct resin *p, const double c[]);

/* Film coefficient [m/s] of Wilson and Geankoplis 1966, velocity superficial [m/s]. */
double resin_film(double bead, double voids, double velocity, double diffusivity);

/* Pressure gradient [Pa/m] of Ergun 1952, velocity superficial [m/s]. */
double resin_ergun(double bead, double voids, double velocity, double density, double viscosity);

#endif
