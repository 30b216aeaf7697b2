/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * commission: whoever puts a new part in flushes it to the drain before use.  Page: docs/control.md.
 */
#ifndef SIM_COMMISSION_H
#define SIM_COMMISSION_H

#include "models/plant.h"

/* How long new parts are flushed [s]; 0: they are not. */
struct commissioning {
    double prefilters; /* sediment and carbon */
    double membrane;
    double resin;
    bool at_start;     /* those at the start of the run are new, and still to be flushed */
};

/* How long a new part of this kind is flushed [s]. */
double commission_time(const struct commissioning *c, const struct stage_kind *kind);

struct commission {
    double left[STAGES_MAX];  /* s of flushing that each part still needs */
    double added[STAGES_MAX]; /* s, when it was put in */
    double since;             /* s, when `left` was last brought up to date */
};

/* A new part is in its place since t, and needs so long. */
void commission_add(struct commission *c, int stage, double seconds, double t);

/* Whether any part is still to be flushed, be it that no water comes for it. */
bool commission_pending(const struct commission *c);

/* Takes what has been flushed until t off and says what is flushed from now on (set->flush); true
 * if that changed. */
bool commission_react(struct commission *c, const struct plant *p, struct settings *set, double t);

/* When the part that is flushed now has had its time; INFINITY if none is. */
double commission_due(const struct commission *c, const struct settings *set);

#endif
