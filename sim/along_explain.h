/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * along_explain: every number of the line with its equation.  Page: docs/along.md.
 */
#ifndef SIM_ALONG_EXPLAIN_H
#define SIM_ALONG_EXPLAIN_H

#include "along.h"
#include "explain.h"

/* The whole line, at each moment, or of that what has `only` in its title; e tells how far the model was off its
 * equations. */
void along_explain(const struct along *a, struct explain *e, const char *only, FILE *out);

/* ---- its parts, each in a file of its own ------------------------------------------------------- */

/* A moment of it. */
struct along_told {
    struct explain *e;
    const struct along *a;
    const struct along_look *look;
};

/* Density and viscosity of water; the constants of its acids at a temperature.  They stay known. */
void along_explain_water(struct explain *e, double temperature);
void along_explain_acids(struct explain *e, double temperature);

/* Forms of a water at the temperature of the acids known, with names that end in `_` and nothing:
 * h, OH, CO2, HCO3, CO3, NH4, NH3, H3SiO4, I and each ion by its symbol. */
void along_explain_forms(struct explain *e, const double c[], double temperature);

/* What a meter makes of it; after along_explain_forms at 25 degC. */
void along_explain_meter(const struct along_told *t, const struct along_point *p);

/* Osmotic pressure; after along_explain_forms at the temperature of the membrane. */
void along_explain_osmotic(const struct along_told *t, double temperature, double osmolarity);

void along_explain_membrane(const struct along_told *t);
void along_explain_beds(const struct along_told *t, int stage);

#endif
