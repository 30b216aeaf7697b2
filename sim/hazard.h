/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * hazard: what may go wrong with a plant: the failure modes of its parts, and mains and supply that are
 * cut off and come back.  Page: docs/overflow.md.
 */
#ifndef SIM_HAZARD_H
#define SIM_HAZARD_H

#include "plan.h"

enum hazard_kind { HAZARD_FAULT, HAZARD_POWER, HAZARD_SUPPLY };

struct hazard {
    const char *part, *mode;
    enum hazard_kind kind;
    int row;                    /* of fault_modes, for HAZARD_FAULT */
    double amount;              /* put there where the mode has none of its own */
    double lasts;               /* s until a cut is over */
};

enum { HAZARDS_MAX = 48, HAZARD_EVENTS = 2 };

/* Lists those that apply to the plant; returns how many. */
int hazard_list(const struct plant *p, struct hazard out[HAZARDS_MAX]);

/* Its dated events from t on; returns how many. */
int hazard_events(const struct hazard *h, double t, struct event out[HAZARD_EVENTS]);

/* Whether both may stand at once: not two modes of one part. */
bool hazard_together(const struct hazard *a, const struct hazard *b);

#endif
