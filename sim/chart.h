/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * chart: series of a results folder as plain text, 80 columns wide: no plotting program, no colour.
 * Page: docs/show.md.
 */
#ifndef SIM_CHART_H
#define SIM_CHART_H

#include <stdio.h>

#include "screen.h"
#include "series.h"

struct chart_wish {
    double from, to; /* on the axis; NAN: its ends */
    bool events;     /* marked below the curves and listed, if they are few */
};

/* Draws each pick below the last; those with the same axis have the same ends, and one scale below the last of them.
 * A file without an axis is drawn as a bar a row.  A pick without a number is said to have none. */
enum status chart_draw(const struct series *s, const struct series_pick pick[], int picks,
                       const struct chart_wish *wish, FILE *out);

/* A column thinned to `points` stretches of its axis, or whole (0), as CSV; all picks are of one file.  Cells that
 * hold no number stay empty. */
enum status chart_csv(const struct series *s, const struct series_pick pick[], int picks,
                      const struct chart_wish *wish, int points, FILE *out);

/* Three digits, with an exponent where there would be many zeros: "0.0042", "5.27", "1.2e-09"; returns out. */
char *chart_number(double value, char out[SCREEN_CELL]);

#endif
