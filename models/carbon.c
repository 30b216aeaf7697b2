/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * carbon: a carbon block as cells in series; free chlorine and monochloramine react with sites that
 * are used up, so that a front moves.  Page: docs/carbon.md.
 *   in a cell  C_out = C_in exp(-k tau u)  and, implicit in u',
 *   u' = u - sum over oxidants of n (C_in - C_out) dV/N
 * Exact along the flow: u is the mean of the cell and both equations hold for means, so that cells
 * only show where the front is.  First order in the parcel.
 * Assumes: first order in the oxidant and in the sites left, plug flow, no water held in the block,
 * no effect of pH, and nothing else adsorbed.
 */
#include "carbon.h"

#include <math.h>
#include <stddef.h>

#include "stage.h"
#include "water.h"

static const double KELVIN = 273.15;                /* K at 0 degC */
static const double PARCEL_SHARE = 0.005;           /* of all sites that one parcel may use */
static const double VISCOSITY_20 = 1.0015672646e-3; /* Pa s, water_viscosity(20) */
static const int NEWTON_MOST = 60;

/* What one cell does to one oxidant of a parcel. */
struct attack {
    double depth; /* k tau of the fresh cell */
    double load;  /* share of the cell's sites used per mol/m3 that reacts */
};

/* Sites used per molecule of monochloramine, from the two reactions of the page: of f + (1 - f)
 * molecules, f leave as ammonia and use a site each, and each pair of the others frees one. */
static double chloramine_sites(const struct carbon *p)
{
    return fmax(1.5 * p->ammonia_share - 0.5, 0.0);
}

static double sites(const struct carbon *p) /* mol */
{
    return p->capacity / species[CHLORINE].molar_mass;
}

static double rate_factor(const struct carbon *p, double temperature)
{
    return exp(p->activation * (1.0 / (KELVIN + 20.0) - 1.0 / (KELVIN + temperature)));
}

void carbon_init(const struct carbon *p, struct carbon_state *s)
{
    for (int i = 0; i < CARBON_CELLS_MAX; i++)
        s->left[i] = i < p->cells ? 1.0 : 0.0;
}

double carbon_contact_time(const struct carbon *p, double flow)
{
    return flow > 0.0 ? p->volume / flow : INFINITY;
}

double carbon_pressure_drop(const struct carbon *p, double flow, const struct fluid *water)
{
    return p->resistance * flow * water->viscosity / VISCOSITY_20;
}

/* Sites left, u in 0..before, of u - before + sum_i a_i (1 - exp(-d_i u)) = 0, a = load x inlet.
 * The left side rises and is concave, so that Newton lands at or below the root at once and climbs
 * to it; kept from falling below 0. */
static double sites_left(double before, const double a[2], const double d[2])
{
    double u = before;
    for (int i = 0; i < NEWTON_MOST; i++) {
        const double e0 = exp(-d[0] * u), e1 = exp(-d[1] * u);
        const double misfit = u - before + a[0] * (1.0 - e0) + a[1] * (1.0 - e1);
        const double slope = 1.0 + a[0] * d[0] * e0 + a[1] * d[1] * e1;
        const double next = fmin(fmax(u - misfit / slope, 0.0), before);
        if (fabs(next - u) <= 1e-15)
            return next;
        u = next;
    }
    return u;
}

/* Passes two concentrations [mol/m3] through the cells. */
static void react(const struct carbon *p, struct carbon_state *s, const struct attack on[2],
                  double c[2])
{
    const double d[2] = { on[0].depth, on[1].depth };
    for (int i = 0; i < p->cells && c[0] + c[1] > 0.0; i++) {
        const double a[2] = { on[0].load * c[0], on[1].load * c[1] };
        const double u = sites_left(s->left[i], a, d);
        c[0] *= exp(-d[0] * u);
        c[1] *= exp(-d[1] * u);
        s->left[i] = u;
    }
}

void carbon_carry(const struct carbon *p, struct carbon_state *s, struct parcel *water,
                  double *nitrogen)
{
    if (water->volume <= 0.0)
        return;
    const double tau = water->duration / water->volume * p->volume / p->cells;
    const double k = rate_factor(p, water->temperature);
    const double load = water->volume * p->cells / sites(p);
    const struct attack on[2] = {
        { k * p->chlorine_rate * tau, load },
        { k * p->chloramine_rate * tau, load * chloramine_sites(p) },
    };
    double c[2] = { water->c[CHLORINE], water->c[CHLORAMINE] };
    react(p, s, on, c);

    /* HOCl -> Cl-;  NH2Cl -> f NH3 + (1 - f)/2 N2 + Cl- */
    const double chlorine = water->c[CHLORINE] - c[0], chloramine = water->c[CHLORAMINE] - c[1];
    water->c[CHLORINE] = c[0];
    water->c[CHLORAMINE] = c[1];
    water->c[CHLORIDE] += chlorine + chloramine;
    water->c[AMMONIUM] += p->ammonia_share * chloramine;
    *nitrogen += (1.0 - p->ammonia_share) * chloramine * water->volume;
}

