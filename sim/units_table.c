/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * units_table: the names of units, and dimensions that are made of two others (volume over time).
 *
 * Factors are exact by definition (inch, pound, US gallon, standard gravity) unless marked.
 */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "text.h"
#include "units_inner.h"

#define GRAVITY 9.80665
#define INCH 0.0254
#define POUND 0.45359237
#define GRAIN 64.79891e-6
#define GALLON 3.785411784e-3
#define HOUR 3600.0
#define DAY 86400.0
#define YEAR (365.25 * DAY) /* of rates only */

#define CACO3_EQUIVALENT 50.04345e-3 /* kg/eq, half of 100.0869 g/mol */
#define CAO_EQUIVALENT 28.0387e-3    /* kg/eq, half of 56.0774 g/mol */
#define NITROGEN 14.0067e-3          /* kg/mol */
#define CL2 70.906e-3                /* kg/mol */
#define PPM_500 5.0                  /* kg/m3 shown per S/m: 0.5 ppm per uS/cm */

/* Where a name stands twice in a dimension, the shorter form for people comes first. */
static const struct unit units[] = {
    { "m", DIM_LENGTH, 1.0, 0.0 },
    { "cm", DIM_LENGTH, 0.01, 0.0 },
    { "mm", DIM_LENGTH, 0.001, 0.0 },
    { "um", DIM_LENGTH, 1e-6, 0.0 },
    { "in", DIM_LENGTH, INCH, 0.0 },
    { "inch", DIM_LENGTH, INCH, 0.0 },
    { "ft", DIM_LENGTH, 12.0 * INCH, 0.0 },

    { "m2", DIM_AREA, 1.0, 0.0 },
    { "cm2", DIM_AREA, 1e-4, 0.0 },
    { "ft2", DIM_AREA, 144.0 * INCH *INCH, 0.0 },
    { "in2", DIM_AREA, INCH *INCH, 0.0 },
    { "sq ft", DIM_AREA, 144.0 * INCH *INCH, 0.0 },
    { "sq in", DIM_AREA, INCH *INCH, 0.0 },

    { "m3", DIM_VOLUME, 1.0, 0.0 },
    { "L", DIM_VOLUME, 0.001, 0.0 },
    { "l", DIM_VOLUME, 0.001, 0.0 },
    { "mL", DIM_VOLUME, 1e-6, 0.0 },
    { "ml", DIM_VOLUME, 1e-6, 0.0 },
    { "cm3", DIM_VOLUME, 1e-6, 0.0 },
    { "gal", DIM_VOLUME, GALLON, 0.0 },
    { "impgal", DIM_VOLUME, 4.54609e-3, 0.0 },
    { "fl oz", DIM_VOLUME, GALLON / 128.0, 0.0 },
    { "ft3", DIM_VOLUME, 0.028316846592, 0.0 },
    { "in3", DIM_VOLUME, INCH *INCH *INCH, 0.0 },

    { "s", DIM_TIME, 1.0, 0.0 },
    { "second", DIM_TIME, 1.0, 0.0 },
    { "seconds", DIM_TIME, 1.0, 0.0 },
    { "min", DIM_TIME, 60.0, 0.0 },
    { "minute", DIM_TIME, 60.0, 0.0 },
    { "minutes", DIM_TIME, 60.0, 0.0 },
    { "h", DIM_TIME, HOUR, 0.0 },
    { "hour", DIM_TIME, HOUR, 0.0 },
    { "hours", DIM_TIME, HOUR, 0.0 },
    { "day", DIM_TIME, DAY, 0.0 },
    { "days", DIM_TIME, DAY, 0.0 },
    { "d", DIM_TIME, DAY, 0.0 },
    { "week", DIM_TIME, 7.0 * DAY, 0.0 },
    { "weeks", DIM_TIME, 7.0 * DAY, 0.0 },

    { "degC", DIM_TEMPERATURE, 1.0, 0.0 },
    { "degF", DIM_TEMPERATURE, 5.0 / 9.0, -32.0 },
    { "K", DIM_TEMPERATURE, 1.0, -273.15 },

    { "K", DIM_TEMPERATURE_DIFFERENCE, 1.0, 0.0 },
    { "degC", DIM_TEMPERATURE_DIFFERENCE, 1.0, 0.0 },
    { "degF", DIM_TEMPERATURE_DIFFERENCE, 5.0 / 9.0, 0.0 },

    { "Pa", DIM_PRESSURE, 1.0, 0.0 },
    { "kPa", DIM_PRESSURE, 1e3, 0.0 },
    { "MPa", DIM_PRESSURE, 1e6, 0.0 },
    { "bar", DIM_PRESSURE, 1e5, 0.0 },
    { "mbar", DIM_PRESSURE, 100.0, 0.0 },
    { "psi", DIM_PRESSURE, POUND *GRAVITY / (INCH * INCH), 0.0 },
    { "mH2O", DIM_PRESSURE, 1e3 * GRAVITY, 0.0 }, /* conventional metre of water */
    { "cmH2O", DIM_PRESSURE, 10.0 * GRAVITY, 0.0 },
    { "ftH2O", DIM_PRESSURE, 1e3 * GRAVITY * 12.0 * INCH, 0.0 },

    { "gpd", DIM_FLOW, GALLON / DAY, 0.0 },
    { "gpm", DIM_FLOW, GALLON / 60.0, 0.0 },

    { "LMH", DIM_VELOCITY, 1e-3 / HOUR, 0.0 },
    { "L/(m2 h)", DIM_VELOCITY, 1e-3 / HOUR, 0.0 },

    { "kg", DIM_MASS, 1.0, 0.0 },
    { "g", DIM_MASS, 1e-3, 0.0 },
    { "mg", DIM_MASS, 1e-6, 0.0 },
    { "ug", DIM_MASS, 1e-9, 0.0 },
    { "lb", DIM_MASS, POUND, 0.0 },
    { "oz", DIM_MASS, POUND / 16.0, 0.0 },
    { "gr", DIM_MASS, GRAIN, 0.0 },
    { "kgr", DIM_MASS, 1e3 * GRAIN, 0.0 },

    { "ppm", DIM_MASS_CONCENTRATION, 1e-3, 0.0 }, /* of dilute water: mg/L */
    { "ppb", DIM_MASS_CONCENTRATION, 1e-6, 0.0 },

    { "eq/m3", DIM_EQUIVALENTS, 1.0, 0.0 },
    { "meq/L", DIM_EQUIVALENTS, 1.0, 0.0 },
    { "eq/L", DIM_EQUIVALENTS, 1e3, 0.0 },
    { "dH", DIM_EQUIVALENTS, 0.01 / CAO_EQUIVALENT, 0.0 },   /* 10 mg/L of CaO */
    { "fH", DIM_EQUIVALENTS, 0.01 / CACO3_EQUIVALENT, 0.0 }, /* 10 mg/L of CaCO3 */
    { "gpg", DIM_EQUIVALENTS, GRAIN / GALLON / CACO3_EQUIVALENT, 0.0 },

    { "S/m", DIM_CONDUCTIVITY, 1.0, 0.0 },
    { "mS/m", DIM_CONDUCTIVITY, 1e-3, 0.0 },
    { "mS/cm", DIM_CONDUCTIVITY, 0.1, 0.0 },
    { "uS/cm", DIM_CONDUCTIVITY, 1e-4, 0.0 },

    { "S/m", DIM_METER, 1.0, 0.0 },
    { "mS/cm", DIM_METER, 0.1, 0.0 },
    { "uS/cm", DIM_METER, 1e-4, 0.0 },
    { "ppm", DIM_METER, 1e-3 / PPM_500, 0.0 }, /* or as the hint says */
    { "ppm500", DIM_METER, 1e-3 / 5.0, 0.0 },
    { "ppm640", DIM_METER, 1e-3 / 6.4, 0.0 },
    { "ppm700", DIM_METER, 1e-3 / 7.0, 0.0 },

    { "eq/m3", DIM_CAPACITY, 1.0, 0.0 },
    { "eq/L", DIM_CAPACITY, 1e3, 0.0 },
    { "meq/mL", DIM_CAPACITY, 1e3, 0.0 },
    { "meq/L", DIM_CAPACITY, 1.0, 0.0 },

    { "m/(s Pa)", DIM_WATER_PERMEABILITY, 1.0, 0.0 },
    { "L/(m2 h bar)", DIM_WATER_PERMEABILITY, 1e-3 / HOUR / 1e5, 0.0 },
    { "LMH/bar", DIM_WATER_PERMEABILITY, 1e-3 / HOUR / 1e5, 0.0 },
    { "gal/(sq ft day psi)", DIM_WATER_PERMEABILITY, GALLON / (144.0 * DAY * POUND * GRAVITY),
      0.0 },

    { "1/s", DIM_RATE, 1.0, 0.0 },
    { "/s", DIM_RATE, 1.0, 0.0 },
    { "1/min", DIM_RATE, 1.0 / 60.0, 0.0 },
    { "/min", DIM_RATE, 1.0 / 60.0, 0.0 },
    { "1/h", DIM_RATE, 1.0 / HOUR, 0.0 },
    { "/h", DIM_RATE, 1.0 / HOUR, 0.0 },
    { "1/day", DIM_RATE, 1.0 / DAY, 0.0 },
    { "/day", DIM_RATE, 1.0 / DAY, 0.0 },
    { "1/yr", DIM_RATE, 1.0 / YEAR, 0.0 },
    { "/yr", DIM_RATE, 1.0 / YEAR, 0.0 },
    { "1/year", DIM_RATE, 1.0 / YEAR, 0.0 },
    { "/year", DIM_RATE, 1.0 / YEAR, 0.0 },

    { "W", DIM_POWER, 1.0, 0.0 },
    { "kW", DIM_POWER, 1e3, 0.0 },

    { "/J", DIM_PRICE_PER_ENERGY, 1.0, 0.0 },
    { "/kWh", DIM_PRICE_PER_ENERGY, 1.0 / 3.6e6, 0.0 },
    { "/MWh", DIM_PRICE_PER_ENERGY, 1.0 / 3.6e9, 0.0 },

    { "Pa s/m3", DIM_RESISTANCE, 1.0, 0.0 },
    { "kPa/(L/min)", DIM_RESISTANCE, 1e3 * 60.0 / 1e-3, 0.0 },
    { "bar/(L/min)", DIM_RESISTANCE, 1e5 * 60.0 / 1e-3, 0.0 },
    { "psi/gpm", DIM_RESISTANCE, POUND *GRAVITY / (INCH * INCH) / (GALLON / 60.0), 0.0 },

    { "mol/m3", DIM_MOLAR, 1.0, 0.0 },
    { "mmol/L", DIM_MOLAR, 1.0, 0.0 },
    { "mol/L", DIM_MOLAR, 1e3, 0.0 },
    { "umol/L", DIM_MOLAR, 1e-3, 0.0 },

    { "g/kg", (enum dimension)DIM_SALINITY, 1.0, 0.0 },
    { "ppt", (enum dimension)DIM_SALINITY, 1.0, 0.0 },

    { "", DIM_NONE, 1.0, 0.0 },
    { "%", DIM_NONE, 0.01, 0.0 },
    { "", DIM_PRICE, 1.0, 0.0 },
};

