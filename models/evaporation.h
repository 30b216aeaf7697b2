/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * evaporation: of open water indoors.  Page: docs/basin.md.
 *   still air (Shah 2014):      E = larger of 35 rho_w (rho_r - rho_w)^(1/3) (W_w - W_r)
 *                                         and 5e-5 (p_w - p_r), kg/(m2 h)
 *   moving air (Carrier 1918):  E = (0.0885 + 0.0779 V)(p_w - p_r)/Y
 * Assumes quiet fresh water under 101325 Pa, at one temperature up to its surface.  Temperatures
 * are degC, humidity a share 0..1, draught m/s.
 */
#ifndef MODELS_EVAPORATION_H
#define MODELS_EVAPORATION_H

/* Evaporation of quiet water [kg/(m2 s)]; negative where vapour condenses.  Shah 2014 in still air,
 * 0.74 of Carrier's from 0.1 m/s on, joined smoothly between. */
double evaporation_rate(double water, double air, double humidity, double draught);
double evaporation_shah(double water, double air, double humidity);
double evaporation_carrier(double water, double air, double humidity, double draught);
/* Density difference of dry air [kg/m3] that Shah's formula uses: room less surface. */
double evaporation_density_difference(double water, double air, double humidity);

#endif