static const struct field fields[] = {
    { "volume", FIELD_NUMBER, DIM_VOLUME, offsetof(struct carbon, volume), 0.588e-3, 1e-6, 1.0,
      1e-4, 5e-3, NULL, "volume of the block, without its core",
      "computed from 63.5/31.8 mm by 248 mm, a 10 inch block" },
    { "resistance", FIELD_NUMBER, DIM_RESISTANCE, offsetof(struct carbon, resistance), 4.4e8, 0.0,
      1e12, 5e7, 2e9, NULL, "pressure drop over flow at 20 degC",
      "assumption: 4 psi at 1 gal/min for a 5 um block" },
    { "chlorine_rate", FIELD_NUMBER, DIM_RATE, offsetof(struct carbon, chlorine_rate), 0.4167, 0.0,
      10.0, 0.02, 1.0, NULL, "rate constant of free chlorine on fresh carbon at 20 degC",
      "25 1/min, computed from a rating of 98 % at 1 gal/min on 0.588 L" },
    { "chloramine_rate", FIELD_NUMBER, DIM_RATE, offsetof(struct carbon, chloramine_rate), 0.0208,
      0.0, 10.0, 0.0007, 0.42, NULL, "rate constant of monochloramine on fresh carbon at 20 degC",
      "1/20 of the free chlorine rate on ordinary carbon, order only, from memory" },
    { "activation", FIELD_NUMBER, DIM_TEMPERATURE_DIFFERENCE, offsetof(struct carbon, activation),
      2947.0, 0.0, 10000.0, 1500.0, 5000.0, NULL, "activation temperature E/R of both rates",
      "computed from a trade rule that the rate doubles per 20 K: E = 24.5 kJ/mol" },
    { "capacity", FIELD_NUMBER, DIM_MASS, offsetof(struct carbon, capacity), 18.9e-3, 1e-6, 100.0,
      18.9e-3, 0.35, NULL, "free chlorine that uses up all sites",
      "rated life 5000 gal at 1 mg/L taken as all there is, a cautious assumption" },
    { "ammonia_share", FIELD_NUMBER, DIM_NONE, offsetof(struct carbon, ammonia_share), 1.0,
      1.0 / 3.0, 1.0, 1.0 / 3.0, 1.0, NULL,
      "share of the chloramine's nitrogen that leaves as ammonia",
      "1 on fresh carbon, 1/3 in a steady run (Bauer and Snoeyink 1973, from memory)" },
    { "cells", FIELD_COUNT, DIM_NONE, offsetof(struct carbon, cells), 20.0, 1.0, CARBON_CELLS_MAX,
      10.0, CARBON_CELLS_MAX, NULL,
      "cells along the flow, to see the front in; the outlet does not depend on them", "choice" },
    { .key = NULL },
};

static void start(const union stage_params *p, union stage_state *s)
{
    carbon_init(&p->carbon, &s->carbon);
}

static double pressure_drop(const union stage_params *p, const union stage_state *s, double flow,
                            const struct fluid *water, double inlet_pressure)
{
    (void)s;
    (void)inlet_pressure;
    return carbon_pressure_drop(&p->carbon, flow, water);
}

static void carry(const union stage_params *p, union stage_state *s, struct parcel *water,
                  const struct stage_passage *how, struct stage_exits *exits)
{
    (void)how;
    carbon_carry(&p->carbon, &s->carbon, water, &exits->nitrogen);
}

/* What has reacted left as chloride and ammonia; the sites keep oxygen, which is not followed. */
static double held(const union stage_params *p, const union stage_state *s, enum species i)
{
    (void)p;
    (void)s;
    (void)i;
    return 0.0;
}

static double parcel_limit(const union stage_params *p, const union stage_state *s,
                           const double c[])
{
    (void)s;
    const double use = c[CHLORINE] + chloramine_sites(&p->carbon) * c[CHLORAMINE]; /* mol/m3 */
    return use > 0.0 ? PARCEL_SHARE * sites(&p->carbon) / use : INFINITY;
}

static double used(const union stage_params *p, const union stage_state *s)
{
    double left = 0.0;
    for (int i = 0; i < p->carbon.cells; i++)
        left += s->carbon.left[i];
    return 1.0 - left / p->carbon.cells;
}

const struct stage_kind stage_carbon = {
    .name = "carbon",
    .title = "carbon block",
    .fields = fields,
    .start = start,
    .pressure_drop = pressure_drop,
    .carry = carry,
    .held = held,
    .parcel_limit = parcel_limit,
    .used = used,
};
