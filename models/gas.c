/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * gas: uptake and loss of carbon dioxide by open water; V dC/dt = k A (CO2eq - CO2), where CO2 is
 * the free part of the dissolved carbon C.  Page: docs/gas.md, with the same symbols.
 *
 * Assumes: well-mixed water, alkalinity that stays, ammonia that stays; between now and equilibrium
 * CO2 taken as linear in C, so that the answer is one exponential, right at both ends.
 */
#include "gas.h"

#include <math.h>
#include <stddef.h>

#include "root.h"
#include "water.h"

static const double ATMOSPHERE = 101325.0; /* Pa */
static const double LN_10 = 2.302585092994046;

double gas_solubility(double temperature)
{
    const double t = temperature + 273.15;
    const double log_kh =
        108.3865 + 0.01985076 * t - 6919.53 / t - 40.45154 * log10(t) + 669365.0 / (t * t);
    return 1e3 * exp(LN_10 * log_kh) / ATMOSPHERE; /* from mol/(L atm) */
}

double gas_equilibrium(const struct gas *g, double temperature)
{
    return gas_solubility(temperature) * g->air * ATMOSPHERE;
}

/* Water that holds a given CO2. */
struct held {
    struct equilibria k;
    double strong, ammonia, silica, co2; /* mol/m3 */
};

/* Anions less cations at ln [H]; falls. */
static double anions_over(double ln_h, void *of)
{
    const struct held *w = of;
    const struct equilibria *k = &w->k;
    const double h = exp(ln_h), hco3 = k->k1 * w->co2 / h;
    return hco3 + 2.0 * hco3 * k->k2 / h + k->kw / h + w->silica * k->ksi / (h + k->ksi) -
           (w->strong + h + w->ammonia * h / (h + k->knh4));
}

static double strong_charge(const double c[])
{
    double sum = 0.0;
    for (int i = FIRST_CATION; i <= FLUORIDE; i++)
        sum += i == AMMONIUM ? 0.0 : species[i].charge * c[i];
    return sum;
}

/* Total carbon [mol/m3] of water with this much free CO2 and the ions that it has. */
static double carbon_with(double co2, const double c[], const struct equilibria *k)
{
    struct held w = { *k, strong_charge(c), c[AMMONIUM], c[SILICA], co2 };
    const double h = exp(root_falling(anions_over, &w, log(1e-11), log(1e3), 1e-13));
    return co2 * (1.0 + k->k1 / h * (1.0 + k->k2 / h));
}

double gas_exchange(const struct gas *g, double area, struct vessel *v, double temperature,
                    double seconds)
{
    if (!(v->volume > 0.0))
        return 0.0;
    double c[SPECIES_COUNT];
    for (int i = 0; i < SPECIES_COUNT; i++)
        c[i] = v->amount[i] / v->volume;

    const struct speciation now = water_speciate(c, temperature);
    const struct equilibria k = water_equilibria(temperature, now.ionic_strength);
    const double co2 = gas_equilibrium(g, temperature);
    const double gap = carbon_with(co2, c, &k) - c[CARBON];
    const double free = (co2 - now.co2) / gap; /* of the carbon that is gained, CO2 */
    if (!(free > 0.0))                         /* at equilibrium, to rounding */
        return 0.0;

    const double rate = g->film * g->enhancement * area / v->volume * fmin(free, 1.0);
    const double before = v->amount[CARBON];
    /* rounding must not take more than there is */
    v->amount[CARBON] = fmax(before - gap * v->volume * expm1(-rate * seconds), 0.0);
    return v->amount[CARBON] - before;
}

const struct field gas_fields[] = {
    { "carbon_dioxide", FIELD_NUMBER, DIM_NONE, offsetof(struct gas, air), 420e-6, 0.0, 0.1, 380e-6,
      2e-3, NULL, "carbon dioxide of the air, share by volume",
      "420 ppm of the open air, common knowledge; rooms have up to 2000 (common practice)" },
    { "film", FIELD_NUMBER, DIM_VELOCITY, offsetof(struct gas, film), 2e-5, 0.0, 1e-3, 1e-5,
      3e-5, NULL, "transfer velocity of carbon dioxide in still water",
      "assumption: 1 to 3e-5 m/s" },
    { "enhancement", FIELD_NUMBER, DIM_NONE, offsetof(struct gas, enhancement), 1.0, 0.0, 100.0,
      1.0, 5.0, NULL, "factor on it for stirring and for reaction in the film", "assumption" },
    { .key = NULL },
};
