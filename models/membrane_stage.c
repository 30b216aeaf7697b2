/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * membrane_stage: the membrane as a place in the train: splits a parcel, wears, and holds water on
 * both sides whose salt comes along at the next start.  Pages: docs/membrane.md, docs/wear.md,
 * docs/holdup.md.
 */
#include <math.h>
#include <stddef.h>
#include <string.h>

#include "membrane.h"
#include "stage.h"
#include "water.h"

static const double REFRESHED =
    600.0; /* s: past a shut outlet the feed side is renewed at least so often */

struct membrane membrane_worn(const struct membrane *m, const struct membrane_state *s)
{
    struct membrane worn = *m;
    worn.water_permeability *= wear_flow_factor(&m->wear, &s->wear, membrane_area(m));
    worn.salt_permeability *= wear_salt_factor(&m->wear, &s->wear);
    return worn;
}

/* B of NaCl at a temperature times area [m3/s]. */
static double salt_exchange(const struct membrane *worn, double temperature)
{
    return worn->salt_permeability * membrane_salt_factor(worn, temperature) * membrane_area(worn);
}

/* Wall over bulk of a salt where the concentrate leaves. */
static double polarization(const struct membrane *m, const struct parcel *concentrate,
                           double permeate_volume)
{
    const double t = concentrate->temperature, seconds = concentrate->duration;
    if (!(concentrate->volume > 0.0) || !(seconds > 0.0))
        return 1.0;
    const double J = permeate_volume / (seconds * membrane_area(m));
    const double D = water_diffusivity(SALT, t);
    return exp(fmin(J / membrane_film(m, concentrate->volume / seconds, D, t), 5.0));
}

void membrane_rest(const struct membrane *m, struct membrane_state *s, double temperature,
                   double seconds)
{
    const struct membrane worn = membrane_worn(m, s);
    holdup_rest(&s->holdup, salt_exchange(&worn, temperature), m->relative, seconds);

    struct parcel held = { .volume = s->holdup.feed.volume, .temperature = temperature };
    for (int i = 0; i < SPECIES_COUNT; i++)
        held.c[i] = s->holdup.feed.amount[i] / held.volume;
    const double calcite = wear_rest(&m->wear, &s->wear, membrane_area(m), seconds, &held);
    s->holdup.feed.amount[CALCIUM] -= calcite;
    s->holdup.feed.amount[CARBON] -= calcite;
}

/* Speed [m/s] of a parcel along the membrane. */
static double cross_flow(const struct membrane *m, const struct parcel *water)
{
    return water->duration > 0.0 ? water->volume / water->duration / membrane_section(m) : 0.0;
}

void membrane_rinse(const struct membrane *m, struct membrane_state *s, struct parcel *water)
{
    wear_rinse(&m->wear, &s->wear, cross_flow(m, water), water);
    holdup_rinse(&s->holdup, water);
}

static void start(const union stage_params *p, union stage_state *s)
{
    const double pure[SPECIES_COUNT] = { 0.0 };
    const struct membrane *m = &p->membrane;
    const struct holdup_size all = { .permeate = m->elements * m->holdup.permeate,
                                     .feed = m->elements * m->holdup.feed };
    memset(&s->membrane, 0, sizeof s->membrane);
    holdup_init(&s->membrane.holdup, &all, pure, pure);
}

static void carry(const union stage_params *p, union stage_state *s, struct parcel *water,
                  const struct stage_passage *how, struct stage_exits *out)
{
    const struct membrane *m = &p->membrane;
    struct membrane_state *state = &s->membrane;
    const struct membrane worn = membrane_worn(m, state);
    const struct parcel feed = *water;
    membrane_split(&worn, &feed, how->permeate_volume, water, &out->drain);

    const struct wear_load load = {
        .area = membrane_area(m),
        .drawn = water->volume,
        .duration = feed.duration,
        .polarization = polarization(&worn, &out->drain, water->volume),
        .c = feed.c,
        .rinse = how->rinsing ? cross_flow(m, &feed) : 0.0,
    };
    wear_carry(&m->wear, &state->wear, &load, &out->drain);

    /* rests and runs in turn; with feed flowing past a shut outlet the feed side is renewed
     * meanwhile */
    const double turns = how->starts + how->rested_running / REFRESHED;
    const double BA = salt_exchange(&worn, feed.temperature);
    if (turns > 0.0) {
        const struct holdup_rhythm rhythm = { turns, how->rest / turns, BA, m->relative };
        holdup_cycles(&state->holdup, &rhythm, water, &out->drain);
    } else {
        holdup_pass(&state->holdup, water, &out->drain);
        membrane_rest(m, state, feed.temperature, how->rest);
    }
}

/* Calcite is calcium and carbon; the rest stands in the water on both sides. */
static double held(const union stage_params *p, const union stage_state *s, enum species i)
{
    (void)p;
    const double scale = i == CALCIUM || i == CARBON ? s->membrane.wear.scale : 0.0;
    return scale + s->membrane.holdup.permeate.amount[i] + s->membrane.holdup.feed.amount[i];
}

