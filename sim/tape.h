/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * tape: what the water of a plant does in a normal year, stretch by stretch, so that the chemistry of many
 * years can be followed without seeking the flows anew.  Page: docs/life.md.
 *
 * Recorded by a run that follows the water only: no dated events, no visits.
 */
#ifndef SIM_TAPE_H
#define SIM_TAPE_H

#include "run.h"

struct stretch {
    double t, lasts;            /* s, its end and its length */
    double moved[X_COUNT];
    bool rinsing, diverting;
};

struct tape {
    int count, room;
    struct stretch *list;
    double length;              /* s, a year */
    double product;             /* m3 made and not diverted in it */
};

/* STATUS_OK, or what the run said.  tape_free it whatever comes back. */
enum status tape_record(struct tape *tape, const struct plant *p, const struct plan *plan);
void tape_free(struct tape *tape);

#endif