enum { UNIT_COUNT = sizeof units / sizeof *units };

/* Dimensions that are one over another. */
static const struct {
    enum dimension whole, above, below;
} quotients[] = {
    { DIM_FLOW, DIM_VOLUME, DIM_TIME },
    { DIM_VELOCITY, DIM_LENGTH, DIM_TIME },
    { DIM_MASS_CONCENTRATION, DIM_MASS, DIM_VOLUME },
    { DIM_PRICE_PER_VOLUME, DIM_PRICE, DIM_VOLUME },
};

static const struct {
    const char *name, *si, *example;
} dimensions[DIM_ALL] = {
    [DIM_NONE] = { "number", "", "0.5 or \"50 %\"" },
    [DIM_LENGTH] = { "length", "m", "\"50 cm\"" },
    [DIM_AREA] = { "area", "m2", "\"0.42 m2\"" },
    [DIM_VOLUME] = { "volume", "m3", "\"60 L\"" },
    [DIM_TIME] = { "time", "s", "\"14 days\"" },
    [DIM_TEMPERATURE] = { "temperature", "degC", "\"18 degC\" or \"64 degF\"" },
    [DIM_TEMPERATURE_DIFFERENCE] = { "temperature difference", "K", "\"2 K\"" },
    [DIM_PRESSURE] = { "pressure", "Pa", "\"50 psi\" or \"345 kPa\"" },
    [DIM_FLOW] = { "flow", "m3/s", "\"190 mL/min\" or \"75 gal/day\"" },
    [DIM_VELOCITY] = { "velocity", "m/s", "\"0.1 m/s\"" },
    [DIM_MASS] = { "mass", "kg", "\"100 g\"" },
    [DIM_MASS_CONCENTRATION] = { "concentration", "kg/m3", "\"180 mg/L\"" },
    [DIM_EQUIVALENTS] = { "hardness or alkalinity", "eq/m3",
                          "\"150 mg/L as CaCO3\", \"3 meq/L\" or \"8.4 dH\"" },
    [DIM_CONDUCTIVITY] = { "conductivity", "S/m", "\"490 uS/cm\"" },
    [DIM_METER] = { "meter reading", "S/m", "\"245 ppm\" or \"490 uS/cm\"" },
    [DIM_CAPACITY] = { "resin capacity", "eq/m3", "\"1.2 eq/L\"" },
    [DIM_WATER_PERMEABILITY] = { "water permeability", "m/(s Pa)", "\"6.6 L/(m2 h bar)\"" },
    [DIM_RATE] = { "rate", "1/s", "\"25 /min\" or \"0.02 /yr\"" },
    [DIM_POWER] = { "power", "W", "\"20 W\"" },
    [DIM_PRICE] = { "price", "", "18" },
    [DIM_PRICE_PER_VOLUME] = { "price of water", "/m3", "\"3.2 /m3\"" },
    [DIM_PRICE_PER_ENERGY] = { "price of energy", "/J", "\"0.30 /kWh\"" },
    [DIM_RESISTANCE] = { "flow resistance", "Pa s/m3", "\"0.4 kPa/(L/min)\"" },
    [DIM_MOLAR] = { "concentration", "mol/m3", "\"40 mg/L\" or \"1 mmol/L\"" },
    [DIM_SALINITY] = { "salinity", "g/kg", "\"35 g/kg\"" },
};

