/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * units: reads "52 psi" and writes it.  Page: docs/scenario.md.
 */
#include "units.h"

#include <ctype.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "text.h"
#include "units_inner.h"

/* Between these a number of four digits is written out. */
static const double PLAIN_LEAST = 9999.5, PLAIN_MOST = 1e9;

/* ---- numbers --------------------------------------------------------------------------------- */

static const char *skip_digits(const char *p, int *count)
{
    for (; isdigit((unsigned char)*p); p++)
        (*count)++;
    return p;
}

/* Whether the mantissa has a digit other than 0. */
static bool has_digit(const char *text, const char *end)
{
    for (; text < end && *text != 'e' && *text != 'E'; text++)
        if (*text >= '1' && *text <= '9')
            return true;
    return false;
}

bool units_number(const char *text, double *out, const char **end)
{
    int digits = 0;
    const char *p = text + (*text == '+' || *text == '-');
    p = skip_digits(p, &digits);
    if (*p == '.')
        p = skip_digits(p + 1, &digits);
    if (digits == 0)
        return false;
    if (*p == 'e' || *p == 'E') {
        int exponent = 0;
        const char *q = skip_digits(p + 1 + (p[1] == '+' || p[1] == '-'), &exponent);
        if (exponent > 0)
            p = q;
    }
    *end = p;
    char *stop;
    *out = strtod(text, &stop);
    /* 1e-400 is not nothing */
    const bool vanished = *out == 0.0 && has_digit(text, p);
    return stop == p && isfinite(*out) && !vanished;
}

/* ---- names ----------------------------------------------------------------------------------- */

/* Foreign letters and their plain forms. */
static const struct {
    const char *from, *to;
} plain[] = {
    { "\xc2\xb5", "u" }, { "\xce\xbc", "u" }, { "\xc2\xb0", "deg" },
    { "\xc2\xb2", "2" }, { "\xc2\xb3", "3" }, { "\xc2\xb7", " " },
};

/* Plain letters, single blanks, none round a stroke or a bracket; "degdH" is "dH". */
static bool normalise(const char *text, char out[UNITS_TEXT])
{
    size_t n = 0;
    while (*text != '\0' && n + 4 < UNITS_TEXT) {
        bool replaced = false;
        for (size_t i = 0; i < sizeof plain / sizeof *plain && !replaced; i++) {
            const size_t length = strlen(plain[i].from);
            if (strncmp(text, plain[i].from, length) == 0) {
                const size_t added = strlen(plain[i].to);
                memcpy(out + n, plain[i].to, added);
                n += added;
                text += length;
                replaced = true;
            }
        }
        if (replaced)
            continue;
        const char c = *text++;
        const bool tight = n == 0 || strchr("/( ", out[n - 1]) != NULL;
        if (c == ' ' && tight && !(n == 0 && *text == '/'))
            continue;
        if (strchr("/()", c) != NULL)
            while (c != '(' && n > 0 && out[n - 1] == ' ')
                n--;
        out[n++] = c;
    }
    while (n > 0 && out[n - 1] == ' ')
        n--;
    out[n] = '\0';
    if (strcmp(out, "degdH") == 0 || strcmp(out, "degfH") == 0)
        memmove(out, out + 3, 3);
    return *text == '\0';
}

/* ---- parsing --------------------------------------------------------------------------------- */

