/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * units_inner: what units.c (reading, writing) and units_table.c (names) share.
 */
#ifndef SIM_UNITS_INNER_H
#define SIM_UNITS_INNER_H

#include "units.h"

struct unit {
    const char *name;
    enum dimension d;
    double factor, offset;
};

/* The unit that a plain name means in a dimension; false if there is none. */
bool units_resolve(const char *name, enum dimension d, const struct units_hint *hint,
                   struct unit *out);

/* The nearest name of a dimension, or NULL. */
const char *units_nearest(const char *name, enum dimension d);

#endif
