/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * scaling: saturation with calcite, gypsum and amorphous silica.  Page: docs/scaling.md, with the
 * same symbols and the source of every number.
 *
 * Assumes Davies activities, pure water's activity 1, and one ion pair, CaSO4, which only the index
 * of gypsum minds.
 */
#include "scaling.h"

#include <math.h>

#include "root.h"

static const double KELVIN = 273.15;
static const double LITRES = 1e-3; /* mol/m3 to mol/L */
static const double LEAST = 1e-30; /* mol/m3, instead of none: a logarithm stays finite */
static const double PAIR =
    0.199526231497; /* of CaSO4 at zero ionic strength [m3/mol]: 10^2.30 L/mol */
static const double CACO3 = 50.0435e-3; /* kg of CaCO3 per mol of charge */

double scaling_calcite_constant(double temperature)
{
    const double t = temperature + KELVIN;

    return -171.9065 - 0.077993 * t + 2839.319 / t + 71.595 * log10(t);
}

double scaling_gypsum_constant(double temperature)
{
    const double t = temperature + KELVIN;

    return 68.2401 - 3221.51 / t - 25.0627 * log10(t);
}

double scaling_silica_solubility(double temperature)
{
    return 1e-6 * pow(10.0, 4.52 - 731.0 / (temperature + KELVIN));
}

/* Activity coefficient of an ion of two charges. */
static double divalent(double temperature, double ionic_strength)
{
    const double g1 = water_equilibria(temperature, ionic_strength).g1;

    return g1 * g1 * g1 * g1;
}

/* log10 of the product of two activities [(mol/L)2]; concentrations in mol/m3. */
static double log_product(double a, double b, double g)
{
    return log10(g * LITRES * fmax(a, LEAST)) + log10(g * LITRES * fmax(b, LEAST));
}

double scaling_calcite(const double c[], const struct speciation *s, double temperature)
{
    const double g2 = divalent(temperature, s->ionic_strength);

    return log_product(c[CALCIUM], s->co3, g2) - scaling_calcite_constant(temperature);
}

/* CaSO4 pairs take ions away, which lowers I and raises g2, which makes more pairs: from none the
 * rounds climb to the answer.  x = K g2^2 (Ca - x)(SO4 - x) is a quadratic in each. */
double scaling_gypsum(const double c[], const struct speciation *s, double temperature)
{
    const double ca = c[CALCIUM], so4 = c[SULFATE];
    double x = 0.0, g2 = 1.0; /* x: mol of pairs per m3 */

    for (int i = 0; i < 30; i++) {
        g2 = divalent(temperature, s->ionic_strength - 4.0 * x);
        const double before = x, b = ca + so4 + 1.0 / (PAIR * g2 * g2);
        x = 2.0 * ca * so4 / (b + sqrt(b * b - 4.0 * ca * so4));
        if (x - before <= 1e-9 * x)
            break;
    }
    return log_product(ca - x, so4 - x, g2) - scaling_gypsum_constant(temperature);
}

double scaling_silica(const double c[], const struct speciation *s, double temperature)
{
    const double neutral = fmax(c[SILICA] - s->h3sio4, LEAST);
    const double share = neutral * species[SILICA].molar_mass / water_density(temperature);

    return log10(share / scaling_silica_solubility(temperature));
}

void scaling_wall(const double c[], const struct speciation *s, double polarization, double wall[])
{
    for (int i = 0; i < SPECIES_COUNT; i++) {
        const double free = i == CARBON ? s->co2 : i == AMMONIUM ? s->nh3 : 0.0;
        wall[i] = free + polarization * fmax(c[i] - free, 0.0);
    }
}

struct fall {
    const double *c;
    double temperature;
};

/* Index of calcite after x mol/m3 of it have dropped. */
static double index_after(double x, void *of)
{
    const struct fall *f = of;
    double c[SPECIES_COUNT];

    for (int i = 0; i < SPECIES_COUNT; i++)
        c[i] = f->c[i];
    c[CALCIUM] -= x;
    c[CARBON] -= x;
    const struct speciation s = water_speciate(c, f->temperature);
    return scaling_calcite(c, &s, f->temperature);
}

double scaling_excess(const double c[], double temperature)
{
    struct fall f = { c, temperature };
    const double most = (1.0 - 1e-9) * fmin(c[CALCIUM], c[CARBON]);

    return most > 0.0 ? root_falling(index_after, &f, 0.0, most, 1e-7) : 0.0;
}

/* ---- indices of the trade ---- */

/* mg/L */
static double milligrams(double kg)
{
    return 1e3 * fmax(kg, LEAST);
}

double scaling_saturated_ph(double tds, double calcium, double alkalinity, double temperature)
{
    const double a = 0.1 * (log10(milligrams(tds)) - 1.0);
    const double b = 34.55 - 13.12 * log10(temperature + 273.0);
    const double c = log10(milligrams(CACO3 * calcium)) - 0.4;
    const double d = log10(milligrams(CACO3 * alkalinity));

    return 9.3 + a + b - c - d;
}

double scaling_lsi(double tds, double calcium, double alkalinity, double ph, double temperature)
{
    return ph - scaling_saturated_ph(tds, calcium, alkalinity, temperature);
}

double scaling_ryznar(double saturated_ph, double ph)
{
    return 2.0 * saturated_ph - ph;
}
