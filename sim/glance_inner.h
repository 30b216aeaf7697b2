/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * glance_inner: what the files that print a scenario at a glance share; each prints a section to stdout.
 */
#ifndef SIM_GLANCE_INNER_H
#define SIM_GLANCE_INNER_H

#include "glance.h"

void glance_stops(const struct glance *g);
void glance_makes(const struct glance *g);
void glance_lasts(const struct glance *g);
void glance_new_parts(const struct glance *g);

/* A line of a section: what it is of, and words that go on under it. */
void glance_item(const char *what, const char *words);

#endif
