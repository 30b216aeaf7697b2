/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * amount: see amount.h.  The factors are those of the units in units_table.c.
 */
#include "amount.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "text.h"

static const struct {
    enum dimension dimension;
    const char *metric, *us; /* units */
    int places;              /* of the second, more than of the first */
    const char *shown[2];    /* names for people if they are others; NULL: the same */
    const char *column;      /* end of the name of a column; NULL: there is none */
} kinds[AMOUNT_COUNT] = {
    [AMOUNT_LEVEL] = { DIM_LENGTH, "cm", "in", 1, { NULL, NULL }, "_cm" },
    [AMOUNT_THIN] = { DIM_LENGTH, "mm", "in", 2, { NULL, NULL }, "_mm" },
    [AMOUNT_WATER] = { DIM_VOLUME, "L", "gal", 1, { NULL, NULL }, "_L" },
    [AMOUNT_A_DAY] = { DIM_FLOW, "L/day", "gal/day", 1, { NULL, NULL }, "_L_day" },
    [AMOUNT_FLOW] = { DIM_FLOW, "mL/min", "gal/day", 1, { NULL, NULL }, "_mL_min" },
    [AMOUNT_PRESSURE] = { DIM_PRESSURE, "kPa", "psi", 1, { NULL, NULL }, "_kPa" },
    [AMOUNT_BAR] = { DIM_PRESSURE, "bar", "psi", -1, { NULL, NULL }, "_bar" },
    [AMOUNT_TEMPERATURE] = { DIM_TEMPERATURE, "degC", "degF", 0, { NULL, NULL }, "_degC" },
    [AMOUNT_PRICE] = { DIM_PRICE_PER_VOLUME, "/L", "/gal", 0, { "", "" }, NULL },
    [AMOUNT_PRICE_BULK] = { DIM_PRICE_PER_VOLUME, "/m3", "/gal", 0, { "m3", "gal" }, NULL },
    [AMOUNT_PERCENT] = { DIM_NONE, "%", "%", 0, { NULL, NULL }, NULL },
};

static struct quantity one(const char *unit, enum dimension d)
{
    char text[UNITS_TEXT];
    struct quantity q = { .factor = 1.0 };
    struct units_error error;
    snprintf(text, sizeof text, "1 %s", unit);
    units_parse(text, d, NULL, &q, &error);
    return q;
}

struct amount_unit amount_unit_in(enum taste taste, enum amount kind)
{
    const bool us = taste == TASTE_US;
    const char *unit = us ? kinds[kind].us : kinds[kind].metric, *name = kinds[kind].shown[us];
    struct amount_unit u = { .name = name ? name : unit, .factor = 1.0 };
    if (us) {
        const struct quantity from = one(kinds[kind].metric, kinds[kind].dimension);
        const struct quantity to = one(unit, kinds[kind].dimension);
        u.factor = from.factor / to.factor;
        u.offset = -to.offset;
        u.places = kinds[kind].places;
    }
    return u;
}

const char *amount_unit(enum amount kind)
{
    return amount_unit_in(units_taste(), kind).name;
}

static double convert(const struct amount_unit *u, double metric)
{
    return metric * u->factor + u->offset;
}

double amount_number(enum amount kind, double metric)
{
    const struct amount_unit u = amount_unit_in(units_taste(), kind);
    return convert(&u, metric);
}

/* From a hundred on the places of the metric unit are enough. */
static int places_of(const struct amount_unit *u, double shown, int places)
{
    const int all = places + (u->places > 0 && fabs(shown) >= 99.95 ? 0 : u->places);
    return all > 0 ? all : 0;
}

char *amount_words_in(enum taste taste, enum amount kind, double metric, int places,
                      char out[AMOUNT_CELL])
{
    const struct amount_unit u = amount_unit_in(taste, kind);
    const double shown = convert(&u, metric);
    snprintf(out, AMOUNT_CELL, "%.*f %s", places_of(&u, shown, places), shown, u.name);
    return out;
}

char *amount_words(enum amount kind, double metric, int places, char out[AMOUNT_CELL])
{
    return amount_words_in(units_taste(), kind, metric, places, out);
}

char *amount_bare(enum amount kind, double metric, int places, char out[AMOUNT_CELL])
{
    const struct amount_unit u = amount_unit_in(units_taste(), kind);
    const double shown = convert(&u, metric);
    snprintf(out, AMOUNT_CELL, "%.*f", places_of(&u, shown, places), shown);
    return out;
}

char *amount_volume_in(enum taste taste, double volume, char out[AMOUNT_CELL])
{
    static const double FEW = 0.2495; /* of the large unit: less is told in the small one */
    const bool us = taste == TASTE_US;
    const double litres = 1e3 * volume;
    const double many = us ? litres * amount_unit_in(taste, AMOUNT_WATER).factor : litres;
    const double size = fabs(many);
    const char *unit = us ? "gal" : "L";
    if (fabs(litres) < 5e-4)
        snprintf(out, AMOUNT_CELL, "0 %s", unit);
    else if (size < (us ? FEW : 0.9995))
        snprintf(out, AMOUNT_CELL, "%.3g %s", us ? 128.0 * many : 1e3 * litres,
                 us ? "fl oz" : "mL");
    else
        snprintf(out, AMOUNT_CELL, "%.*f %s", size < 9.995 ? 2 : size < 99.95 ? 1 : 0, many, unit);
    return out;
}

const char *amount_one(void)
{
    return amount_one_in(units_taste());
}

const char *amount_one_in(enum taste taste)
{
    return taste == TASTE_US ? "gallon" : "litre";
}

/* "silica_mg_L" is no volume and "feed_uS_cm" no length. */
static bool is_share(const char *name, size_t end)
{
    static const char *const above[] = { "_mg", "_g",   "_ug",   "_kg", "_meq",
                                         "_eq", "_mol", "_mmol", "_uS", "_mS" };
    for (size_t i = 0; i < sizeof above / sizeof above[0]; i++) {
        const size_t n = strlen(above[i]);
        if (n <= end && strncmp(name + end - n, above[i], n) == 0)
            return true;
    }
    return false;
}

enum amount amount_of_column(const char *name, size_t *stem)
{
    const size_t length = strlen(name);
    enum amount found = AMOUNT_COUNT;
    size_t longest = 0; /* "_L_day" is no day and no "_day" of something */
    for (int k = 0; k < AMOUNT_COUNT; k++) {
        const size_t n = kinds[k].column ? strlen(kinds[k].column) : 0;
        if (n > longest && n < length && strcmp(name + length - n, kinds[k].column) == 0 &&
            !is_share(name, length - n)) {
            found = (enum amount)k;
            longest = n;
        }
    }
    *stem = length - longest + (longest > 0);
    return found;
}
