/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * holdup: the water that stands on both sides of the membrane, two well-mixed volumes.  At rest
 * salt diffuses across; at a start the permeate side is pushed out ("start-up salt").  Page:
 * docs/holdup.md, with the same symbols.
 *
 * Volumes never change: what comes in pushes as much out.  Both must be above 0.
 */
#ifndef MODELS_HOLDUP_H
#define MODELS_HOLDUP_H

#include "field.h"
#include "parcel.h"

struct holdup_size {
    double permeate;            /* Vp [m3] */
    double feed;                /* Vf [m3], channel and housing */
};

extern const struct field holdup_fields[]; /* of holdup_size */

struct holdup {
    struct vessel permeate, feed;
};

/* Fills both sides with water of a composition each. */
void holdup_init(struct holdup *h, const struct holdup_size *size, const double permeate[],
                 const double feed[]);

/* A rest: both sides relax towards each other, exactly for any time.  BA [m3/s] is B of NaCl at
 * temperature times area; all ions follow it, neutral solutes have relative[] times as much. */
void holdup_rest(struct holdup *h, double BA, const double relative[], double seconds);

/* A run: what the membrane makes goes in, what comes out of the holdup is left in the parcels. */
void holdup_pass(struct holdup *h, struct parcel *permeate, struct parcel *concentrate);

/* A rinse of the feed side: the parcel goes in, what it pushes out is left in it. */
void holdup_rinse(struct holdup *h, struct parcel *water);

/* Many short cycles, each a rest and a run. */
struct holdup_rhythm {
    double starts;              /* n within the parcel; any number, 0 is one run without a rest */
    double rest;                /* s before each start */
    double BA;                  /* m3/s, and */
    const double *relative;     /* as in holdup_rest */
};

/* n cycles at once, each with 1/n of the parcels: just what n rests and passes in turn would do, in
 * closed form and for any state to begin with.  A share of a cycle has that share of a rest. */
void holdup_cycles(struct holdup *h, const struct holdup_rhythm *r, struct parcel *permeate,
                   struct parcel *concentrate);

/* The repetition that the cycles settle to, of species i on the permeate side [mol/m3]. */
struct holdup_swing {
    double rest;                /* at the end of a rest */
    double end;                 /* at the end of a run */
    double mean;                /* of what comes out */
};

/* The parcels are those of the membrane, as for holdup_cycles; starts above 0. */
struct holdup_swing holdup_swing(const struct holdup *h, const struct holdup_rhythm *r,
                                 const struct parcel *permeate, const struct parcel *concentrate,
                                 int i);

#endif