static bool complain(struct units_error *e, const char *cure, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

static bool complain(struct units_error *e, const char *cure, const char *format, ...)
{
    e->what[0] = e->cure[0] = '\0';
    text_copy(e->cure, sizeof e->cure, cure);
    va_list args;
    va_start(args, format);
    vsnprintf(e->what, sizeof e->what, format, args);
    va_end(args);
    return false;
}

static bool complain_number(const char *text, enum dimension d, struct units_error *e)
{
    char cure[UNITS_WORDS] = "";
    text_append(cure, sizeof cure, "write %s", units_example(d));
    if (*text == '\0')
        return complain(e, cure, "an empty text is no %s", units_dimension_name(d));
    if (text[0] == '0' && (text[1] == 'x' || text[1] == 'X'))
        return complain(e, cure, "\"%.40s\" is not a decimal number", text);
    double number;
    const char *end = text;
    if (!units_number(text, &number, &end) && end != text)
        return complain(e, cure, "\"%.40s\" is too large or too small a number", text);
    return complain(e, cure, "\"%.40s\" does not begin with a number", text);
}

static bool complain_unit(const char *name, enum dimension d, struct units_error *e)
{
    char cure[UNITS_WORDS] = "";
    text_append(cure, sizeof cure, "write %s", units_example(d));
    if (name[0] == '\0')
        return complain(e, cure, "a bare number, but a %s needs its unit", units_dimension_name(d));
    struct unit other;
    const bool by_mass = units_resolve(name, DIM_MASS_CONCENTRATION, NULL, &other);
    if (d == DIM_EQUIVALENTS && by_mass)
        return complain(e, cure,
                        "\"%s\" does not say of what: hardness and alkalinity are counted "
                        "as CaCO3, in degrees or in equivalents",
                        name);
    for (int i = 0; i < DIM_ALL; i++)
        if (i != (int)d && units_resolve(name, (enum dimension)i, NULL, &other))
            return complain(e, cure, "\"%s\" is a unit of %s, not of %s", name,
                            units_dimension_name((enum dimension)i), units_dimension_name(d));
    const char *near = units_nearest(name, d);
    if (near != NULL)
        return complain(e, cure, "unknown unit \"%s\": did you mean \"%s\"?", name, near);
    return complain(e, cure, "unknown unit \"%s\" of %s", name, units_dimension_name(d));
}

bool units_parse(const char *text, enum dimension d, const struct units_hint *hint,
                 struct quantity *out, struct units_error *error)
{
    while (*text == ' ')
        text++;
    double number;
    const char *end;
    if (!units_number(text, &number, &end))
        return complain_number(text, d, error);
    if (*end == ',')
        return complain(error, "for example 1.5, and no comma in 1500",
                        "\"%.40s\" has a comma: numbers have a decimal point", text);
    char name[UNITS_TEXT];
    if (!normalise(end, name))
        return complain(error, "", "\"%.40s...\" is too long for a unit", end);
    struct unit u;
    if (!units_resolve(name, d, hint, &u))
        return complain_unit(name, d, error);
    *out = (struct quantity){ .si = (number + u.offset) * u.factor,
                              .factor = u.factor,
                              .offset = u.offset };
    text_copy(out->unit, sizeof out->unit, name);
    if (isfinite(out->si))
        return true;
    return complain(error, "", "\"%.40s\" is too large a number", text);
}

/* ---- writing --------------------------------------------------------------------------------- */

static enum taste present = TASTE_METRIC;

void units_set_taste(enum taste taste)
{
    present = taste;
}

enum taste units_taste(void)
{
    return present;
}

const char *units_taste_name(int taste)
{
    return taste == TASTE_METRIC ? "metric" : taste == TASTE_US ? "us" : NULL;
}

/* Units for people, small to large: the last one of which there are at least so many is taken.
 * Laboratories count in mg/L, meq/L, eq/L and uS/cm everywhere. */
static const struct {
    enum dimension d;
    const char *unit, *us; /* NULL: none there */
    double least, us_least;
} shown[] = {
    { DIM_LENGTH, "um", "um", 0.0, 0.0 },
    { DIM_LENGTH, "mm", NULL, 1.0, 0.0 },
    { DIM_LENGTH, "cm", "in", 1.0, 0.03 },
    { DIM_LENGTH, "m", "ft", 1.0, 6.0 },
    { DIM_AREA, "cm2", "sq in", 0.0, 0.0 },
    { DIM_AREA, "m2", "sq ft", 0.01, 1.0 },
    { DIM_VOLUME, "mL", "fl oz", 0.0, 0.0 },
    { DIM_VOLUME, "L", "gal", 1.0, 0.25 },
    { DIM_TIME, "s", "s", 0.0, 0.0 },
    { DIM_TIME, "min", "min", 1.0, 1.0 },
    { DIM_TIME, "h", "h", 1.0, 1.0 },
    { DIM_TIME, "days", "days", 1.0, 1.0 },
    { DIM_TEMPERATURE, "degC", "degF", 0.0, 0.0 },
    { DIM_TEMPERATURE_DIFFERENCE, "K", "degF", 0.0, 0.0 },
    { DIM_TEMPERATURE_DIFFERENCE, NULL, "K", 0.0, 200.0 }, /* exponents of physics */
    { DIM_PRESSURE, "Pa", "psi", 0.0, 0.0 },
    { DIM_PRESSURE, "kPa", NULL, 1.0, 0.0 },
    { DIM_FLOW, "mL/min", "gal/day", 0.0, 0.0 },
    { DIM_FLOW, "L/min", "gal/min", 1.0, 0.25 },
    { DIM_VELOCITY, "um/s", "um/s", 0.0, 0.0 },
    { DIM_VELOCITY, "m/s", "ft/s", 0.001, 0.003 },
    { DIM_MASS, "mg", "mg", 0.0, 0.0 },
    { DIM_MASS, "g", "oz", 1.0, 0.03 },
    { DIM_MASS, "kg", "lb", 1.0, 1.0 },
    { DIM_MASS_CONCENTRATION, "mg/L", "mg/L", 0.0, 0.0 },
    { DIM_EQUIVALENTS, "meq/L", "meq/L", 0.0, 0.0 },
    { DIM_CONDUCTIVITY, "uS/cm", "uS/cm", 0.0, 0.0 },
    { DIM_METER, "uS/cm", "uS/cm", 0.0, 0.0 },
    { DIM_CAPACITY, "eq/L", "eq/L", 0.0, 0.0 },
    { DIM_WATER_PERMEABILITY, "L/(m2 h bar)", "gal/(sq ft day psi)", 0.0, 0.0 },
    { DIM_RATE, "/yr", "/yr", 0.0, 0.0 },
    { DIM_RATE, "1/s", "1/s", 1e-4, 1e-4 },
    { DIM_PRICE_PER_VOLUME, "/m3", "/gal", 0.0, 0.0 },
    { DIM_PRICE_PER_ENERGY, "/kWh", "/kWh", 0.0, 0.0 },
    { DIM_RESISTANCE, "kPa/(L/min)", "psi/gpm", 0.0, 0.0 },
    { DIM_MOLAR, "mmol/L", "mmol/L", 0.0, 0.0 },
};

char *units_format(double si, enum dimension d, char *out, size_t size)
{
    return units_format_in(present, si, d, out, size);
}

char *units_format_in(enum taste taste, double si, enum dimension d, char *out, size_t size)
{
    struct quantity best = { .factor = 1.0 };
    text_copy(best.unit, sizeof best.unit, units_si(d));
    for (size_t i = 0; i < sizeof shown / sizeof *shown; i++) {
        const char *name = taste == TASTE_US ? shown[i].us : shown[i].unit;
        const double least = taste == TASTE_US ? shown[i].us_least : shown[i].least;
        struct unit u;
        if (shown[i].d != d || name == NULL || !units_resolve(name, d, NULL, &u))
            continue;
        /* a hair below 1 is still 1: 60 s are a minute; nothing is shown in the large unit */
        if (si == 0.0 || u.offset != 0.0 || fabs(si) >= least * u.factor * (1.0 - 1e-9)) {
            best.factor = u.factor;
            best.offset = u.offset;
            text_copy(best.unit, sizeof best.unit, name);
        }
    }
    return units_format_like(si, &best, out, size);
}

char *units_format_like(double si, const struct quantity *like, char *out, size_t size)
{
    const char *gap = like->unit[0] == '\0' ? "" : " ";
    const double value = si / like->factor - like->offset;
    char number[UNITS_TEXT];
    snprintf(number, sizeof number, "%.4g", value);
    if (fabs(value) >= PLAIN_LEAST && fabs(value) < PLAIN_MOST) /* 36600, not 3.66e+04 */
        snprintf(number, sizeof number, "%.0f", strtod(number, NULL));
    snprintf(out, size, "%s%s%s", number, gap, like->unit);
    return out;
}

char *units_exact(double si, enum dimension d, char *out, size_t size)
{
    const char *gap = units_si(d)[0] == '\0' ? "" : " ";
    /* 17 digits always do; fewer often, and read better */
    for (int digits = 15; digits <= 17; digits++) {
        char number[UNITS_TEXT];
        snprintf(number, sizeof number, "%.*g", digits, si);
        snprintf(out, size, "%s%s%s", number, gap, units_si(d));
        if (strtod(number, NULL) == si)
            break;
    }
    return out;
}
