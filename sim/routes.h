/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * routes: the chance of water over a rim by three routes: from the smallest sets, from simulated years, from
 * weighted years in which faults are more frequent.  Page: docs/overflow.md.
 */
#ifndef SIM_ROUTES_H
#define SIM_ROUTES_H

#include "overflow.h"
#include "years.h"

/* Shares of years, as frequencies [1/year]; bounds of 9 in 10. */
struct routes {
    const struct overflow_found *found;
    bool spills_anyway;         /* a normal year spills: nothing was simulated */
    bool nothing_fails;         /* all rates are 0 */
    struct years_found plain, weighted;
    double times;               /* how much more often faults of the sets that spill were drawn, weighted */
    struct chance simulated;    /* Wilson */
    struct chance reckoned;     /* mean, and 1.645 standard errors on either side */
    double hits;                /* equal hits that the weighted years are worth */
};

enum status routes_find(struct routes *r, const struct overflow_found *f, long years,
                        unsigned long seed);
void routes_print(const struct routes *r, FILE *out);
json_t *routes_json(const struct routes *r); /* NULL: out of memory */

#endif
