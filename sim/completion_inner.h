/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * completion_inner: what the files of the completion share; nobody else includes it.
 * Page: docs/completion.md.
 */
#ifndef SIM_COMPLETION_INNER_H
#define SIM_COMPLETION_INNER_H

#include <math.h>
#include <stdbool.h>

#include "carbonate.h"
#include "completion.h"

/* Typical share of alkalinity in the charge of all anions: mean river, Livingstone 1963. */
static const double ALKALINITY_SHARE = 0.67;

/* What was given, made tidy, and how the rest is to be shared out. */
struct puzzle {
    double temperature;               /* degC */
    double ph;                        /* NAN: follows from two measures */
    double known[MEASURES];           /* mol/m3 (eq/m3); NAN where not given */
    enum measure first, second;       /* in use; second MEASURES where the pH is known */
    bool alkalinity_free;             /* its typical share, or by difference */
    bool balances;                    /* what was given is whole by itself */
    double fixed[SPECIES_COUNT];      /* mol/m3 of what is given or settled, 0 of the free */
    double share[SPECIES_COUNT];      /* of its side's charge, of the free ions; 0 of the others */
    double cations, anions;           /* eq/m3 that is fixed, without alkalinity */
    double cation_share, anion_share; /* sums of share */
    double strength;                  /* rough conductivity [S/m] */
};

static inline bool completion_known(double value)
{
    return isfinite(value);
}

static inline double completion_charge(enum species i)
{
    return fabs((double)species[i].charge);
}

static inline bool completion_cation(enum species i)
{
    return (int)i <= LAST_CATION;
}

double completion_temperature(const struct analysis *a); /* degC, 25 if not given */

/* Makes an analysis tidy and decides what is kept, what is shared out and which measures count. */
struct puzzle completion_read(const struct analysis *a);

/* A whole water. */
struct completion_trial {
    double c[SPECIES_COUNT];
    double total;                          /* T, sum of cations [eq/m3] */
    double alkalinity;                     /* A [eq/m3] */
    double closed_sodium, closed_chloride; /* eq/m3 put there to close the balance */
    struct speciation s;
};

/* Dissolved solids by evaporation [kg/m3]: bicarbonate turns to carbonate. */
double completion_solids(const struct completion_trial *w);

/* Notes what was assumed of a water; met: the reading that it was fitted to is met. */
void completion_tell(const struct analysis *a, const struct puzzle *z, const struct completion_trial *w,
                     bool met, struct completion *out);

#endif
