/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * plant_flow: the operating point of the line, from the supply to the tank's inlet; used by plant.c
 * alone.
 */
#ifndef MODELS_PLANT_FLOW_H
#define MODELS_PLANT_FLOW_H

#include "plant.h"

struct plant_flow plant_flow(const struct plant *p, const struct settings *set,
                             const struct state *state, const struct flow_inlet *in);

#endif
