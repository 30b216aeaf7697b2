/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * life: when each cartridge ends and why, and what used the last bed up: the chemistry of the whole line on
 * the water of a normal year, again and again.  Page: docs/life.md.
 *
 * A cartridge that ends is renewed at once, so that what comes behind it does not suffer; the last
 * bed is left out from its end on.
 */
#ifndef SIM_LIFE_H
#define SIM_LIFE_H

#include "first.h"
#include "tape.h"

/* When the load of the last bed came. */
enum load_source {
    LOAD_STEADY,                /* with permeate as the new membrane makes it */
    LOAD_START,                 /* with the salt that crossed while it rested */
    LOAD_DAMAGE,                /* through what oxidants did to the membrane */
    LOAD_SOURCES
};

struct life_end {
    const char *why;            /* words, constant; NULL: not within the horizon */
    double t;                   /* s since it was put in; INFINITY */
    double litres;              /* of product until then; INFINITY */
};

struct life {
    struct life_end end[STAGES_MAX];
    struct first first;         /* of the first bed of its place */
    double load[SPECIES_COUNT]; /* mol into the last bed until it ended or the horizon came */
    double bed_litres;          /* L of product of that time, and */
    double bed_time;            /* s */
    double share[SPECIES_COUNT]; /* of its sites at its end */
    double meter;               /* kg/m3 on the meter behind it then */
    double unseen_silica, unseen_carbon; /* mol that passed the bed before the meter came to its limit */
    double product;             /* m3 over the whole time, and */
    double length;              /* s that was followed */
};

struct life_options {
    double horizon;             /* s; at most so long */
    bool without_start_salt;    /* nothing crosses the membrane at rest */
    bool without_damage;        /* oxidants do nothing to the membrane */
    bool last_bed_only;         /* stop when that has ended */
};

/* STATUS_MEMORY, or STATUS_OK. */
enum status life_follow(struct life *out, const struct plant *p, const struct plan *plan,
                        const struct tape *tape, const struct life_options *options);

/* The last bed of the train behind the membrane, or -1. */
int life_last_bed(const struct plant *p);

#endif
