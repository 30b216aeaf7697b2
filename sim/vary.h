/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * vary: reads what --vary says: KEY=FROM..TO UNIT/N, the same with "log", or KEY=A,B,C.  Page: docs/sweep.md.
 */
#ifndef SIM_VARY_H
#define SIM_VARY_H

#include <stdbool.h>

#include "reader.h"

enum { VARY_POINTS = 400, VARY_WORD = 64, VARY_WORDS = 400 };

/* A value of a key as --set takes it, and as a number to order and draw it by. */
struct vary_point {
    char word[VARY_WORD];       /* "35 psi" */
    double number;              /* in the unit as written; NAN if it is a word */
};

struct vary {
    char key[PATH_LENGTH];
    char unit[UNITS_TEXT];      /* as written; "" if there is none */
    bool numbers;               /* every point is one */
    bool range, log;            /* from..to, by ratios */
    double from, to;            /* of a range, in the unit */
    int count;                  /* 0: a range to sample from */
    struct vary_point point[VARY_POINTS];
};

/* False and words (what is wrong, and how to write it) if the text says no such thing.  `sampled`: the range is to
 * be sampled from, a number of points has no place in it. */
bool vary_parse(const char *text, bool sampled, struct vary *out, char words[VARY_WORDS]);

/* A share of a range, 0 to 1. */
void vary_at(const struct vary *v, double share, struct vary_point *out);

#endif
