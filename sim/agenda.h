/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * agenda: when the next thing is due.  One slot a cause; a slot holds its next time or INFINITY.
 * Times are k x interval, never sums.  At one instant slots come in the order of the enum.
 */
#ifndef SIM_AGENDA_H
#define SIM_AGENDA_H

#include "plan.h"

enum {
    SLOT_EVENT, /* dated events of the plan: faults, cuts, replacements */
    SLOT_FEED,  /* a step of the feed */
    SLOT_RUN_TIMER,
    SLOT_TOPOFF_TIMER,
    SLOT_INLET,                              /* the low pressure switch: its delay, its next try */
    SLOT_PHASE,                              /* of a rinse or of the diverted first product */
    SLOT_FLUSH,                              /* a new part has been flushed long enough */
    SLOT_VISIT,                              /* a person looks */
    SLOT_RENEW,                              /* one slot a stage: the new cartridge comes */
    SLOT_DRAW_END = SLOT_RENEW + STAGES_MAX, /* one slot a draw */
    SLOT_DRAW_START = SLOT_DRAW_END + DRAWS_MAX,
    SLOT_DAY = SLOT_DRAW_START + DRAWS_MAX,
    SLOT_SNAPSHOT,
    SLOT_PAUSE, /* somebody wants to look at just that moment */
    SLOT_END,
    SLOT_COUNT
};

struct agenda {
    double due[SLOT_COUNT]; /* s */
};

void agenda_init(struct agenda *a);         /* nothing due */
double agenda_next(const struct agenda *a); /* s */

/* The first slot due at or before t, or -1; the caller sets its next time. */
int agenda_due(const struct agenda *a, double t);

#endif
