/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * first: when the water first was not what it should be.  Permeate and product are judged by the
 * litre: the pulse of salt at a start lasts some cups, and whether it shows in a parcel would hang on
 * the size of the parcel.
 */
#ifndef SIM_FIRST_H
#define SIM_FIRST_H

#include "run.h"

enum passed {                       /* first times, days; NAN if never */
              PASSED_PRODUCT_LIMIT, /* the product reading is over its limit */
              PASSED_PERMEATE_LIMIT,
              PASSED_PRODUCT_USUAL, /* 1 ppm, common practice where no limit is set */
              PASSED_SILICA,        /* 0.05 mg/L SiO2 in the product: no meter sees it */
              PASSED_CARBON,        /* 1 mg/L of free CO2 in the product */
              PASSED_SODIUM,        /* 5 % of the sodium of the permeate in the product */
              PASSED_CHLORINE,      /* 0.1 mg/L of oxidant at the membrane */
              PASSED_COUNT
};

/* Water caught until it is a litre, and then judged. */
struct caught {
    double volume;                /* m3 */
    double amount[SPECIES_COUNT]; /* mol, or kg as the species has it */
};

struct first {
    double day[PASSED_COUNT], litres[PASSED_COUNT]; /* of product made until then */
    struct caught permeate, product;                /* being filled */
    double permeate_seen, product_seen;             /* m3 that went by until the last parcel */
};

void first_init(struct first *f);

/* Looks at the parcel that was just carried. */
void first_see(struct first *f, const struct glimpse *g);

/* Catches a volume [m3] of water; true, and its mean in c[], when there is a litre or more. */
bool first_catch(struct caught *held, double volume, const double water[], double c[]);

/* What the meter of the plant shows of water [kg/m3]. */
double first_meter(const struct plant *p, const double c[]);

#endif
