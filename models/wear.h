/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * wear: what years of use do to a membrane: deposit of solids, its consolidation and rinsing,
 * scale, oxidants, ageing, stagnation, creep of a new element.  Page: docs/wear.md.
 *
 * Resistances are relative to that of the clean membrane, R/R_m.  Every update is in closed form
 * over a parcel, so that any duration is stable.
 */
#ifndef MODELS_WEAR_H
#define MODELS_WEAR_H

#include <stdbool.h>

#include "field.h"
#include "parcel.h"

struct wear {
    bool on;                  /* off: nothing is added to the state */
    double solids_halving;    /* m [kg], brought to each m2, whose deposit halves the flow */
    double reversible;        /* f, share of a new deposit that a rinse can take away */
    double consolidation;     /* tau [s] */
    double rinse_rate;        /* kr [1/s] at the rinse speed */
    double rinse_speed;       /* ur [m/s] of the cross-flow */
    double rinse_exponent;    /* n, how the rate grows with the speed */
    double scale_growth;      /* v [m/s] of calcite where its saturation is 2 */
    double scale_halving;     /* s [m] of calcite that halves the flow */
    double oxidant_doubling;  /* D2 [s] in 1 mg/L of chlorine that double B */
    double oxidant_threshold; /* D0 [s] in 1 mg/L before A rises */
    double oxidant_swelling;  /* a [1/s] in 1 mg/L, rise of A past the threshold */
    double chloramine_weight; /* w, damage by chloramine over that by free chlorine */
    double ageing;            /* b [1/s], growth of B with time */
    double biofilm;           /* rb [1/s], growth of R/R_m at rest */
    double creep;             /* e, share of A that a new element loses */
    double creep_time;        /* te [s] of service */
};

struct wear_state { /* zero for a new element */
    double cake;    /* R/R_m that a rinse can remove */
    double layer;   /* R/R_m that none can */
    double scale;   /* mol of calcite on the membrane */
    double dose;    /* oxidants, as free chlorine [kg s/m3] */
    double biofilm; /* R/R_m */
    double run;     /* s of service */
    double age;     /* s in all */
};

/* Multipliers of A and of B of the new membrane. */
double wear_flow_factor(const struct wear *p, const struct wear_state *s, double area);
double wear_salt_factor(const struct wear *p, const struct wear_state *s);

/* Service during one parcel. */
struct wear_load {
    double area;         /* m2 of membrane */
    double drawn;        /* m3 of permeate */
    double duration;     /* s */
    double polarization; /* wall over bulk where the concentrate leaves, 1 or more */
    const double *c;     /* of the water that reached the membrane */
    double rinse;        /* m/s along the membrane with the drain wide open; 0: no rinse */
};

/* Advances over a parcel.  Takes the calcite that forms out of the concentrate, calcium and carbon
 * each, and returns it [mol]; never more than the concentrate has above saturation. */
double wear_carry(const struct wear *p, struct wear_state *s, const struct wear_load *load,
                  struct parcel *concentrate);

/* A rest with `held` in the feed channel (its volume may be 0); calcite as in wear_carry. */
double wear_rest(const struct wear *p, struct wear_state *s, double area, double duration,
                 struct parcel *held);

/* A rinse with stored water, nothing being made, at a cross-flow [m/s]; of the parcel the duration and
 * the oxidants count. */
void wear_rinse(const struct wear *p, struct wear_state *s, double speed,
                const struct parcel *water);

extern const struct field wear_fields[];

/* ---- indices of colloids, by which a water is judged ---- */

/* Silt density index [% per minute]: the first and the last half litre took so long, `span` s
 * apart. */
double wear_sdi(double first, double last, double span);

/* The same index after 15 minutes where a cake alone grows, t = a V + b V2: a [s/m3], and b [s/m6],
 * which is the modified fouling index. */
double wear_sdi_of_cake(double a, double b);

#endif
