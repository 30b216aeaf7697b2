/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * rows: reads a CSV file of a results folder line by line, columns by name.  Page: docs/figures.md.
 */
#ifndef SIM_ROWS_H
#define SIM_ROWS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

enum { ROWS_FIELDS_MAX = 128 };

/* One line of a CSV file.  Start with { 0 }; free with rows_close. */
struct rows {
    FILE *file;
    char *line; /* text, cut into fields in place */
    size_t capacity;
    int columns; /* of the header, once it is read */
    int fields;
    char *field[ROWS_FIELDS_MAX]; /* without their quotes */
    const char *comment;          /* text after # of a comment line, else NULL */
};

/* Opens dir/name for reading; false if it is not there. */
bool rows_open(struct rows *c, int dir, const char *name);

/* Whether any file of this process that is there could not be opened or read to its end: what was made of it is not
 * whole. */
bool rows_failed(void);

/* Reads a line; false at the end.  Comment, empty and damaged lines (with a NUL)
 * have no fields. */
bool rows_next(struct rows *c);

/* Reads the header: the first line with fields; column[i] becomes the place of name[i], or -1. */
bool rows_header(struct rows *c, const char *const name[], int names, int column[]);

/* The same of the line that was read last. */
void rows_columns(const struct rows *c, const char *const name[], int names, int column[]);

/* Number in a column, NAN if there is none.  The last field of a line that has fewer than the header
 * may have been cut in its middle: it is none. */
double rows_number(const struct rows *c, int column);

void rows_close(struct rows *c);

#endif
