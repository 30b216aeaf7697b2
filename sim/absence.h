/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * absence: one span with nobody there, without any fault, with the whole chemistry: whether the water stays
 * good, and which cartridge comes to its end, by which rule.  Page: docs/away.md.
 */
#ifndef SIM_ABSENCE_H
#define SIM_ABSENCE_H

#include "door.h"
#include "first.h"

/* From which saved moment, and what is done before. */
struct absence_case {
    const struct plant *plant;
    const struct plan *plan;    /* of the scenario */
    const struct run_saved *from;
    struct leaving leaving;
    double span;                /* s */
};

/* Times in s after leaving, INFINITY: never; 0: so already at the first litre, or when leaving. */
struct absence {
    double left;                /* s, when the door closes */
    double bad;                 /* the product reading is over its limit */
    double silica;              /* silica in the product, which no meter sees */
    double dry, low, spill;     /* as in struct damage; spill: over any rim */
    double made;                /* m3 of product */
    double salinity_least, salinity_most; /* g/kg of the served water */
    double ends[STAGES_MAX];
    const char *why[STAGES_MAX];
};

enum status absence_run(const struct absence_case *c, struct absence *out);

/* How many cartridges end. */
int absence_ends(const struct absence *a, int stages);

/* ---- the year before ------------------------------------------------------------------------- */

enum { ABSENCE_STOPS = 2, ABSENCE_DUES = 24 };

struct absence_due {
    int stage;
    const char *why;
    double t;                   /* s */
};

/* The scenario without cuts and faults, from new parts on, with its draws, visits and replacements. */
struct absence_year {
    int stops;
    double stop[ABSENCE_STOPS]; /* s, rising: where the run is saved */
    struct run_saved saved[ABSENCE_STOPS];
    int dues;
    struct absence_due due[ABSENCE_DUES]; /* cartridges that came to their end */
    const volatile sig_atomic_t *stopped;
};

enum status absence_year(struct absence_year *y, const struct plant *p, const struct plan *plan);

/* The reading [kg/m3] at which the product is bad: the limit of the scenario, else 1 ppm. */
double absence_limit(const struct plan *plan);

/* Whether the product is judged at all: there is a limit, or a resin bed. */
bool absence_judges(const struct plant *p, const struct plan *plan);

#endif
