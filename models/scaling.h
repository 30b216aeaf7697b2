/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * scaling: how near a water is to dropping calcite, gypsum or silica, as log10 of the ion product
 * over the solubility (0 saturated, above 0 more).  Page: docs/scaling.md.
 *
 * The indices of the trade (pH of saturation, Langelier, Ryznar) are closed forms for display only.
 */
#ifndef MODELS_SCALING_H
#define MODELS_SCALING_H

#include "water.h"

/* Solubility products at zero ionic strength, log10 of (mol/L)2, and of amorphous silica [kg/kg].
 */
double scaling_calcite_constant(double temperature);
double scaling_gypsum_constant(double temperature);
double scaling_silica_solubility(double temperature);

/* log10 of saturation of a water c[SPECIES_COUNT] whose forms are s; finite for any water, very low
 * where a partner is missing. */
double scaling_calcite(const double c[], const struct speciation *s, double temperature);
double scaling_gypsum(const double c[], const struct speciation *s, double temperature);
double scaling_silica(const double c[], const struct speciation *s, double temperature);

/* Composition at the wall of a membrane: what it holds back is `polarization` times the bulk, gases
 * are as in the bulk. */
void scaling_wall(const double c[], const struct speciation *s, double polarization, double wall[]);

/* Calcite [mol/m3] that brings a water down to saturation; 0 if it is below. */
double scaling_excess(const double c[], double temperature);

/* ---- indices of the trade: tds kg/m3, calcium and alkalinity mol of charge per m3 ---- */

double scaling_saturated_ph(double tds, double calcium, double alkalinity, double temperature);
double scaling_lsi(double tds, double calcium, double alkalinity, double ph, double temperature);
double scaling_ryznar(double saturated_ph, double ph);

#endif
