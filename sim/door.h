/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * door: what a person does before the door closes: cartridges put in, the tank filled, the supply shut,
 * plugs pulled.  Each is done to the saved state of a run, which then goes on.  Page: docs/away.md.
 */
#ifndef SIM_DOOR_H
#define SIM_DOOR_H

#include "run.h"

enum door_deed {
    DEED_SHUT = 1 << 0,         /* the hand valve of the supply */
    DEED_FILL = 1 << 1,         /* the tank first, to where filling stops */
    DEED_MAINS = 1 << 2,        /* everything unplugged */
    DEED_TOPOFF = 1 << 3        /* the top-off pump unplugged */
};

struct door {
    const char *name;           /* for programs */
    const char *words;          /* "shut the supply valve" */
    unsigned deeds;
};

enum { DOORS = 6 };
extern const struct door door_list[DOORS]; /* the first: nothing is done */

/* Whether the plant has what the deeds concern. */
bool door_applies(const struct plant *p, unsigned deeds);

/* What is unplugged for good brings nothing, whatever fails. */
void door_plant(unsigned deeds, struct plant *p);

struct leaving {
    unsigned deeds;
    unsigned renew;             /* bit k: a new cartridge in stage k, flushed first */
};

/* Brings a saved run from *t to the moment at which the door closes: the deeds are done, nobody draws,
 * looks or replaces any more. */
enum status door_leave(const struct leaving *how, const struct plant *p, const struct plan *plan,
                       double *t, struct run_saved *saved);

/* The plan of an absence from t on: nothing dated, nobody there. */
void door_plan(const struct plan *plan, double until, struct plan *out);

#endif
