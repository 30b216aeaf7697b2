/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * variant: the same scenario with some values changed, read again like the file, so that everything that
 * follows from them changes too.  Page: docs/sample.md.
 */
#ifndef SIM_VARIANT_H
#define SIM_VARIANT_H

#include "scenario.h"

enum { VARIANT_MOST = 32 };

struct variant {
    const struct value *value;  /* a number of the scenario as it is */
    double si;                  /* and what shall be in its place */
};

/* The nearest that the key accepts. */
double variant_accepted(const struct value *v, double si);

/* Loads FILE with the changes of the command line and these, without a word.  STATUS_SCENARIO: together they
 * make no sound scenario.  scenario_free it after STATUS_OK. */
enum status variant_load(const char *file, const char *const sets[], const struct variant list[],
                         int count, struct scenario *out);

#endif
