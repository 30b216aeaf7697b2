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

bool calm_is_steered(const struct plant *p)
{
    return !isnan(p->rinse.divert_below);
}

const char *calm_words(const struct plant *p)
{
    return calm_is_steered(p)
               ? "Followed is the water with all that is dissolved in it, as a reading ends the "
                 "diverting of the first product; visits renew the parts as in the scenario."
               : "Followed is the water alone, through beds as new: what is dissolved does not "
                 "steer it here.";
}

void calm_cycle(struct plant *p, struct plan *plan)
{
    const struct visits visits = plan->visits;
    calm_feed(p);
    calm_plan(plan);
    p->water_only = !calm_is_steered(p);
    if (p->water_only)
        return;
    plan->visits = visits;
    plan->visits.resets = false;
}
