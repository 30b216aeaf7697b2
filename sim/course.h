/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * course: a year of a plant, kept day by day: the normal one, or one with a fault from its start on.  A run can be
 * taken up from any of its days, and a plant be held against it.  Page: docs/overflow.md.
 */
#ifndef SIM_COURSE_H
#define SIM_COURSE_H

#include "hazard.h"
#include "run.h"

#define COURSE_YEAR (365.25 * 86400.0) /* s */

struct course;

/* Runs and keeps a year; hazard NULL: without any fault.  The plan is without events. */
enum status course_create(const struct plant *p, const struct plan *plan, const struct hazard *hazard,
                          struct course **out);
void course_free(struct course *c);

bool course_dry(const struct course *c); /* no water came over a rim */

/* The last kept state at or before t of the year [s]; returns its time. */
double course_take_up(const struct course *c, double t, struct run_saved *out);

/* Whether the volumes of a run at t of the year are within what the course has in the weeks around, and
 * what trips has tripped in both or neither. */
bool course_holds(const struct course *c, double t, const struct run_saved *s);

/* Whether a year with these faults from the start on is to the bit the same course of the water. */
bool course_same(const struct course *c, const struct plant *p, const struct plan *plan);

#endif
