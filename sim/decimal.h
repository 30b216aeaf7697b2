/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * decimal: numbers into text, fast, for the hundred thousands of cells of a series.
 */
#ifndef SIM_DECIMAL_H
#define SIM_DECIMAL_H

enum { DECIMAL_SIZE = 32 };

/* Writes value rounded to `places` (0..9) decimals into out, without trailing zeros after the
 * point, and returns the end (no NUL is written).  Values that are not finite or beyond 1e9 go by
 * printf's %.9g; NAN writes nothing. */
char *decimal_write(char out[DECIMAL_SIZE], double value, int places);

/* The last value of a cell, and its text.  Starts as all zeros. */
struct decimal_kept {
    double value;
    int length;
    char text[DECIMAL_SIZE];
};

/* The same, but the text of a value that has not changed is what is kept: most cells of a series
 * stay as they were.  `places` must be the same at each call. */
char *decimal_write_kept(struct decimal_kept *k, char out[DECIMAL_SIZE], double value, int places);

#endif
