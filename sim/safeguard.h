/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * safeguard: what a further protection would buy, and for how much: the whole search once more with it,
 * singly and with the best two together.  Page: docs/overflow.md.
 */
#ifndef SIM_SAFEGUARD_H
#define SIM_SAFEGUARD_H

#include "safeguard_add.h"

struct safeguard_row {
    enum safeguard_kind kind;
    struct phrase words;
    struct chance chance;       /* of any spill with it */
    double floor;               /* m3, the most that any set puts on the floor */
    int singles, pairs;         /* how many of each spill */
    bool short_of_water;        /* a normal year runs short with it, and does not without */
    double price;               /* money; NAN: not given */
    double avoided;             /* spills avoided in its life, by the means */
    double per_spill;           /* money for each of these; NAN: no price, or none avoided */
};

struct safeguards {
    struct safeguard_row without;
    int rows;
    struct safeguard_row row[SAFEGUARD_KINDS]; /* the best first */
    bool two;                   /* whether the best two were tried together */
    struct safeguard_row both;
};

/* Share of the progress that the plant as it is should have, when safeguards are tried after it. */
#define SAFEGUARD_BEFORE 0.125

/* `found` is the plant as it is.  STATUS_INTERRUPTED if a person stopped it. */
enum status safeguard_try(const struct overflow_found *found, const struct overflow_options *options,
                          struct safeguards *out);

/* Whether the price is known of all that make a spill rarer and do not run the plant short. */
bool safeguard_priced(const struct safeguards *s);

/* The one of these to begin with: the cheapest for each spill avoided; as long as a price is missing the
 * one that leaves the fewest.  NULL: there is none. */
const struct safeguard_row *safeguard_first(const struct safeguards *s);

void safeguard_print(const struct safeguards *s, const struct prices *prices, FILE *out);
json_t *safeguard_json(const struct safeguards *s, const struct prices *prices);

#endif
