/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * calm: a plant to which nothing happens but its normal cycle, made cheap to run many times.
 */
#ifndef SIM_CALM_H
#define SIM_CALM_H

#include "plan.h"

/* The feed's temperature and pressure are held for a quarter of a day at a time. */
void calm_feed(struct plant *p);

/* The same, and the water is followed alone. */
void calm_water(struct plant *p);

/* Nobody comes and nothing is dated; samples are of no use, and so is a fine tolerance. */
void calm_plan(struct plan *plan);

#endif
