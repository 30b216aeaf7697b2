/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * campaign_inner: what campaign.c (trials) and campaign_moments.c (from when they begin) share.
 */
#ifndef SIM_CAMPAIGN_INNER_H
#define SIM_CAMPAIGN_INNER_H

#include "campaign.h"

enum { LOOKS_MAX = 20000 };

/* A change of the normal cycle, as a candidate. */
struct look {
    double t;
    char kind[24];
    double fills; /* s until the tank runs over if nothing stops the water */
    double lasts; /* s until it is empty if none comes */
    double basin; /* m3 of room in the served water */
};

struct campaign {
    struct plant plant;
    struct plan plan;
    struct campaign_options options;
    struct damage normal;
    double cycle;
    int moments;
    struct moment_saved moment[MOMENTS_MAX];
    int looks;
    struct look look[LOOKS_MAX];
};

/* What came of a run, in the eyes of an observer. */
struct campaign_watch {
    struct damage damage;
    double from;        /* s */
    double x0[X_COUNT]; /* at the moment */
    const struct observer *also;
};

struct campaign_watch campaign_watch(double t, const double x[]); /* from a moment; x NULL: the start */
void campaign_see(void *self, const struct glimpse *g);           /* an observer's see */

/* Runs the normal year, and notes its changes. */
enum status campaign_scout(struct campaign *c);
void campaign_choose(struct campaign *c); /* the moments, among the changes */

/* Runs the same year again and keeps the chosen moments. */
enum status campaign_keep(struct campaign *c);

#endif
