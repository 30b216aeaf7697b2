/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * any_feed: random supplies: a whole analysis, a part of one, or what a meter shows.
 */
#include <math.h>
#include <string.h>

#include "any_inner.h"

static const struct field *const fields = scenario_feed_fields;

/* What is said of the composition by one of the functions below. */
#define COMPOSITION                                                                                \
    "sodium", "potassium", "calcium", "magnesium", "ammonium", "chloride", "sulfate", "nitrate",   \
        "fluoride", "bicarbonate", "carbon_dioxide", "carbon", "hardness", "alkalinity", "pH",     \
        "conductivity", "meter", "dissolved_solids", "close"

/* Charges balance within a few per cent, mostly. */
static void whole_analysis(struct maker *m)
{
    double charge = 0.0;
    for (int s = FIRST_CATION; s <= FLUORIDE; s++) {
        const struct field *f = any_field(fields, species[s].key);
        const bool rare = s == AMMONIUM || s == NITRATE || s == FLUORIDE || s == POTASSIUM;
        const double c = f->high * (any_chance(m, rare ? 0.5 : 0.05) ? 0.0 : any_log(m, 1e-3, 0.3));
        charge += species[s].charge * c;
        if (s != CHLORIDE)
            any_number(m, fields, f->key, c);
        else
            charge += c; /* comes below, to balance the rest */
    }
    const double rest = fmax(charge, 0.05) * any_between(m, 0.97, 1.03);
    const double share = any_between(m, 0.05, 0.95);
    any_number(m, fields, "chloride", share * rest);
    static const char *const weak[] = { "bicarbonate", "bicarbonate", "alkalinity", "carbon" };
    any_number(m, fields, weak[any_pick(m, 4)], (1.0 - share) * rest);
    if (any_chance(m, 0.6))
        any_number(m, fields, "pH", any_between(m, 6.3, 8.6));
    else if (any_said(m->text, "carbon") < 0 && any_chance(m, 0.4))
        any_number(m, fields, "carbon_dioxide", any_log(m, 0.02, 1.0));
    if (charge < 0.05 || any_chance(m, 0.2))
        any_quoted(m, "close", "sodium");
    else if (any_chance(m, 0.2))
        any_quoted(m, "close", "refuse");
}

static void part_of_one(struct maker *m)
{
    const double hardness = any_log(m, 0.05, 8.0), alkalinity = any_log(m, 0.1, 6.0);
    any_number(m, fields, "hardness", hardness);
    if (any_chance(m, 0.8))
        any_number(m, fields, "alkalinity", alkalinity);
    if (any_chance(m, 0.8))
        any_number(m, fields, "pH", any_between(m, 6.3, 8.8));
    if (any_chance(m, 0.7)) /* S/m: some 0.01 for each equivalent */
        any_number(m, fields, any_chance(m, 0.8) ? "meter" : "conductivity",
                   0.011 * fmax(hardness, alkalinity) * any_log(m, 1.0, 4.0));
}

static void meter_only(struct maker *m)
{
    static const char *const ways[] = { "meter", "conductivity", "dissolved_solids" };
    const int way = any_pick(m, 3);
    any_number(m, fields, ways[way], way < 2 ? any_log(m, 1e-3, 0.4) : any_log(m, 0.02, 2.0));
    if (any_chance(m, 0.3))
        any_number(m, fields, "pH", any_between(m, 5.5, 9.0));
}

/* Whatever, which will mostly not fit together. */
static void anything(struct maker *m)
{
    static const char *const keys[] = { COMPOSITION };
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++)
        if (any_chance(m, 0.2))
            any_value(m, any_field(fields, keys[i]));
}

static void temperature(struct maker *m)
{
    const double cold = any_between(m, 2.0, 18.0);
    if (any_chance(m, 0.5)) {
        any_number(m, fields, "coldest", cold);
        any_number(m, fields, "warmest", cold + any_between(m, 0.5, 15.0));
    } else if (any_chance(m, 0.6)) {
        any_cycle(m, any_field(scenario_feed_cycles, "temperature"));
    }
}

static void pressure(struct maker *m)
{
    any_cycle(m, any_field(scenario_feed_cycles, "pressure"));
    if (any_chance(m, 0.3))
        any_number(m, fields, "pressure_swing", any_between(m, 0.0, 6e4));
    if (any_chance(m, 0.2))
        any_number(m, fields, "pressure_season", any_between(m, 0.0, 6e4));
}

void any_feed(struct maker *m)
{
    static const char *const by_hand[] = { COMPOSITION,      "coldest",         "warmest",
                                           "pressure_swing", "pressure_season", NULL };
    any_open(m->text, ANY_GROUP, "feed");
    const double way = any_between(m, 0.0, 1.0);
    if (way < 0.35)
        whole_analysis(m);
    else if (way < 0.65)
        part_of_one(m);
    else if (way < 0.98)
        meter_only(m);
    else
        anything(m);
    any_fields(m, fields, by_hand);
    temperature(m);
    pressure(m);
    any_close(m->text);
}
