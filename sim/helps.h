/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * helps: what would make the resin last longer, each tried on the changed plant.  What lies outside of what
 * the models cover is not tried, and why is said.  Page: docs/life.md.
 */
#ifndef SIM_HELPS_H
#define SIM_HELPS_H

#include "crew.h"
#include "life.h"
#include "phrase.h"

enum { HELPS_MOST = 6 };

struct help {
    struct phrase words;        /* "the start switch at 32 cm: fills twice as long" */
    const char *why_not;        /* NULL: tried */
    double litres, t;           /* L of product and s until the meter comes to its limit */
    bool beyond;                /* not within the horizon */
    int beds;                   /* that are then used up */
};

struct helps {
    int count;
    struct help list[HELPS_MOST];
    double price;               /* money for a bed; 0 if none was given */
};

/* None if there is no bed at the end of the train. */
enum status helps_find(struct helps *h, const struct plant *p, const struct plan *plan,
                       const struct life *life, double horizon, const struct crew *crew);

/* Whether every number of a stage is one that the models cover. */
bool helps_covered(const struct stage *s);

#endif
