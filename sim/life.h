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

struct life_end {
    const char *why;            /* words, constant; NULL: not within the horizon */
    double t;                   /* s since it was put in; INFINITY */
    double litres;              /* of product until then; INFINITY */
};

struct life {
    struct life_end end[STAGES_MAX];
    /* of the first bed at the end of the train, with all beds before it, until it ended or it was no longer
     * followed */
    struct first first;
    double meter_first[PASSED_COUNT]; /* kg/m3 on the meter when each of these was first met; NAN */
    double bed_litres;          /* L of product of that time, and */
    double bed_time;            /* s */
    double meter;               /* kg/m3 on the meter behind it then */
    double due;                 /* kg/m3 at which it has ended */
    double load[SPECIES_COUNT]; /* mol that came, and of that */
    double passed[SPECIES_COUNT]; /* mol that went through */
    double held[EXCHANGED_COUNT]; /* mol of charge on its sites */
    double product;             /* m3 over the whole time, and */
    double length;              /* s that was followed */
};

struct life_options {
    double horizon;             /* s; at most so long */
    bool without_start_salt;    /* nothing crosses the membrane at rest */
    bool without_damage;        /* oxidants do nothing to the membrane */
    bool last_bed_only;         /* stop when that has ended */
    double product;             /* m3: follow just so much, whatever the meter shows; 0: to the end */
    double late;                /* kg/m3 above what ends the bed at which that is seen */
    double later;               /* s from then on until somebody looks */
};

/* STATUS_MEMORY, or STATUS_OK. */
enum status life_follow(struct life *out, const struct plant *p, const struct plan *plan,
                        const struct tape *tape, const struct life_options *options);

/* The bed at the end of the train, behind the membrane if there is one, or -1. */
int life_last_bed(const struct plant *p);

/* Sites of all beds behind the membrane [mol of charge]. */
double life_cation_sites(const struct plant *p);
double life_anion_sites(const struct plant *p);

#endif
