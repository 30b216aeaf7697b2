/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * completion: from what a person knows of the feed to a charge-balanced composition.
 * Page: docs/completion.md.
 */
#ifndef SIM_COMPLETION_H
#define SIM_COMPLETION_H

#include <stdbool.h>

#include "models/species.h"

/* What is known; NAN for what is not. */
struct analysis {
    double ion[SPECIES_COUNT];  /* mol/m3 (SOLIDS kg/m3); CARBON: total inorganic carbon if given */
    double bicarbonate;         /* mol/m3, HCO3- as an analysis states it */
    double carbon_dioxide;      /* mol/m3, free CO2 */
    double hardness;            /* eq/m3, Ca + Mg */
    double alkalinity;          /* eq/m3 */
    double ph;
    double temperature;         /* degC at which pH was measured; 25 if NAN */
    double conductivity;        /* S/m at 25 degC, of a laboratory or a meter */
    double dissolved;           /* kg/m3, total dissolved solids by evaporation */
    bool close_by_sodium;       /* user says: put any imbalance on sodium or chloride */
};

enum { ASSUMED_MAX = 24 };

struct assumption {
    const char *key;            /* "calcium" */
    double value;               /* mol/m3, eq/m3 or pH */
    const char *unit;           /* of value as printed */
    const char *why;            /* rule and its source */
};

struct completion {
    double c[SPECIES_COUNT];
    double ph;                  /* of the completed water at the analysis temperature */
    double conductivity;        /* S/m at 25 degC, computed */
    double dissolved;           /* kg/m3 by evaporation, computed */
    double balance;             /* of what was given: 100 (cations - anions)/(cations + anions) [%]; NAN
                                   if too little was given to say */
    double co2;                 /* mol/m3, free */
    double co2_low, co2_high;   /* the same with pH 0.3 higher and lower */
    double conductivity_least;  /* S/m: least that the given hardness and alkalinity allow */
    int assumptions;
    struct assumption assumed[ASSUMED_MAX];
};

enum completion_outcome {
    COMPLETION_FINE,
    COMPLETION_UNBALANCED,      /* 5 to 20 %: closed, warn */
    COMPLETION_REFUSED,         /* over 20 % and not told how to close */
    COMPLETION_CONTRADICTS,     /* conductivity or solids below what was given needs: kept at least */
    COMPLETION_NOTHING          /* not even a meter reading */
};

enum completion_outcome completion_make(const struct analysis *a, struct completion *out);

#endif
