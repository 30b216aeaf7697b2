/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * along_block: one table of the line for people: rows of points, columns packed until the screen is
 * full, the rest below.
 */
#ifndef SIM_ALONG_BLOCK_H
#define SIM_ALONG_BLOCK_H

#include "along.h"
#include "screen.h"

enum { ALONG_ROWS = ALONG_LOOKS * ALONG_POINTS, ALONG_COLUMNS = 24 };

struct along_block {
    const struct along *a;
    const char *title, *about;
    int rows;
    const struct along_point *point[ALONG_ROWS];
    char name[ALONG_ROWS][SCREEN_CELL];
    int columns;
    char head[ALONG_COLUMNS][SCREEN_CELL];
    char cell[ALONG_COLUMNS][ALONG_ROWS][SCREEN_CELL];
};

/* Begins with the points that are shown at any moment; those of a second moment stand below each. */
void along_block_rows(struct along_block *b, bool (*shown)(const struct along_point *));

/* A new column of empty cells.  One without a head is of words. */
char (*along_block_column(struct along_block *b, const char *head))[SCREEN_CELL];

/* Nothing if there is no column. */
void along_block_print(const struct along_block *b, FILE *out);

#endif
