/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * balance: water and every element, from the ledger of parcels against what the plant holds.
 * in + start = out by every exit + held + rounding.
 */
#ifndef SIM_BALANCE_H
#define SIM_BALANCE_H

#include "models/plant.h"

struct balance_row {
    const char *name; /* "water", "sodium" */
    const char *unit; /* "L", "mol", "kg" */
    double start, in, held;
    double out[EXIT_COUNT];
    double destroyed; /* left as N2 */
    double error;     /* relative to what came in and was there */
};

enum { BALANCE_ROWS = 1 + ELEMENT_COUNT };

void balance_of(const struct plant *p, const struct state *s, struct balance_row row[BALANCE_ROWS]);

/* The largest error of all rows [-]. */
double balance_worst(const struct balance_row row[BALANCE_ROWS]);

#endif
