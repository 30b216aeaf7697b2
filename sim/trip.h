/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * trip: the protections that shut the feed solenoid, latched until reset or over when their cause
 * has gone.  Page: docs/control.md.
 */
#ifndef SIM_TRIP_H
#define SIM_TRIP_H

#include "control.h"

/* What a switch shows: what happens to it, unless it is at fault. */
bool trip_shows(double health, bool sound);

/* Lets the protections look at time t, with power; sets set->trip. */
void trip_react(struct control *c, const struct plant *p, struct settings *set, double t);

/* Without power nothing is looked at. */
void trip_without_power(struct control *c);

/* When the low pressure switch has shown low for long enough, may try again, or has stopped
 * hunting; INFINITY if none. */
double trip_due(const struct control *c, const struct plant *p, const struct settings *set);

/* Which protections have tripped, one bit each. */
unsigned trip_causes(const struct control *c);

/* Puts into words what has changed since it was last told. */
void trip_tell(struct control *c, const struct plant *p, struct changes *log);

/* A person resets them. */
void trip_reset(struct control *c);

#endif
