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
};

void progress_begin(struct progress *p, bool wanted);

/* For run_options: self is a struct progress. */
void progress_show(void *self, double share);

void progress_end(struct progress *p);

#endif
