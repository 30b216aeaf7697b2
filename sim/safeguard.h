/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * safeguard: what a further protection would buy: the whole search once more with it, singly and with the
 * best two together.  Page: docs/overflow.md.
 */
#ifndef SIM_SAFEGUARD_H
#define SIM_SAFEGUARD_H

#include "overflow.h"

enum { SAFEGUARDS_MAX = 10, SAFEGUARD_WORDS = 120 };

struct safeguard_row {
    char words[SAFEGUARD_WORDS];
    struct chance chance;       /* of any spill with it */
    double floor;               /* m3, the most that any set puts on the floor */
    int singles, pairs;         /* how many of each spill */
};

struct safeguards {
    struct safeguard_row without;
    int rows;
    struct safeguard_row row[SAFEGUARDS_MAX]; /* the best first */
    bool two;                   /* whether the best two were tried together */
    struct safeguard_row both;
};

/* Share of the progress that the plant as it is should have, when safeguards are tried after it. */
#define SAFEGUARD_BEFORE 0.125

/* `found` is the plant as it is.  STATUS_INTERRUPTED if a person stopped it. */
enum status safeguard_try(const struct overflow_found *found, const struct overflow_options *options,
                          struct safeguards *out);

void safeguard_print(const struct safeguards *s, FILE *out);
json_t *safeguard_json(const struct safeguards *s);

#endif
