/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * doubt: how well the inputs of a scenario are known: the spreads that it gives, and for what it gives none
 * and what is never known well, usual ones.  Page: docs/sample.md.
 */
#ifndef SIM_DOUBT_H
#define SIM_DOUBT_H

#include "sample.h"
#include "scenario.h"

enum { DOUBTS_MAX = 20 };       /* two dimensions each of a Sobol sequence */

/* A usual doubt: a factor, or an amount that is added. */
struct doubt_usual {
    const char *words;          /* "minerals of the feed" */
    const char *size;           /* "10 %", in words */
    const char *source;
    const char *keys;           /* ends of paths, each with a blank on both sides: a spread given to one of
                                 * them takes its place, */
    const struct stage_kind *kind; /* if it belongs to a stage of this kind; NULL: whatever it belongs to */
    struct spread spread;
    bool moves_water;           /* flows hang on it: it wants a tape of its own */
    bool (*matters)(const struct scenario *s);
    void (*apply)(struct plant *p, struct plan *plan, double by);
};

struct doubt {
    const char *words;          /* of the usual one, or the path */
    const struct value *given;  /* NULL: usual */
    const struct doubt_usual *usual;
    struct spread spread;
    bool moves_water;
};

struct doubts {
    int count;
    struct doubt list[DOUBTS_MAX];
    int left_out;               /* more than there is room for: held at their values */
};

/* The values must outlive it: they are the scenario's. */
void doubts_find(struct doubts *d, const struct scenario *s);

/* One drawing of all of them. */
struct drawn {
    struct plant plant;
    struct plan plan;
    bool reloaded;              /* read again; doubts_put_back frees it */
    bool unsound;               /* the given ones together made no sound scenario: held at their values */
    struct scenario scenario;
};

/* Draws the scenario that was loaded from file and sets; u[count], each between 0 and 1.  False: out of
 * memory. */
bool doubts_draw(const struct doubts *d, const struct scenario *s, const char *file,
                 const char *const sets[], const double u[], struct drawn *out);
void doubts_put_back(struct drawn *d);

#endif
