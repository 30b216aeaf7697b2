/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * stage: one place in the train.  A stage kind is one const row; adding one is one file in models/
 * and one line in stage.c.  Page: docs/architecture.md.
 */
#ifndef MODELS_STAGE_H
#define MODELS_STAGE_H

#include <stdbool.h>

#include "carbon.h"
#include "field.h"
#include "membrane.h"
#include "pump.h"
#include "resin.h"
#include "sediment.h"

enum { STAGES_MAX = 8, NAME_MAX_LENGTH = 48 };

union stage_params {
    struct sediment sediment;
    struct carbon carbon;
    struct pump pump;
    struct membrane membrane;
    struct resin resin;
};

union stage_state {
    struct sediment_state sediment;
    struct carbon_state carbon;
    struct membrane_state membrane;
    struct resin_state resin;
};

/* How a parcel passes. */
struct stage_passage {
    double permeate_volume;     /* m3 that a membrane makes of it */
    double starts;              /* how often water began to be made during it */
    double rest;                /* s in all during which none was made */
    double rested_running;      /* s of these with feed flowing past the membrane */
    bool rinsing;               /* the drain stands wide open */
};

/* Where the parts of a parcel go that do not stay in the product. */
struct stage_exits {
    struct parcel drain;        /* concentrate; volume 0 but at a membrane */
    double nitrogen;            /* mol of N that left as N2 */
};

/* Fields of a part of the params that stand in a group: wear = { ... }; ended by a NULL key. */
struct stage_group {
    const char *key;
    const struct field *fields;
    size_t offset;              /* of the part in the params */
};

struct stage_kind {
    const char *name;           /* as in a scenario: "carbon" */
    const char *title;          /* in words: "carbon block" */
    const struct field *fields; /* of its params */
    const struct stage_group *groups; /* more of them, each a group of its own; NULL if none */
    void (*start)(const union stage_params *, union stage_state *);
    /* Pressure lost [Pa] at a flow [m3/s]; negative for a pump that runs.  inlet: pressure there. */
    double (*pressure_drop)(const union stage_params *, const union stage_state *, double flow,
                            const struct fluid *water, double inlet_pressure);
    /* Passes a parcel; only the membrane reads how. */
    void (*carry)(const union stage_params *, union stage_state *, struct parcel *water,
                  const struct stage_passage *how, struct stage_exits *);
    /* Amount [mol, kg] of a species that it holds. */
    double (*held)(const union stage_params *, const union stage_state *, enum species);
    /* Largest parcel [m3] of this water that it takes without loss of accuracy. */
    double (*parcel_limit)(const union stage_params *, const union stage_state *, const double c[]);
    /* Share of its life used, 0 new, 1 at its end (for words and figures). */
    double (*used)(const union stage_params *, const union stage_state *);
};

extern const struct stage_kind *const stage_kinds[]; /* ended by NULL */
extern const struct stage_kind stage_sediment, stage_carbon, stage_pump, stage_membrane, stage_resin;

struct stage {
    const struct stage_kind *kind;
    char name[NAME_MAX_LENGTH + 1];     /* given by the user, or the kind's with a number */
    union stage_params params;
};

const struct stage_kind *stage_kind_named(const char *name); /* NULL if there is none */

#endif