const char *units_dimension_name(enum dimension d)
{
    return dimensions[d].name;
}

const char *units_si(enum dimension d)
{
    return dimensions[d].si;
}

const char *units_example(enum dimension d)
{
    return dimensions[d].example;
}

const struct substance *units_substance(const char *key)
{
    static const struct substance table[] = {
        { "sodium", 22.98977e-3, 1 },  { "potassium", 39.0983e-3, 1 },
        { "calcium", 40.078e-3, 2 },   { "magnesium", 24.305e-3, 2 },
        { "ammonium", 18.0385e-3, 1 }, { "chloride", 35.453e-3, 1 },
        { "sulfate", 96.0626e-3, 2 },  { "nitrate", 62.0049e-3, 1 },
        { "fluoride", 18.9984e-3, 1 }, { "bicarbonate", 61.0168e-3, 1 },
        { "silica", 60.0843e-3, 0 },   { "carbon_dioxide", 44.0095e-3, 0 },
        { "chlorine", 70.906e-3, 0 },  { "chloramine", 70.906e-3, 0 },
    };
    for (size_t i = 0; i < sizeof table / sizeof *table; i++)
        if (strcmp(table[i].name, key) == 0)
            return &table[i];
    return NULL;
}

void units_each(void (*see)(const char *, enum dimension, double, double, void *), void *data)
{
    for (size_t i = 0; i < UNIT_COUNT; i++)
        see(units[i].name, units[i].d, units[i].factor, units[i].offset, data);
}

