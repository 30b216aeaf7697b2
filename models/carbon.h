/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * carbon: a carbon block as cells in series; free chlorine and monochloramine react with sites that
 * are used up, so that a front moves.  Page: docs/carbon.md.
 *
 * In a cell C = C0 exp(-k tau u), with u = share of sites left, k by oxidant and temperature and
 * tau the empty-bed contact time; du = -(sites used)/(capacity).  Implicit in u.
 */
#ifndef MODELS_CARBON_H
#define MODELS_CARBON_H

#include "parcel.h"
#include "water.h"

enum { CARBON_CELLS_MAX = 64 };

struct carbon {
    double volume;              /* m3 of block */
    double resistance;          /* Pa s/m3, clean, at 20 degC */
    double chlorine_rate;       /* k [1/s] at 20 degC on fresh carbon */
    double chloramine_rate;     /* k [1/s] at 20 degC on fresh carbon */
    double activation;          /* E/R [K] of both rates */
    double capacity;            /* kg of Cl2 that uses up all sites */
    double ammonia_share;       /* share of chloramine nitrogen that leaves as ammonia, 1/3..1 */
    int cells;
};

struct carbon_state {
    double left[CARBON_CELLS_MAX];  /* u, share of sites left, by cell from the inlet */
};

void carbon_init(const struct carbon *p, struct carbon_state *s);

double carbon_pressure_drop(const struct carbon *p, double flow, const struct fluid *water);

/* Turns oxidants of the parcel into chloride and ammonium.  `nitrogen` receives mol of N that left
 * as N2 (added to), so that nitrogen and chlorine are conserved. */
void carbon_carry(const struct carbon *p, struct carbon_state *s, struct parcel *water,
                  double *nitrogen);

/* Empty-bed contact time [s] at a flow [m3/s]. */
double carbon_contact_time(const struct carbon *p, double flow);

#endif
