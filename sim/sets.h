/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * sets: tries every hazard of a plant and every pair (and triple) of them, and keeps the smallest sets that
 * put water on the floor.  Page: docs/overflow.md.
 */
#ifndef SIM_SETS_H
#define SIM_SETS_H

#include "campaign.h"

/* What a person does not want. */
enum harm { HARM_TANK, HARM_SERVED, HARM_DRY, HARM_COUNT };

struct set {
    int count;
    int hazard[STRIKES_MAX];
    struct damage worst;        /* each number the worst of all moments and orders */
    struct trial first;         /* the trial with the earliest drop on the floor, or the earliest harm */
    bool tried;                 /* false: holds a smaller set that spills already */
};

struct sets {
    int hazards;
    struct hazard hazard[HAZARDS_MAX];
    struct set single[HAZARDS_MAX];
    int pairs, pairs_tried;
    struct set *pair;           /* all of them, in order */
    int triples, triples_tried;
    struct set *triple;         /* NULL unless asked for */
    long runs;
    int moments_of_pairs;
};

/* When a harm begins in the worst case [s], INFINITY: it does not. */
double sets_begins(const struct damage *d, enum harm h);

/* Whether it puts water over a rim. */
bool sets_spills(const struct set *s);

/* STATUS_INTERRUPTED if a person stopped it; sets_free it then, too. */
enum status sets_search(struct sets *s, const struct campaign *c, const struct plant *p,
                        bool triples);
/* The same of single hazards only. */
enum status sets_search_singles(struct sets *s, const struct campaign *c, const struct plant *p);
void sets_free(struct sets *s);

/* "float valve sticks open + overflow pipe blocked" */
enum { SET_WORDS = 200 };
char *sets_name(const struct sets *s, const struct set *one, char out[SET_WORDS]);

#endif
