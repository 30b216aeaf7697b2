/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * scenario_storage: what the files share that read the group `storage`: its keys
 * (scenario_storage.c), the words of shutoff (scenario_shutoff.c), and whether they fit together
 * (scenario_storage_check.c).
 */
#ifndef SIM_SCENARIO_STORAGE_H
#define SIM_SCENARIO_STORAGE_H

#include "scenario_inner.h"

/* What is read of the group; levels that were left out are NAN. */
struct storage_form {
    struct tank tank;
    struct line line;
    struct fill fill;
    struct gas gas;
    int shape, overflow;
    double shuts_at, opens_at, float_at, high_at, first;
    bool check_valve, open_to_air;
    double temperature, solenoid_power;
    struct bladder bladder;
};

/* Level at which the tank runs over. */
double scenario_storage_top(const struct storage_form *f);

/* The list of words that says what stops the water, and written again. */
void scenario_shutoff_read(struct loading *l, const struct node *group, struct fill *fill);
void scenario_shutoff_write(const struct fill *fill, FILE *out);

/* Complaints: of the run timer and the shut-off valve; of the bladder; of the overflow; of the levels,
 * when all are supplied; of what was said of parts that are not there. */
void scenario_storage_check_shutoff(struct loading *l, const struct node *group,
                                    const struct storage_form *f);
void scenario_storage_check_bladder(struct loading *l, const struct node *group,
                                    const struct storage_form *f);
void scenario_storage_check_overflow(struct loading *l, const struct node *group,
                                     const struct storage_form *f);
void scenario_storage_check_levels(struct loading *l, const struct node *group,
                                   const struct storage_form *f);
void scenario_storage_check_unused(struct loading *l, const struct section *s);

#endif
