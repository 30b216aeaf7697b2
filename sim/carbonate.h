/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * carbonate: the measures of the carbonates in a water at a given [H+], each from the total carbon
 * and back.  Page: docs/completion.md.
 */
#ifndef SIM_CARBONATE_H
#define SIM_CARBONATE_H

#include "models/water.h"

/* Four measures of the carbonates; with a pH any one gives the rest, without a pH any two. */
enum measure { BY_ALKALINITY, BY_BICARBONATE, BY_CARBON, BY_DIOXIDE, MEASURES };

struct carbonate {
    const struct equilibria *k;
    double silica, ammonia; /* mol/m3, totals that take part in alkalinity */
    double h;               /* mol/m3 */
};

double carbonate_hydrogen(const struct equilibria *k, double ph); /* [H+] at a pH [mol/m3] */
double carbonate_share(const struct carbonate *x, int form);      /* co2 0, hco3 1, co3 2 */

/* Alkalinity that is not of carbonates: OH - H + H3SiO4 + NH3. */
double carbonate_other_alkalinity(const struct carbonate *x);

/* Total carbon at which a measure has its value, never negative; and back. */
double carbonate_for(const struct carbonate *x, enum measure m, double value);
double carbonate_measure(const struct carbonate *x, enum measure m, double carbon);

#endif
