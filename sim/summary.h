/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * summary: an observer that keeps what a person asks of a run: lowest and highest water, when each
 * reading passed its limit, what was spilled, how long the served water went without.
 */
#ifndef SIM_SUMMARY_H
#define SIM_SUMMARY_H

#include <jansson.h>

#include "balance.h"
#include "first.h"
#include "run.h"

enum { SUMMARY_WORDS = 80 };

struct summary {
    double tank_lowest, tank_lowest_day; /* m, day */
    double tank_highest, tank_highest_day;
    double salinity_lowest, salinity_highest; /* g/kg */
    double salinity_lowest_day, salinity_highest_day;
    double dry_since, dry_time, dry_first_day; /* s without water when it was wanted, day */
    double spill_first_day;
    struct first first;
    int fills, topoffs, trips, cuts;
    int flushes; /* of new parts, that came to their end */
    int inlet_trips;                             /* of the low pressure switch, told or not */
    int renewals[STAGES_MAX];                    /* cartridges put in */
    double renewed_day[STAGES_MAX];              /* the last of each */
    char renewed_why[STAGES_MAX][SUMMARY_WORDS]; /* empty if by a dated event */
    double coldest, warmest;                     /* degC of the feed while it flowed */
    double least_flow, most_flow;                /* m3/s of product, tank filling freely */
    double used[STAGES_MAX];                     /* at the end */
    double x[X_COUNT];                           /* at the end */
    double on_floor;                             /* m3, at the end */
    double days;
    struct readings readings; /* at the end */
    struct balance_row balance[BALANCE_ROWS];
};

void summary_init(struct summary *s);
void summary_see(void *self, const struct glimpse *g); /* an observer's see */

/* Which limits of the plan were broken: writes one line each to out (may be NULL); returns how
 * many. */
int summary_broken(const struct summary *s, const struct plan *plan, FILE *out);

/* Money over the run: water, sewer, electricity. */
struct cost {
    double water, sewer, electricity, cartridges, total, per_litre;
};
/* For what was renewed of a stage: all elements of a membrane at once. */
double summary_renewal_cost(const struct summary *s, const struct plan *plan,
                            const struct plant *p, int stage);
struct cost summary_cost(const struct summary *s, const struct plan *plan, const struct plant *p);

/* Free CO2 and bicarbonate of the last product [mol/m3]; NAN if no water passed. */
void summary_carbon(const struct summary *s, double *co2, double *bicarbonate);

/* All of it as JSON; NULL if out of memory.  Numbers that are not there are null. */
json_t *summary_json(const struct summary *s, const struct plan *plan, const struct plant *p);

#endif
