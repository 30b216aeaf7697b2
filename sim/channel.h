/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * channel: everything that a series can show, one row each.  The name ends in the unit.
 */
#ifndef SIM_CHANNEL_H
#define SIM_CHANNEL_H

#include "run.h"

struct channel_row {
    const char *name; /* column name, unit at its end */
    int places;       /* decimals written */
    double (*value)(const struct glimpse *g);
};

extern const struct channel_row channels[];         /* ended by a NULL name */
extern const struct channel_row channels_bladder[]; /* of a plant that has one */

/* What the pocket meter shows of a conductivity [S/m], in ppm. */
double channel_ppm(const struct plant *p, double conductivity);

/* Salinity of the served water at this moment [g/kg], 0 without any. */
double channel_salinity(const struct glimpse *g);

#endif