static double parcel_limit(const union stage_params *p, const union stage_state *s,
                           const double c[])
{
    (void)p;
    (void)s;
    (void)c;
    return INFINITY;
}

/* Common practice: due when the flow is down by a third. */
static double used(const union stage_params *p, const union stage_state *s)
{
    const double flow =
        wear_flow_factor(&p->membrane.wear, &s->membrane.wear, membrane_area(&p->membrane));
    return fmin(fmax((1.0 - flow) * 3.0, 0.0), 1.0);
}

static const char TABLE[] = "trade table of thin-film rejections, with judgement";
static const char FREE[] = "assumption: passes nearly freely";

static const char *const joined[] = { "series", "parallel", NULL };

static const struct field fields[] = {
    { "elements", FIELD_COUNT, DIM_NONE, offsetof(struct membrane, elements), 1.0, 1.0, 4.0, 1.0,
      4.0, NULL, "elements alike; plate, area, path, segments, holdup and price are of one",
      "usual in a home" },
    { "joined", FIELD_CHOICE, DIM_NONE, offsetof(struct membrane, joined), 0.0, 0.0, 0.0, 0.0, 0.0,
      joined, "how the concentrate joins the elements, if there is more than one",
      "common practice, from memory" },
    { "area", FIELD_NUMBER, DIM_AREA, offsetof(struct membrane, area), 0.42, 1e-3, 100.0, 0.27,
      0.46, NULL, "membrane area of an element",
      "trade note: 2.9 to 5.0 ft2 for a 1.8 x 12 in element, typically 4.5" },
    { "path", FIELD_NUMBER, DIM_LENGTH, offsetof(struct membrane, path), 0.25, 0.01, 10.0, 0.2, 1.0,
      NULL, "length of the feed path of an element",
      "computed from the size of a 1.8 x 12 in element with one leaf" },
    { "spacer", FIELD_NUMBER, DIM_LENGTH, offsetof(struct membrane, spacer), 0.5e-3, 0.1e-3, 5e-3,
      0.43e-3, 0.71e-3, NULL, "height of the feed channel", "trade range 0.43 to 0.71 mm" },
    { "porosity", FIELD_NUMBER, DIM_NONE, offsetof(struct membrane, porosity), 0.9, 0.3, 1.0, 0.8,
      0.95, NULL, "open share of the spacer channel", "assumption" },
    { "water_permeability", FIELD_NUMBER, DIM_WATER_PERMEABILITY,
      offsetof(struct membrane, water_permeability), NAN, 1e-14, 1e-9, 5.6e-12, 2.8e-11, NULL,
      "A at 25 degC, from a nameplate or a jug test",
      "usual range 2 to 10 L/(m2 h bar), from memory" },
    { "salt_permeability", FIELD_NUMBER, DIM_VELOCITY, offsetof(struct membrane, salt_permeability),
      NAN, 1e-11, 1e-5, 2.8e-8, 4.2e-7, NULL,
      "B of NaCl at 25 degC, from a nameplate or a jug test",
      "usual range 0.1 to 1.5 L/(m2 h), from memory" },
    { "leak", FIELD_NUMBER, DIM_NONE, offsetof(struct membrane, leak), 0.002, 0.0, 0.1, 0.0, 0.01,
      NULL, "share of the flux that imperfections let by",
      "Sherwood, Brian & Fisher 1967: 0 to 0.01; default fitted, docs/membrane.md" },
    { "water_activation", FIELD_NUMBER, DIM_TEMPERATURE_DIFFERENCE,
      offsetof(struct membrane, water_activation), 2640.0, 0.0, 1e4, 2000.0, 3500.0, NULL,
      "U of A at or above 25 degC", "trade notes" },
    { "water_activation_cold", FIELD_NUMBER, DIM_TEMPERATURE_DIFFERENCE,
      offsetof(struct membrane, water_activation_cold), 3020.0, 0.0, 1e4, 2000.0, 3500.0, NULL,
      "U of A below 25 degC", "trade notes" },
    { "salt_activation", FIELD_NUMBER, DIM_TEMPERATURE_DIFFERENCE,
      offsetof(struct membrane, salt_activation), 3490.0, 0.0, 1e4, 2500.0, 5500.0, NULL, "U of B",
      "assumption: 4 % per K; sources range from 3 to 6 %" },
    { "polarization", FIELD_NUMBER, DIM_NONE, offsetof(struct membrane, polarization), 1.0, 0.01,
      100.0, 0.5, 2.0, NULL, "multiplier on the film coefficient k",
      "assumption; k is known within a factor of two" },
    { "segments", FIELD_COUNT, DIM_NONE, offsetof(struct membrane, segments), 6.0, 1.0,
      SEGMENTS_MAX, 4.0, 24.0, NULL, "segments of the channel of an element",
      "computed: convergence in docs/membrane.md" },
    { "passage_sodium", FIELD_NUMBER, DIM_NONE, offsetof(struct membrane, relative[SODIUM]), 1.0,
      0.0, 1e6, 0.1, 10.0, NULL, "B of sodium, relative to NaCl", TABLE },
    { "passage_potassium", FIELD_NUMBER, DIM_NONE, offsetof(struct membrane, relative[POTASSIUM]),
      1.1, 0.0, 1e6, 0.1, 10.0, NULL, "B of potassium, relative to NaCl", TABLE },
    { "passage_calcium", FIELD_NUMBER, DIM_NONE, offsetof(struct membrane, relative[CALCIUM]), 0.4,
      0.0, 1e6, 0.1, 10.0, NULL, "B of calcium, relative to NaCl", TABLE },
    { "passage_magnesium", FIELD_NUMBER, DIM_NONE, offsetof(struct membrane, relative[MAGNESIUM]),
      0.4, 0.0, 1e6, 0.1, 10.0, NULL, "B of magnesium, relative to NaCl", TABLE },
    { "passage_ammonium", FIELD_NUMBER, DIM_NONE, offsetof(struct membrane, relative[AMMONIUM]),
      1.3, 0.0, 1e6, 0.1, 10.0, NULL, "B of NH4+ (NH3 passes freely), relative to NaCl", TABLE },
    { "passage_chloride", FIELD_NUMBER, DIM_NONE, offsetof(struct membrane, relative[CHLORIDE]),
      1.0, 0.0, 1e6, 0.1, 10.0, NULL, "B of chloride, relative to NaCl", TABLE },
    { "passage_sulfate", FIELD_NUMBER, DIM_NONE, offsetof(struct membrane, relative[SULFATE]), 0.25,
      0.0, 1e6, 0.1, 10.0, NULL, "B of sulfate, also taken for CO3--, relative to NaCl", TABLE },
    { "passage_nitrate", FIELD_NUMBER, DIM_NONE, offsetof(struct membrane, relative[NITRATE]), 2.5,
      0.0, 1e6, 0.1, 10.0, NULL, "B of nitrate, relative to NaCl", TABLE },
    { "passage_fluoride", FIELD_NUMBER, DIM_NONE, offsetof(struct membrane, relative[FLUORIDE]),
      1.1, 0.0, 1e6, 0.1, 10.0, NULL, "B of fluoride, relative to NaCl", TABLE },
    { "passage_carbon", FIELD_NUMBER, DIM_NONE, offsetof(struct membrane, relative[CARBON]), 1.0,
      0.0, 1e6, 0.1, 10.0, NULL, "B of HCO3- (CO2 passes freely), relative to NaCl", TABLE },
    { "passage_silica", FIELD_NUMBER, DIM_NONE, offsetof(struct membrane, relative[SILICA]), 1.4,
      0.0, 1e6, 0.1, 10.0, NULL, "B of silica, relative to NaCl", TABLE },
    { "passage_chlorine", FIELD_NUMBER, DIM_NONE, offsetof(struct membrane, relative[CHLORINE]),
      50.0, 0.0, 1e6, 1.0, 1e4, NULL, "B of free chlorine, relative to NaCl", FREE },
    { "passage_chloramine", FIELD_NUMBER, DIM_NONE, offsetof(struct membrane, relative[CHLORAMINE]),
      50.0, 0.0, 1e6, 1.0, 1e4, NULL, "B of monochloramine, relative to NaCl", FREE },
    { "restrictor_flow", FIELD_NUMBER, DIM_FLOW, offsetof(struct membrane, restrictor.flow),
      8.333e-6, 0.0, 1e-2, 2.5e-6, 44e-6, NULL,
      "flow of the drain restrictor at its rating, one for all elements",
      "trade lists of restrictors; 500 mL/min suits 75 gal/day at 60 psi" },
    { "restrictor_pressure", FIELD_NUMBER, DIM_PRESSURE,
      offsetof(struct membrane, restrictor.pressure), 413685.0, 1e3, 1e7, 2e5, 7e5, NULL,
      "pressure of that rating", "common practice, from memory: marked at about 60 psi" },
    { "restrictor_exponent", FIELD_NUMBER, DIM_NONE, offsetof(struct membrane, restrictor.exponent),
      0.556, 0.2, 2.0, 0.5, 1.0, NULL, "n, how its flow grows with pressure",
      "computed from a turbulent tube of 0.8 mm by 0.15 m" },
    { "restrictor_viscosity", FIELD_NUMBER, DIM_NONE,
      offsetof(struct membrane, restrictor.viscosity_exponent), 0.113, 0.0, 2.0, 0.0, 1.0, NULL,
      "p, how its flow falls with viscosity",
      "computed from a turbulent tube of 0.8 mm by 0.15 m" },
    { .key = NULL },
};

static const struct stage_group groups[] = {
    { "wear", wear_fields, offsetof(struct membrane, wear) },
    { "holdup", holdup_fields, offsetof(struct membrane, holdup) },
    { NULL, NULL, 0 },
};

const struct stage_kind stage_membrane = {
    .name = "membrane",
    .title = "reverse-osmosis membrane",
    .fields = fields,
    .groups = groups,
    .start = start,
    .pressure_drop = NULL, /* it splits the flow: the plant closes that loop */
    .carry = carry,
    .held = held,
    .parcel_limit = parcel_limit,
    .used = used,
};
