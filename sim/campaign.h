/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * campaign: many runs of one plant, each from a moment of its normal cycle and with some hazards, over the
 * span during which nobody is there.  The water alone is followed where nothing dissolved can
 * steer it (calm_cycle).  Page: docs/overflow.md.
 */
#ifndef SIM_CAMPAIGN_H
#define SIM_CAMPAIGN_H

#include "hazard.h"
#include "run.h"

enum { MOMENTS_MAX = 24, STRIKES_MAX = 3 };

struct moment_saved {
    double t;                   /* s */
    char words[64];             /* "just before fill stops" */
    struct run_saved saved;
};

/* A hazard and when it comes, counted from the moment. */
struct strike {
    const struct hazard *hazard;
    double after;               /* s */
};

struct trial {
    int moment;
    int count;
    struct strike strike[STRIKES_MAX];
    double look;                /* s between looks of its observer; 0: only when something changes */
};

/* What came of it, over the span from the moment on; times in s from the moment, INFINITY: never. */
struct damage {
    enum status status;
    double spill;               /* first drop over the rim of the tank, */
    double basin_spill;         /* of the served water */
    double overflow;            /* into the overflow pipe */
    double dry;                 /* water is wanted that is not there */
    double low;                 /* the served water has lost a twentieth */
    double sensed;              /* as much is spilled as the leak sensor needs */
    double spilled, basin_spilled, overflowed, unmet; /* m3 */
    double floor;               /* m3 beside the drip pan */
    double highest;             /* m, level of the tank */
    double salinity;            /* g/kg, lowest of the served water */
};

/* Nothing happened. */
struct damage campaign_unhurt(void);

struct campaign;
struct cases;
struct progress_stage;

struct campaign_options {
    double span;                /* s, unattended */
    int jobs;                   /* threads; 0: as many as there are */
    void (*progress)(void *self, double share);
    void *progress_self;
    const volatile sig_atomic_t *stop;
    struct cases *cases;        /* where results are kept; NULL: nowhere (cases.h) */
    struct progress_stage *stage; /* of the progress, moved on from list to list; NULL: none */
    const char *name;           /* of the campaign among others in there; NULL: none */
};

/* Runs the normal cycle of a year without faults, draws included, and keeps its worst moments.
 * STATUS_OK, or what the run said. */
enum status campaign_create(const struct plant *p, const struct plan *plan,
                            const struct campaign_options *options, struct campaign **out);
void campaign_free(struct campaign *c);

int campaign_moments(const struct campaign *c);
const struct moment_saved *campaign_moment(const struct campaign *c, int i);
const struct campaign_options *campaign_asked(const struct campaign *c);
double campaign_span(const struct campaign *c);  /* s */
double campaign_cycle(const struct campaign *c); /* s, mean time from one fill to the next */
const struct damage *campaign_normal(const struct campaign *c); /* of a year without any fault */

/* One trial; the observer may be NULL. */
struct damage campaign_try(const struct campaign *c, const struct trial *t,
                           const struct observer *observer);

/* What a person changes before leaving: the plant, and then each moment, which is brought on. */
struct campaign_change {
    void (*plant)(const void *self, struct plant *p);
    enum status (*moment)(const void *self, const struct plant *p, const struct plan *plan,
                          struct moment_saved *m);
    const void *self;
};

/* A copy of a campaign whose trials go on from there; campaign_free it. */
enum status campaign_change(const struct campaign *c, const struct campaign_change *how,
                            struct campaign **out);

/* The span of the trials to come [s]. */
void campaign_set_span(struct campaign *c, double span);

/* Calls work(i) for each i of n, on all threads; results must go to places of their own.  False if a
 * person stopped it. */
bool campaign_all(const struct campaign *c, long n, void (*work)(void *self, long i), void *self);

#endif
