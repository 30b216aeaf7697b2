/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * sediment: a depth cartridge; captures suspended solids, pressure drop grows with what it holds.
 * dP = a Q mu/mu20 / (1 - M/Mcap)^2.  Page: docs/sediment.md.
 */
#ifndef MODELS_SEDIMENT_H
#define MODELS_SEDIMENT_H

#include "parcel.h"
#include "water.h"

struct sediment {
    double rating;              /* m, nominal pore size (for words only) */
    double resistance;          /* a [Pa s/m3], clean, at 20 degC */
    double capture;             /* share of solids kept */
    double capacity;            /* Mcap [kg] */
};

struct sediment_state {
    double mass;                /* M [kg] held */
};

/* Pressure drop [Pa]; M is taken at most as 0.97 Mcap so that it stays finite. */
double sediment_pressure_drop(const struct sediment *p, const struct sediment_state *s, double flow,
                              const struct fluid *water);

/* Takes solids out of the parcel. A full cartridge keeps nothing more. */
void sediment_carry(const struct sediment *p, struct sediment_state *s, struct parcel *water);

#endif
