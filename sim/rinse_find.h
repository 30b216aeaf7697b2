/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * rinse_find: how should I rinse?  Every way of rinsing at its best, a map of the one with two numbers,
 * and whether the answer survives what nobody has measured.  Page: docs/rinse.md.
 */
#ifndef SIM_RINSE_FIND_H
#define SIM_RINSE_FIND_H

#include <jansson.h>

#include "rinse_map.h"
#include "scenario.h"

enum rinse_way {
    RINSE_NONE, RINSE_OWN, RINSE_START, RINSE_STOP, RINSE_STOP_PERMEATE, RINSE_EVERY, RINSE_TOGETHER,
    RINSE_WAYS
};

struct rinse_try {
    bool there;                 /* this plant can do it, and it was tried */
    struct rinse programme;
    struct rinse_year year;
    double money;               /* a year, for as much water as without rinses */
};

/* Drain of the rinse, beside the best. */
enum { RINSE_DRAINS = 4 };

/* A constant without a published source at one end of its usual range. */
enum { RINSE_DOUBTS_MAX = 16, RINSE_BESIDES = 4 };

struct rinse_doubt {
    const char *key;            /* "consolidation" */
    const struct field *field;  /* of it; `field->dimension` tells its unit */
    double value;               /* SI */
    double none, subject, cheapest; /* money a year: no rinse; the best; the cheapest tried */
    double flow_lost;           /* share of its flow that the membrane loses in a year without rinses */
    bool holds;                 /* the best stays within RINSE_NEAR of the cheapest */
};

struct rinse_found {
    const struct scenario *scenario;
    struct rinse_case c;
    struct rinse_try way[RINSE_WAYS], diverting[RINSE_WAYS]; /* at their best without, and with */
    struct rinse_map map;
    enum rinse_way best;        /* RINSE_NONE: none pays */
    bool best_diverts;
    bool pays;
    struct rinse_try subject;   /* the best; if none pays the cheapest rinse */
    struct rinse_try drain[RINSE_DRAINS]; /* the same with other drains */
    struct rinse_try beside[RINSE_BESIDES]; /* interval over 4, times 4; durations over 2, times 2 */
    int doubts;
    struct rinse_doubt doubt[RINSE_DOUBTS_MAX];
    bool survives;              /* all doubts hold */
    double low, high;           /* money a year that the subject saves, over all doubts */
    int runs;
};

#define RINSE_NEAR 1.05         /* factor on the best, within which it is as good */

/* Why this plant cannot be rinsed at all, or why no rinse can be judged; NULL: it can. */
const char *rinse_find_refused(const struct scenario *s);

/* Fills all of it.  The scenario must outlive it. */
enum status rinse_find(struct rinse_found *f, const struct scenario *s,
                       const struct rinse_options *options);

/* The ways beside each other, before any doubt (rinse_ways.c), and the doubts (rinse_doubt.c). */
enum status rinse_ways(struct rinse_found *f, const struct rinse_options *options);
enum status rinse_doubts(struct rinse_found *f, const struct rinse_options *options);

const char *rinse_ways_words(enum rinse_way way); /* "at stop, with feed" */

/* A programme in words: "7.5 min of feed at stop"; and as the group of a scenario. */
enum { RINSE_WORDS = 200 };
char *rinse_ways_programme(const struct rinse *r, char out[RINSE_WORDS]);
char *rinse_ways_group(const struct rinse *r, char out[RINSE_WORDS]);

/* Intervals and durations on the map, through its best, that stay within RINSE_NEAR of it. */
struct rinse_region {
    double every_from, every_to, for_from, for_to; /* s */
};
struct rinse_region rinse_ways_region(const struct rinse_map *m);

void rinse_print(const struct rinse_found *f, FILE *out);
void rinse_chart(const struct rinse_found *f, FILE *out); /* the map as text */
json_t *rinse_json(const struct rinse_found *f);          /* NULL: out of memory */

/* map.csv, ways.csv, doubts.csv of a results folder. */
void rinse_csv_map(const struct rinse_found *f, FILE *out);
void rinse_csv_ways(const struct rinse_found *f, FILE *out);
void rinse_csv_doubts(const struct rinse_found *f, FILE *out);

#endif
