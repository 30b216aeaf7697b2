/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * trip: the protections that shut the feed solenoid, latched until reset or over when their cause
 * has gone.  Page: docs/control.md.
 */
#ifndef SIM_TRIP_H
#define SIM_TRIP_H

#include "changes.h"
#include "models/plant.h"

struct trips {
    bool high_wet, leak_wet, inlet_enough; /* what the water does to their switches */
    bool high_tripped, leak_tripped, timer_tripped, inlet_tripped;
    bool hunting;           /* tries on low pressure trip one after the other */
    double inlet_low_since; /* s; NAN while it shows enough, or the feed is shut */
    double inlet_retry;     /* s, of the next try, once tripped */
    double inlet_tried;     /* s, of the last try, or NAN */
    unsigned told;          /* causes of a trip that were last put into words */
};

/* What a switch shows: what happens to it, unless it is at fault. */
bool trip_shows(double health, bool sound);

/* Lets the protections look at time t, with power; sets set->trip. */
void trip_react(struct trips *trips, const struct plant *p, struct settings *set, double t);

/* Without power nothing is looked at. */
void trip_without_power(struct trips *trips);

/* When the low pressure switch has shown low for long enough, may try again, or has stopped
 * hunting; INFINITY if none. */
double trip_due(const struct trips *trips, const struct plant *p, const struct settings *set);

/* Which protections have tripped, one bit each. */
unsigned trip_causes(const struct trips *trips);

/* Puts into words what has changed since it was last told. */
void trip_tell(struct trips *trips, const struct plant *p, struct changes *log);

/* A person resets them. */
void trip_reset(struct trips *trips);

#endif
