/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * readings: the log of readings of the feed, a table of comma-separated values.
 * Page: docs/scenario.md.
 */
#ifndef SIM_READINGS_H
#define SIM_READINGS_H

#include "models/feed.h"
#include "reader.h"

/* What the table is read with. */
struct readings_setting {
    double start;        /* s since 1970, of t = 0 */
    double conductivity; /* of the feed as completed [S/m at 25 degC]: strength 1 */
};

/* The log that node n names, in the folder of the scenario or below.  NULL and a complaint if it
 * cannot be used.  One block, to be freed. */
struct feed_log *readings_load(struct reader *r, const struct node *n, const char *name,
                               const struct readings_setting *setting);

#endif
