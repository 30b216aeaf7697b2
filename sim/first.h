/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * first: when the water first was not what it should be.  Permeate and product are judged by the
 * litre: the pulse of salt at a start lasts some cups, and whether it shows in a parcel would hang on
 * the size of the parcel.
 */
#ifndef SIM_FIRST_H
#define SIM_FIRST_H

#include "summary.h"

/* Looks at the parcel that was just carried: fills passed[] and passed_litres[]. */
void first_see(struct summary *s, const struct glimpse *g);

#endif
