/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * water: properties of water and of a dilute natural water of any composition.
 * Page: docs/water.md.  Temperatures are degC, pressures Pa; valid 0 to 50 degC.
 */
#ifndef MODELS_WATER_H
#define MODELS_WATER_H

#include "species.h"

double water_density(double temperature);           /* kg/m3; Kell 1975 */
double water_viscosity(double temperature);         /* Pa s; IAPWS SR6-08 eq. 7 */
double water_vapour_pressure(double temperature);   /* Pa; Hyland-Wexler */
double water_pure_conductivity(double temperature); /* S/m; IAPWS G2-90, at one atmosphere */
double water_pure_conductivity_at(double temperature, double density); /* the same, 0 to 100 degC */

/* Water that flows: its properties looked up once for all that needs them. */
struct fluid {
    double temperature; /* degC */
    double density;     /* kg/m3 */
    double viscosity;   /* Pa s */
};
struct fluid water_fluid(double temperature);

/* Diffusivity of a species at a temperature [m2/s]: Stokes-Einstein from its value at 25 degC. */
double water_diffusivity(enum species s, double temperature);

/* Constants of the acids on a concentration basis, so with activity coefficients inside. */
struct equilibria {
    double kw;     /* [H][OH]               (mol/m3)2 */
    double k1, k2; /* of carbonic acid      mol/m3 */
    double ksi;    /* of silicic acid       mol/m3 */
    double knh4;   /* of ammonium           mol/m3 */
    double g1;     /* activity coefficient of H+: pH = -log10(g1 [H]/1000) */
};

/* ionic_strength in mol/m3 (0 for pure water), Davies activities. */
struct equilibria water_equilibria(double temperature, double ionic_strength);

struct speciation {
    double ph;
    double h, oh, co2, hco3, co3, h3sio4, nh3; /* mol/m3 */
    double ionic_strength;                     /* mol/m3 */
};

/* pH and forms of the weak acids from electroneutrality of a composition c[SPECIES_COUNT].
 * Any finite non-negative composition has exactly one answer; pH is kept within 0 and 14. */
struct speciation water_speciate(const double c[], double temperature);

/* Solves electroneutrality for [H] with given constants; strong = charge of strong cations less
 * strong anions [mol/m3], ammonia, carbon and silica are totals.  Returns [H] in mol/m3. */
double water_hydrogen(const struct equilibria *k, double strong, double ammonia, double carbon,
                      double silica);

/* Conductivity at 25 degC [S/m]: Rossum's mixture form, going over to the y-squared rule of
 * Standard Methods 2510 with the share of Ca and Mg among the cations.  The ions are those of s:
 * for a reading at 25 degC, pass water_speciate(c, 25). */
double water_conductivity(const double c[], const struct speciation *s);
double water_conductivity_rossum(const double c[], const struct speciation *s);
double water_conductivity_2510(const double c[], const struct speciation *s);

/* Mol of dissolved ions per m3 (CO2, silicic acid and ammonia pass a membrane and do not count). */
double water_osmolarity(const double c[], const struct speciation *s);

/* Osmotic pressure [Pa] of an osmolarity [mol/m3], all of it taken as NaCl; its osmotic
 * coefficient at a molality [mol/kg], 25 degC (Pitzer & Mayorga). */
double water_osmotic_pressure(double osmolarity, double temperature);
double water_osmotic_coefficient(double molality);

struct meter {
    double factor;     /* kg/m3 shown per S/m at 25 degC: 0.5 ppm per uS/cm = 5.0 */
    double resolution; /* kg/m3: 1 ppm = 1e-3 */
};

/* What a pocket meter shows [kg/m3] of a conductivity at 25 degC [S/m], rounded to its resolution
 * unless that is 0. */
double water_meter(const struct meter *meter, double conductivity);

/* What a meter with a linear coefficient [1/K] shows as "at 25 degC" of a conductivity at t. */
double water_meter_compensated(double conductivity_at_t, double temperature, double coefficient);

/* Sea water at one temperature: its density is that of fresh water, and a slope times its salinity. */
struct sea {
    double fresh;   /* kg/m3 */
    double a, b;    /* of the slope */
};

/* EOS-80 at one atmosphere, at a temperature [degC]. */
struct sea water_sea(double temperature);

/* Rise of its density per salinity [kg/m3 per g/kg], from fresh water to a salinity [g/kg]. */
double water_sea_slope(const struct sea *sea, double salinity);

/* Density of sea water [kg/m3], EOS-80 at one atmosphere; salinity in g/kg. */
double water_sea_density(double salinity, double temperature);

#endif
