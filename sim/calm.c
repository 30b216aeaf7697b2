/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * calm: see calm.h.
 */
#include "calm.h"

#include <math.h>

static const double HOLD = 21600.0;   /* s: a quarter of a day */
static const double TOLERANCE = 1e-5; /* of the integrator */
static const double NEVER = 1e12;     /* s from one sample to the next */

void calm_feed(struct plant *p)
{
    p->feed.hold = HOLD;
}

void calm_water(struct plant *p)
{
    p->water_only = true;
    calm_feed(p);
}

void calm_plan(struct plan *plan)
{
    plan->events = 0;
    plan->visits.every = INFINITY;
    plan->record = NEVER;
    plan->tolerance = fmax(plan->tolerance, TOLERANCE);
}
