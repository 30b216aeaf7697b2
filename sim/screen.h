/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * screen: words and tables for people, 80 columns wide, in the taste of the process (units.h).
 */
#ifndef SIM_SCREEN_H
#define SIM_SCREEN_H

#include <stdbool.h>
#include <stdio.h>

enum { SCREEN_COLUMNS = 80, SCREEN_LABEL = 12, SCREEN_CELL = 48, SCREEN_TEXT = 2048 };

/* Whether to color what goes to out: a terminal that can, NO_COLOR not set, and not unwanted. */
bool screen_color(FILE *out, bool unwanted);

/* Whether out is a terminal on which a line can be overwritten. */
bool screen_overwrites(FILE *out);

/* Words at a left margin, broken at SCREEN_COLUMNS.  The first line starts at column `at`, where
 * the cursor stands already.  Line feeds in text are kept. */
void screen_wrap(FILE *out, int at, int margin, const char *text);

/* A label, and words beside it. */
void screen_entry(FILE *out, const char *label, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* A table of `rows` x `columns` cells, row by row; the first row is the head.  The first column
 * stands left, the others right; NULL is an empty cell.  Control characters are escaped. */
void screen_table(FILE *out, const char *const cells[], int rows, int columns);

/* "4120 L", "3.25 L", "350 mL", "0 L"; in US units "1088 gal", "11.8 fl oz"; returns out. */
char *screen_litres(double volume, char out[SCREEN_CELL]);

/* Three digits, never an exponent: "0.0042", "5.27", "126", "48000"; returns out. */
char *screen_number(double value, char out[SCREEN_CELL]);

/* A file name as it may stand in a command of the shell: quoted if it has to be; returns out. */
char *screen_argument(const char *name, char *out, size_t size);

/* "45 s", "12 min", "3.5 h", "21 days" */
char *screen_span(double seconds, char out[SCREEN_CELL]);

/* "day 45.2 (2026-02-15)"; without a date if start is none. */
char *screen_day(double day, const char *start, char out[SCREEN_CELL]);

#endif
