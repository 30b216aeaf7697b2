/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * calm: a plant to which nothing happens but its normal cycle, made cheap to run many times.
 */
#ifndef SIM_CALM_H
#define SIM_CALM_H

#include <stdbool.h>

#include "plan.h"

/* The feed's temperature and pressure are held for a quarter of a day at a time. */
void calm_feed(struct plant *p);

/* The same, and the water is followed alone. */
void calm_water(struct plant *p);

/* Whether what is dissolved can steer the water: a reading ends the diverting of the first product. */
bool calm_is_steered(const struct plant *p);

/* Nobody comes and nothing is dated; samples are of no use, and so is a fine tolerance. */
void calm_plan(struct plan *plan);

const char *calm_words(const struct plant *p); /* what calm_cycle follows, and why, as a sentence */

/* Plant and plan of the normal cycle, for faults to come into.  The water is followed alone where nothing that is
 * dissolved can steer it; else with all of that, and then the visits stay, so that beds and membrane are renewed as in
 * the scenario; but nobody resets what has tripped. */
void calm_cycle(struct plant *p, struct plan *plan);

#endif
