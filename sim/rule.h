/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * rule: when a person who looks finds a cartridge due, and why.  Page: docs/control.md.
 */
#ifndef SIM_RULE_H
#define SIM_RULE_H

#include "plan.h"

struct rule_look { /* what there is to see */
    const struct plant *plant;
    const struct plan *plan;
    const struct state *state; /* of the last parcel */
    const double *renewed;     /* s, when each cartridge was put in */
};

/* The first reason of the stage's rule that holds, in words (constant), or NULL. */
const char *rule_due(const struct rule_look *look, int stage);

/* Pressure lost across a stage [Pa] if the membrane were filling the tank freely now. */
double rule_pressure_drop(const struct rule_look *look, int stage);

#endif
