/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * history: what goes wrong in a year, drawn by chance from the mean rates of a plan: faults, cuts and their
 * ends, inspections; and how much likelier it was drawn than it is.  Page: docs/overflow.md.
 */
#ifndef SIM_HISTORY_H
#define SIM_HISTORY_H

#include <stdint.h>

#include "hazard.h"

enum happening_kind {
    HAPPENS_FAIL,
    HAPPENS_CUT,
    HAPPENS_BACK,               /* the end of a cut */
    HAPPENS_INSPECTION,         /* every part is tried; what has failed is as new */
    HAPPENS_MENDING             /* somebody comes because water is short */
};

struct happening {
    double at;                  /* s */
    enum happening_kind kind;
    int hazard;
    int source;                 /* what drew it; -1: not drawn */
};

enum { PAIRS_MAX = 32, SOURCES_MAX = HAZARDS_MAX + PAIRS_MAX };

/* What may happen, and how often.  Sources: each hazard, then pairs of like switches that one cause spoils. */
struct risks {
    int hazards;
    struct hazard hazard[HAZARDS_MAX];
    bool stands[HAZARDS_MAX];   /* a chance to stand failed; no test finds it */
    double chance[HAZARDS_MAX]; /* of those */
    int pairs;
    int pair[PAIRS_MAX][2];
    double rate[SOURCES_MAX];   /* 1/s, means; 0 of those that stand */
    double inspected;           /* s */
};

/* demands: fills that end [1/s] */
void history_risks(struct risks *r, const struct plant *p, const struct plan *plan, double demands);

/* How often each is drawn, times what is true; a pair takes the larger of its two. */
struct likelier {
    double times[HAZARDS_MAX];
};

struct history {
    int count, room;
    struct happening *happening; /* in order of time */
    double standing;            /* weight of what stands failed or not from the start */
};

/* Draws number k over a span; false: out of memory.  history_free it whatever comes back. */
bool history_draw(struct history *h, const struct risks *r, const struct likelier *likelier,
                  uint64_t seed, uint64_t k, double span);
void history_free(struct history *h);

/* Puts one more at its place; false: out of memory. */
bool history_add(struct history *h, const struct happening *what);

/* True over drawn density of what happened until t. */
double history_weight(const struct history *h, const struct risks *r, const struct likelier *likelier,
                      double t);

#endif
