/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * away: whether one may leave for a span: spilled, dry, bad water, what ends meanwhile, without a fault and
 * with some, and what to do before.  Page: docs/away.md.
 */
#ifndef SIM_AWAY_H
#define SIM_AWAY_H

#include "absence.h"
#include "overflow.h"

/* A span without any fault, from one moment; water only. */
struct away_stay {
    struct damage damage;
    double tank_least;          /* m, level of the tank */
    double served_least;        /* m above the working level */
    double salinity_most;       /* g/kg */
    double made;                /* m3 of product */
};

/* What a person may do before leaving, and what comes of it. */
struct away_measure {
    const struct door *door;
    struct away_stay worst;     /* each number the worst of all moments */
    int worst_moment;           /* the earliest to go wrong, else the one with the lowest tank */
    double lasts_least, lasts_most; /* s until the served water is short; INFINITY: not within the horizon */
    int lasts_moment;           /* of the least */
    bool holds;                 /* over the span, without any fault */
    struct sets *sets;          /* single faults; of the best and of nothing done, pairs too */
    struct chances chances;
    struct chance single;       /* of one fault that spills, in an absence: 0..1 */
    struct chance spill;        /* the same of any set that was tried */
    struct chance dry;          /* of one fault that leaves it short */
    int spills, dries;          /* single faults that do */
    double floor;               /* m3, the most that one of them puts on the floor */
    bool pairs;                 /* were tried too */
};

enum { AWAY_CASES = 3 };

/* An absence with the whole chemistry, as it is and with the best measure. */
struct away_case {
    char words[64];             /* "at the worst season" */
    double t;                   /* s */
    struct absence as_is, best;
    unsigned renewed;           /* bit k: tried with a new cartridge in stage k */
    struct absence fresh;       /* as_is with these */
};

struct away {
    const struct scenario *scenario;
    double span, horizon;       /* s; how long a reserve is followed */
    bool assumed;               /* the span was given nowhere */
    bool dated;                 /* --leaving was given */
    struct overflow_found overflow; /* with nothing done */
    int measures, best;
    struct away_measure measure[DOORS];
    int cases;
    struct away_case cases_of[AWAY_CASES];
    struct absence_year year;
    unsigned renew;             /* cartridges to renew before leaving, with the best measure */
    bool cured;                 /* new cartridges keep the water good */
    int seasonal;               /* moment with the most product made */
};

struct away_options {
    double span;                /* s */
    double leaving;             /* s; NAN: the worst of the year */
    bool assumed;
    int jobs;
    unsigned long seed;
    void (*progress)(void *self, double share);
    void *progress_self;
    const volatile sig_atomic_t *stop;
};

/* away_free it whatever comes back. */
enum status away_find(struct away *a, const struct scenario *s, const struct away_options *options);
void away_free(struct away *a);

/* May one leave, after the best measure and with new cartridges where that helps? */
enum away_answer { AWAY_YES, AWAY_IF, AWAY_NO };
enum away_answer away_answers(const struct away *a);

/* Whether a limit of the scenario is broken without any fault and with nothing done. */
bool away_breaks(const struct away *a);

void away_print(const struct away *a, FILE *out);
json_t *away_json(const struct away *a); /* NULL: out of memory */

#endif
