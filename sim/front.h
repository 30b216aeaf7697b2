/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * front: the sheet of the figure of the resin front, from front.csv: shares of the sites against
 * depth, stacked, for several dates.  Page: docs/figures.md.
 */
#ifndef SIM_FRONT_H
#define SIM_FRONT_H

#include "sheet.h"

/* STATUS_NO_INPUT if there is no front.csv with a date after the start. */
enum status front_sheet(struct sheet *s);

#endif
