/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * sediment: a depth cartridge; captures suspended solids, pressure drop grows with what it holds.
 * dP = a Q mu/mu20 / (1 - M/Mcap)^2.  Page: docs/sediment.md.
 *
 * Assumes laminar flow in the medium, a constant share of solids kept until it is full, and that
 * nothing is let go again.
 */
#include "sediment.h"

#include <math.h>
#include <stddef.h>

#include "stage.h"
#include "water.h"

static const double VISCOSITY_20 = 1.0015672646e-3; /* Pa s, water_viscosity(20) */
static const double NEARLY_FULL = 0.97;             /* M/Mcap at most in the pressure drop */
static const double PARCEL_SHARE = 0.005;           /* of the capacity that one parcel may bring */

double sediment_pressure_drop(const struct sediment *p, const struct sediment_state *s, double flow,
                              const struct fluid *water)
{
    const double free = 1.0 - fmin(s->mass / p->capacity, NEARLY_FULL);
    const double thickness = water->viscosity / VISCOSITY_20;
    return p->resistance * flow * thickness / (free * free);
}

void sediment_carry(const struct sediment *p, struct sediment_state *s, struct parcel *water)
{
    if (water->volume <= 0.0)
        return;
    const double room = fmax(p->capacity - s->mass, 0.0);
    const double kept = fmin(p->capture * water->c[SOLIDS] * water->volume, room);
    s->mass += kept;
    water->c[SOLIDS] = fmax(water->c[SOLIDS] - kept / water->volume, 0.0);
}

static const struct field fields[] = {
    { "rating", FIELD_NUMBER, DIM_LENGTH, offsetof(struct sediment, rating), 5e-6, 1e-7, 1e-3, 1e-6,
      5e-5, NULL, "nominal pore size; only named in words", "common practice" },
    { "resistance", FIELD_NUMBER, DIM_RESISTANCE, offsetof(struct sediment, resistance), 3.6e7, 0.0,
      1e12, 5e6, 2e8, NULL, "pressure drop over flow, clean, at 20 degC",
      "0.6 kPa per L/min: 2 to 4 times a 10 um cartridge, from memory" },
    { "capture", FIELD_NUMBER, DIM_NONE, offsetof(struct sediment, capture), 0.95, 0.0, 1.0, 0.5,
      1.0, NULL, "share of the suspended solids that it keeps",
      "trade definition of a nominal rating: 95 % at the rated size" },
    { "capacity", FIELD_NUMBER, DIM_MASS, offsetof(struct sediment, capacity), 0.1, 1e-6, 100.0,
      0.05, 0.2, NULL, "solids that clog it",
      "50 to 200 g of test dust for a 10 inch cartridge, from memory, low confidence" },
    { .key = NULL },
};

static void start(const union stage_params *p, union stage_state *s)
{
    (void)p;
    s->sediment.mass = 0.0;
}

static double pressure_drop(const union stage_params *p, const union stage_state *s, double flow,
                            const struct fluid *water, double inlet_pressure)
{
    (void)inlet_pressure;
    return sediment_pressure_drop(&p->sediment, &s->sediment, flow, water);
}

static void carry(const union stage_params *p, union stage_state *s, struct parcel *water,
                  const struct stage_passage *how, struct stage_exits *exits)
{
    (void)how;
    (void)exits;
    sediment_carry(&p->sediment, &s->sediment, water);
}

static double held(const union stage_params *p, const union stage_state *s, enum species i)
{
    (void)p;
    return i == SOLIDS ? s->sediment.mass : 0.0;
}

/* The pressure drop follows the mass only from parcel to parcel. */
static double parcel_limit(const union stage_params *p, const union stage_state *s,
                           const double c[])
{
    (void)s;
    const double caught = p->sediment.capture * c[SOLIDS];
    return caught > 0.0 ? PARCEL_SHARE * p->sediment.capacity / caught : INFINITY;
}

static double used(const union stage_params *p, const union stage_state *s)
{
    return s->sediment.mass / p->sediment.capacity;
}

const struct stage_kind stage_sediment = {
    .name = "sediment",
    .title = "sediment cartridge",
    .fields = fields,
    .start = start,
    .pressure_drop = pressure_drop,
    .carry = carry,
    .held = held,
    .parcel_limit = parcel_limit,
    .used = used,
};
