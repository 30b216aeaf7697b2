/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * cell: text as a cell of CSV.
 */
#ifndef SIM_CELL_H
#define SIM_CELL_H

#include <stdio.h>

/* Names come from scenarios: quoted, quotes doubled, without control characters, and never the start of a
 * spreadsheet formula. */
void cell_text(FILE *out, const char *text);

#endif
