/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * first: see first.h.
 */
#include "first.h"

#include <math.h>
#include <string.h>

#include "channel.h"

static const double DAY = 86400.0;         /* s */
static const double LITRE = 1e3;           /* per m3 */
static const double JUDGED = 1e-3;         /* m3 */
static const double SILICA_SEEN = 0.05e-3; /* kg/m3 SiO2 */
static const double CARBON_SEEN = 1e-3;    /* kg/m3 free CO2 */
static const double CO2_MASS = 44.0095e-3; /* kg/mol */
static const double SODIUM_SHARE = 0.05;   /* of the permeate's, or the feed's without a membrane */
static const double PRODUCT_USUAL = 1e-3;  /* kg/m3 on the meter, common practice */
static const double OXIDANT_SEEN = 0.1e-3; /* kg/m3 Cl2 */

void first_init(struct first *f)
{
    memset(f, 0, sizeof *f);
    for (int i = 0; i < PASSED_COUNT; i++)
        f->day[i] = f->litres[i] = NAN;
}

static void pass(struct first *f, enum passed which, bool now, const struct glimpse *g)
{
    if (now && isnan(f->day[which])) {
        f->day[which] = g->t / DAY;
        f->litres[which] = LITRE * g->x[X_PRODUCT];
    }
}

bool first_catch(struct caught *held, double volume, const double water[], double c[])
{
    held->volume += volume;
    for (int i = 0; i < SPECIES_COUNT; i++)
        held->amount[i] += volume * water[i];
    if (held->volume < JUDGED)
        return false;
    for (int i = 0; i < SPECIES_COUNT; i++)
        c[i] = held->amount[i] / held->volume;
    memset(held, 0, sizeof *held);
    return true;
}

double first_meter(const struct plant *p, const double c[])
{
    const struct speciation forms = water_speciate(c, 25.0);
    return 1e-3 * channel_ppm(p, water_conductivity(c, &forms));
}

/* Bicarbonate is no carbon dioxide: only the free part hides from the meter. */
static bool carbon_dioxide_seen(const double c[])
{
    if (!(c[CARBON] * CO2_MASS > CARBON_SEEN))
        return false;
    return water_speciate(c, 25.0).co2 * CO2_MASS > CARBON_SEEN;
}

static void judge_product(struct first *f, const struct glimpse *g, const double c[])
{
    const double meter = first_meter(g->plant, c);
    pass(f, PASSED_PRODUCT_LIMIT, meter >= g->plan->limits.product, g);
    pass(f, PASSED_PRODUCT_USUAL, meter >= PRODUCT_USUAL, g);
    pass(f, PASSED_SILICA, c[SILICA] * species[SILICA].molar_mass > SILICA_SEEN, g);
    if (isnan(f->day[PASSED_CARBON]))
        pass(f, PASSED_CARBON, carbon_dioxide_seen(c), g);
    const struct plant *p = g->plant;
    const double met = p->membrane < 0 ? p->feed.c[SODIUM] : g->state->readings.permeate_c[SODIUM];
    pass(f, PASSED_SODIUM, c[SODIUM] > SODIUM_SHARE * met, g);
}

void first_see(struct first *f, const struct glimpse *g)
{
    const struct readings *r = &g->state->readings;
    const double permeate = g->x[X_PRODUCT] + g->x[X_DIVERTED];
    const double product = g->plant->has_bladder ? g->x[X_DELIVERED] : g->x[X_PRODUCT];
    double c[SPECIES_COUNT];

    if (first_catch(&f->permeate, permeate - f->permeate_seen, r->permeate_c, c))
        pass(f, PASSED_PERMEATE_LIMIT, first_meter(g->plant, c) >= g->plan->limits.permeate, g);
    if (first_catch(&f->product, product - f->product_seen, r->product_c, c))
        judge_product(f, g, c);
    f->permeate_seen = permeate;
    f->product_seen = product;

    const double oxidant = r->membrane_oxidant * species[CHLORINE].molar_mass;
    pass(f, PASSED_CHLORINE, oxidant > OXIDANT_SEEN, g);
}