/* ---- resolving ------------------------------------------------------------------------------- */

static const struct unit *find(const char *name, enum dimension d)
{
    for (size_t i = 0; i < UNIT_COUNT; i++)
        if (units[i].d == d && strcmp(units[i].name, name) == 0)
            return &units[i];
    return NULL;
}

/* A simple unit, or one over another. */
static bool resolve(const char *name, enum dimension d, struct unit *out)
{
    const struct unit *simple = find(name, d);
    if (simple != NULL) {
        *out = *simple;
        return true;
    }
    const char *stroke = strrchr(name, '/');
    if (stroke == NULL)
        return false;
    char above[UNITS_TEXT];
    snprintf(above, sizeof above, "%.*s", (int)(stroke - name), name);
    for (size_t i = 0; i < sizeof quotients / sizeof *quotients; i++) {
        if (quotients[i].whole != d)
            continue;
        const struct unit *a = find(above, quotients[i].above);
        const struct unit *b = find(stroke + 1, quotients[i].below);
        if (a == NULL || b == NULL)
            return false;
        *out = (struct unit){ name, d, a->factor / b->factor, 0.0 };
        return true;
    }
    return false;
}

/* Takes " as CaCO3" and the like off the end of a name. */
static bool cut_basis(char *name, const char *basis)
{
    const size_t n = strlen(name), m = strlen(basis);
    if (n <= m || strcmp(name + n - m, basis) != 0)
        return false;
    name[n - m] = '\0';
    return true;
}

