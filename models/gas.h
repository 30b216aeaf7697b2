/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * gas: carbon dioxide between the air and open water; a film on the water side.  Page: docs/gas.md,
 * with the same symbols.
 */
#ifndef MODELS_GAS_H
#define MODELS_GAS_H

#include "field.h"
#include "parcel.h"

struct gas {
    double air;                 /* mol of CO2 per mol of dry air */
    double film;                /* k [m/s], transfer velocity in still water */
    double enhancement;         /* factor on it, for reaction in the film and for stirring */
};

extern const struct field gas_fields[];

/* Solubility of CO2 [mol/(m3 Pa)]: Plummer & Busenberg 1982. */
double gas_solubility(double temperature);

/* CO2 [mol/m3] of water in equilibrium with the air, at one atmosphere. */
double gas_equilibrium(const struct gas *g, double temperature);

/* Exchanges CO2 of the vessel with the air through an open surface [m2].  Returns mol that went
 * into the water (negative: out of it); amount[CARBON] changes by just that. */
double gas_exchange(const struct gas *g, double area, struct vessel *v, double temperature,
                    double seconds);

#endif
