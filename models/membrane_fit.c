/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * membrane_fit: A and B of a membrane from its nameplate or from a jug test, by the same equations
 * that run it, so that most of their error cancels near that point.  Page: docs/membrane.md.
 */
#include <math.h>
#include <stdbool.h>
#include <stddef.h>
#include <string.h>

#include "membrane.h"
#include "root.h"
#include "water.h"

static const double FIT_TOLERANCE = 1e-13; /* of ln A and ln B */

/* A point of work, what it gave, and a membrane whose A and B are to be found. */
struct fit {
    struct membrane m;
    struct membrane_point at;
    double permeate;    /* m3/s */
    struct parcel feed; /* a second of it */
    double (*reading)(const double c[]);
    double goal; /* of the reading of the permeate */
};

static double sodium(const double c[])
{
    return c[SODIUM];
}

static double conductivity(const double c[])
{
    const struct speciation s = water_speciate(c, 25.0);

    return water_conductivity(c, &s);
}

static struct fit fit_of(const struct membrane *m, const struct parcel *feed, double permeate,
                         double driving)
{
    const struct speciation s = water_speciate(feed->c, feed->temperature);

    return (struct fit){ .m = *m,
                         .at = { .feed_flow = feed->volume / feed->duration,
                                 .feed_pressure = driving,
                                 .osmolarity = water_osmolarity(feed->c, &s),
                                 .temperature = feed->temperature },
                         .permeate = permeate,
                         .feed = *feed };
}

static double permeate_missing(double ln_a, void *of)
{
    struct fit *f = of;

    f->m.water_permeability = exp(ln_a);
    return 1.0 - membrane_permeate(&f->m, &f->at, NULL) / f->permeate;
}

/* Sets A for the B that is there.  False if no A gives so much. */
static bool fit_water(struct fit *f)
{
    const double ideal = f->permeate / (membrane_area(&f->m) * f->at.feed_pressure) /
                         membrane_temperature_factor(&f->m, f->at.temperature);
    const double ln_a =
        root_falling(permeate_missing, f, log(ideal), log(1e3 * ideal), FIT_TOLERANCE);

    return fabs(permeate_missing(ln_a, f)) < 1e-9;
}

/* How far the reading of the permeate is below the goal: falls with B.  Where the osmotic pressure
 * stops the flow whatever A is, B is too small. */
static double reading_missing(double ln_b, void *of)
{
    struct fit *f = of;
    struct parcel permeate, concentrate;

    f->m.salt_permeability = exp(ln_b);
    if (!fit_water(f))
        return 1.0;
    membrane_split(&f->m, &f->feed, f->permeate * f->feed.duration, &permeate, &concentrate);
    return 1.0 - f->reading(permeate.c) / f->goal;
}

/* Sets B, and A with it.  False if no B gives that reading. */
static bool fit_salt(struct fit *f)
{
    const double flux = f->permeate / membrane_area(&f->m);
    const double ln_b =
        root_falling(reading_missing, f, log(1e-6 * flux), log(1e2 * flux), FIT_TOLERANCE);

    return fabs(reading_missing(ln_b, f)) < 1e-6;
}

int membrane_from_nameplate(struct membrane *m, const struct nameplate *plate)
{
    const double salt = plate->salt / (species[SODIUM].molar_mass + species[CHLORIDE].molar_mass);
    const bool sensible = plate->permeate > 0.0 && plate->pressure > 0.0 && salt > 0.0 &&
                          plate->recovery > 0.0 && plate->recovery < 1.0 &&
                          plate->rejection > 0.0 && plate->rejection < 1.0;
    if (!sensible)
        return MEMBRANE_IMPOSSIBLE;

    struct parcel feed = { .volume = plate->permeate / plate->recovery,
                           .duration = 1.0,
                           .temperature = plate->temperature,
                           .c = { [SODIUM] = salt, [CHLORIDE] = salt } };
    struct membrane one = *m;
    one.elements = 1;
    struct fit f = fit_of(&one, &feed, plate->permeate, plate->pressure);
    f.reading = sodium;
    f.goal = (1.0 - plate->rejection) * salt;
    if (!fit_salt(&f))
        return MEMBRANE_IMPOSSIBLE;
    m->water_permeability = f.m.water_permeability;
    m->salt_permeability = f.m.salt_permeability;
    return MEMBRANE_FITTED;
}

/* The restrictor's flow at its rating that lets the drain pass at the end of the channel, whose
 * loss is that of the feed flow, as everywhere in the plant. */
static double drain_rating(const struct membrane *m, const struct jug *jug)
{
    const struct fluid water = water_fluid(jug->temperature);
    const double loss = membrane_channel_loss(m, jug->product + jug->drain, &water);
    struct restrictor unit = m->restrictor;

    unit.flow = 1.0;
    return jug->drain / restrictor_flow(&unit, jug->pressure - loss, &water, 1.0);
}

int membrane_from_jug(struct membrane *m, const struct jug *jug)
{
    const double driving = jug->pressure - jug->permeate_pressure;
    if (!(jug->product > 0.0) || !(jug->drain > 0.0) || !(driving > 0.0))
        return MEMBRANE_IMPOSSIBLE;

    struct parcel feed = { .volume = jug->product + jug->drain,
                           .duration = 1.0,
                           .temperature = jug->temperature };
    memcpy(feed.c, jug->c, sizeof feed.c);
    struct fit f = fit_of(m, &feed, jug->product, driving);
    const double flow_at_rating = drain_rating(m, jug);
    if (!fit_water(&f) || !isfinite(flow_at_rating))
        return MEMBRANE_IMPOSSIBLE;
    m->water_permeability = f.m.water_permeability;
    m->restrictor.flow = flow_at_rating;
    if (isnan(jug->conductivity))
        return MEMBRANE_FITTED;

    f.reading = conductivity;
    f.goal = jug->conductivity;
    if (!fit_salt(&f))
        return MEMBRANE_SALT_KEPT;
    m->water_permeability = f.m.water_permeability;
    m->salt_permeability = f.m.salt_permeability;
    return MEMBRANE_FITTED;
}
