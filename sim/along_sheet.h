/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * along_sheet: the picture of the line, drawn or in letters.  Page: docs/along.md.
 */
#ifndef SIM_ALONG_SHEET_H
#define SIM_ALONG_SHEET_H

#include <stdio.h>

#include "along.h"
#include "figure.h"

extern const struct figure along_figures[]; /* source: a struct along */

enum status along_sheet(struct sheet *s);

/* The same in letters, 80 columns wide. */
void along_picture(const struct along *a, FILE *out);

/* Charge of the ions of one sign [mol/m3 = meq/L]; sign 1 or -1. */
double along_sum(const struct along_point *p, int sign);

#endif