/* Hardness and the like, by mass "as CaCO3". */
static bool resolve_equivalents(char *name, struct unit *out)
{
    if (resolve(name, DIM_EQUIVALENTS, out))
        return true;
    if (!cut_basis(name, " as CaCO3") || !resolve(name, DIM_MASS_CONCENTRATION, out))
        return false;
    out->factor /= CACO3_EQUIVALENT;
    return true;
}

/* kgr/ft3 as CaCO3 of a resin. */
static bool resolve_capacity(char *name, struct unit *out)
{
    if (resolve(name, DIM_CAPACITY, out))
        return true;
    if (!cut_basis(name, " as CaCO3") || !resolve(name, DIM_MASS_CONCENTRATION, out))
        return false;
    out->factor /= CACO3_EQUIVALENT;
    return true;
}

static bool has_nitrogen(const struct substance *of)
{
    return strcmp(of->name, "ammonium") == 0 || strcmp(of->name, "nitrate") == 0;
}

static bool has_chlorine(const struct substance *of)
{
    return strcmp(of->name, "chlorine") == 0 || strcmp(of->name, "chloramine") == 0;
}

/* An ion in mol/m3, by mass, or by charge. */
static bool resolve_molar(char *name, const struct substance *of, struct unit *out)
{
    if (resolve(name, DIM_MOLAR, out))
        return true;
    if (of == NULL)
        return false;
    if (of->charge != 0 && resolve_equivalents(name, out)) {
        out->factor /= of->charge;
        return true;
    }
    double molar_mass = of->molar_mass;
    if (has_nitrogen(of) && cut_basis(name, " as N"))
        molar_mass = NITROGEN;
    else if (has_chlorine(of) && cut_basis(name, " as Cl2"))
        molar_mass = CL2;
    if (!resolve(name, DIM_MASS_CONCENTRATION, out))
        return false;
    out->factor /= molar_mass;
    return true;
}

static bool resolve_meter(const char *name, double meter_factor, struct unit *out)
{
    if (!resolve(name, DIM_METER, out))
        return false;
    if (strcmp(name, "ppm") == 0 && meter_factor > 0.0)
        out->factor = 1e-3 / meter_factor;
    return true;
}

bool units_resolve(const char *name, enum dimension d, const struct units_hint *hint,
                   struct unit *out)
{
    char copy[UNITS_TEXT];
    text_copy(copy, sizeof copy, name);
    switch ((int)d) {
    case DIM_EQUIVALENTS:
        return resolve_equivalents(copy, out);
    case DIM_CAPACITY:
        return resolve_capacity(copy, out);
    case DIM_MOLAR:
        return resolve_molar(copy, hint == NULL ? NULL : hint->of, out);
    case DIM_METER:
        return resolve_meter(copy, hint == NULL ? 0.0 : hint->meter_factor, out);
    default:
        return resolve(copy, d, out);
    }
}

const char *units_nearest(const char *name, enum dimension d)
{
    struct nearest near = text_nearest_to(name);
    for (size_t i = 0; i < UNIT_COUNT; i++)
        if (units[i].d == d)
            text_nearest_try(&near, units[i].name);
    return near.name;
}
