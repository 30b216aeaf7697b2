/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * parcel: a volume of water with what is in it; the thing that moves down the line.
 * vessel: a well-mixed volume that parcels enter and leave, kept as amounts.  Page: docs/parcel.md.
 */
#ifndef MODELS_PARCEL_H
#define MODELS_PARCEL_H

#include "species.h"

struct parcel {
    double volume;           /* m3 */
    double duration;         /* s, during which it flowed; volume/duration is its flow */
    double temperature;      /* degC */
    double c[SPECIES_COUNT]; /* mol/m3 (kg/m3) */
};

struct vessel {
    double volume;                /* m3 */
    double amount[SPECIES_COUNT]; /* mol (kg) */
};

/* Mixes a parcel in while `out` m3 leave at the same time, both at steady rates, and `lost` m3
 * leave as vapour without solutes.  Writes what left into leaving[] (mol, kg), so that
 * amount + inflow = amount' + leaving to rounding; exact for the steady rates.
 * A vessel that ends empty hands over all that it held, but one that dries up (out = 0) keeps it.
 * More going out than there is counts as emptying. */
void vessel_mix(struct vessel *v, const struct parcel *in, double out, double lost,
                double leaving[SPECIES_COUNT]);

#endif
