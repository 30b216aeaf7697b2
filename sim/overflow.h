/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * overflow: whether water can come onto the floor: all that `leat overflow` and `leat away` find out of a
 * scenario, and how it is told.  Page: docs/overflow.md.
 */
#ifndef SIM_OVERFLOW_H
#define SIM_OVERFLOW_H

#include <jansson.h>

#include "chance.h"
#include "progress.h"
#include "scenario.h"

struct overflow_found {
    const struct scenario *scenario;
    double span;                /* s, unattended */
    struct campaign *campaign;
    struct sets sets;
    struct chances chances;
    double worst_inflow;        /* m3/s into the tank, the supply surging */
    double least_inflow;        /* m3/s, of the coldest time */
    double burst_supply;        /* m3/s out of an open supply line at the highest pressure */
    struct progress_stage stage; /* of the search; campaign has its place */
    double burst_product;       /* m3/s out of a product line that has come off */
};

/* What comes into the tank when it fills freely, over a year [m3/s]; worst: the supply surging. */
struct inflow {
    double least, most, worst;
};

struct inflow overflow_inflow(const struct plant *p);

struct overflow_options {
    double span;                /* s; 0: risk.unattended */
    bool triples;
    int jobs;
    unsigned long seed;
    void (*progress)(void *self, double share);
    void *progress_self;
    const volatile sig_atomic_t *stop;
    struct cases *cases;        /* where results are kept; NULL: nowhere.  Of a part no chances are reckoned */
    const char *name;           /* of the plant in there; NULL: the plant as it is */
};

/* overflow_free it whatever comes back. */
enum status overflow_find(struct overflow_found *f, const struct scenario *s,
                          const struct overflow_options *options);
void overflow_free(struct overflow_found *f);

void overflow_print(const struct overflow_found *f, FILE *out);
json_t *overflow_json(const struct overflow_found *f); /* NULL: out of memory */

#endif
