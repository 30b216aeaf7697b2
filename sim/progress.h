/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * progress: one line on the terminal while a run goes on: share done, time left.  It is erased at
 * the end and never leaves the terminal.
 */
#ifndef SIM_PROGRESS_H
#define SIM_PROGRESS_H

#include <stdbool.h>

struct progress {
    bool on;
    double began, shown; /* s on the monotonic clock */
    double first;        /* share done when it began: what was known from before; negative: not yet seen */
};

void progress_begin(struct progress *p, bool wanted);

/* For run_options: self is a struct progress. */
void progress_show(void *self, double share);

void progress_end(struct progress *p);

/* A piece of a longer work: its own share becomes one of the whole. */
struct progress_stage {
    void (*progress)(void *self, double share); /* of the whole; NULL: nobody looks */
    void *self;
    double from, to; /* of the whole */
};

void progress_stage_show(void *self, double share);

/* Goes on to the next piece, given what it costs and what all later ones will, in any unit. */
void progress_stage_next(struct progress_stage *p, double cost, double later);

#endif
