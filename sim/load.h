/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * load: what uses the resin up, by when and how it came; the life by hand beside it; what passes before the
 * meter says anything.  Page: docs/life.md.
 */
#ifndef SIM_LOAD_H
#define SIM_LOAD_H

#include "life.h"

enum load_source {
    LOAD_STEADY,                /* salt in the permeate as a new membrane makes it in steady flow */
    LOAD_START,                 /* salt that crossed the membrane while it rested */
    LOAD_DAMAGE,                /* salt that comes through what oxidants did to the membrane */
    LOAD_CHLORAMINE,            /* ammonium, and the chloride with it */
    LOAD_CO2,                   /* carbon beyond what the salts need: it passes the membrane freely */
    LOAD_SILICA,
    LOAD_SOURCES
};

enum { LOAD_CATION, LOAD_ANION, LOAD_RESINS };

/* How well silica holds is poorly known: its selectivity a third, as it is, three times. */
enum { LOAD_BAND = 3 };

struct load {
    bool there;                 /* there is a bed at the end of the train */
    double litres;              /* of product until it ended, or the horizon */
    double sites[LOAD_RESINS];  /* mol of charge */
    double came[LOAD_RESINS];   /* mol of charge, silica counted whole */
    double held[LOAD_RESINS];   /* mol of charge at its end */
    double share[LOAD_RESINS][LOAD_SOURCES]; /* of what came: they sum to one */
    int ends;                   /* the resin that is used up, LOAD_CATION or LOAD_ANION */
    double hand[LOAD_RESINS];   /* L: sites over load; INFINITY if nothing comes */
    double used;                /* share of the sites of the one that ends, and */
    double slipped;             /* share of its load that is not held: litres = hand used/(1 - slipped) */
    double silica[LOAD_BAND];   /* L until 0.05 mg/L; NAN: not before the meter */
    double bed[LOAD_BAND];      /* L until the meter comes to its limit */
    double interval;            /* s between looks, and whether the scenario gives it */
    bool interval_given;
    struct life late;           /* seen by a meter that shows one step too little, at the last look after it */
};

extern const char *const load_source_words[LOAD_SOURCES];

/* From the life of the plant on its tape. */
enum status load_find(struct load *l, const struct plant *p, const struct plan *plan,
                      const struct tape *tape, const struct life *life, double horizon);

#endif
