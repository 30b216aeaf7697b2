/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * at: water at a temperature, as an argument.
 */
#ifndef TESTS_AT_H
#define TESTS_AT_H

#include "models/water.h"

#define AT(t) (&(const struct fluid){ (t), water_density(t), water_viscosity(t) })

#endif
