/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * chance: how often in a year each smallest set of hazards comes together, from the rates of the scenario,
 * and how well that is known.  Page: docs/overflow.md; the mathematics is in odds.h.
 */
#ifndef SIM_CHANCE_H
#define SIM_CHANCE_H

#include "sets.h"

struct chance {                 /* 1/year */
    double mean;
    double low, high;           /* 5th and 95th percentile, from how well the rates are known */
};

struct chance_row {
    const struct set *set;
    bool harm[HARM_COUNT];
    struct chance chance;
};

/* All spilling sets that hold a part, in whichever mode. */
struct chance_part {
    const char *part;
    struct chance chance;
};

struct chances {
    int rows;
    struct chance_row *row;     /* the smallest sets that spill, the likeliest first */
    struct chance total[HARM_COUNT]; /* of the tank, the served water; of dry, singles alone */
    struct chance spill;        /* any of the first two */
    int parts;
    struct chance_part part[HAZARDS_MAX]; /* of spills, the likeliest first */
};

/* Whether a row puts water over a rim. */
bool chance_spills(const struct chance_row *r);

/* The sets must have been searched.  demands: how often a minute-made fill ends [1/s]. */
enum status chance_reckon(struct chances *c, const struct sets *s, const struct plan *plan,
                          double demands, unsigned long seed);
void chance_free(struct chances *c);

/* A hazard's number in the table of rates. */
int chance_number(const struct hazard *h);

/* "about 2 a year", "1 in 300 years (1 in 2000 to 1 in 80)": two digits at most. */
enum { CHANCE_WORDS = 160 };
char *chance_words(const struct chance *c, char out[CHANCE_WORDS]);
char *chance_once(double frequency, char out[CHANCE_WORDS]); /* "once in 300 years" */

#endif
