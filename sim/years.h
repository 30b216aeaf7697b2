/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * years: simulated years with random faults, and how many of them put water on the floor.  Page:
 * docs/overflow.md.
 *
 * Followed is what a campaign follows.  A plant in its normal cycle costs nothing: a year is run from shortly before
 * something happens until the plant is back in that cycle.
 */
#ifndef SIM_YEARS_H
#define SIM_YEARS_H

#include "campaign.h"
#include "history.h"
#include "odds.h"

struct years;

struct years_options {
    bool shows[HAZARDS_MAX];    /* who sees that water is short finds this fault, of hazard_list's order */
};

/* Runs the normal year and keeps it; finds out which faults change nothing by themselves.  The campaign must
 * outlive it. */
enum status years_create(const struct campaign *c, const struct plant *p, const struct plan *plan,
                         const struct years_options *options, struct years **out);
void years_free(struct years *y);

const struct risks *years_risks(const struct years *y);
bool years_silent(const struct years *y, int hazard); /* the course of the water is the same with it */

/* How years are drawn and followed. */
struct years_way {
    const char *name;           /* of the list of cases */
    uint64_t seed;
    struct likelier likelier;
    bool whole;                 /* from the first day to the last, nothing left out */
    bool chemistry;             /* with all solutes, and so the whole */
};

/* Every year as likely as it is. */
struct years_way years_plain(uint64_t seed);

/* What came of one; times in s from its start, INFINITY: never. */
struct year {
    enum status status;
    double tank, served;        /* first drop over a rim */
    double dry;                 /* water is wanted that is not there */
    double floor;               /* m3 within the unattended span from the first drop */
    double weight;              /* true over drawn density until the first drop */
};

struct year years_try(const struct years *y, const struct years_way *way, long k);

/* Of many. */
struct years_found {
    long years;
    long spills, tank, served, dry; /* years with */
    double floor;               /* m3, mean of the years that spill */
    struct odds_sample weighted; /* of the share that spills */
};

enum status years_find(const struct years *y, const struct years_way *way, long n,
                       struct years_found *out);

#endif
