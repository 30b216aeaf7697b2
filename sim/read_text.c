/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * read_text: what a person writes of three meters, and what is plainly wrong with it.  Page:
 * docs/read.md.
 */
#include <math.h>
#include <string.h>

#include "amount.h"
#include "read.h"
#include "sizing.h"
#include "text.h"
#include "units.h"

enum { PART = 64 };

struct read_given read_nothing(const struct meter *meter)
{
    struct read_given g;
    for (int k = 0; k < LOOK_COUNT; k++)
        g.value[k] = NAN;
    for (int i = 0; i < READ_METERS; i++)
        g.digit[i] = meter->resolution;
    return g;
}

bool read_anything(const struct read_given *given)
{
    for (int k = 0; k < LOOK_READABLE; k++)
        if (!isnan(given->value[k]))
            return true;
    return false;
}

static bool fault(char words[READ_WORDS], const char *what, const char *text, const char *cure)
{
    char shown[PART * 2];
    words[0] = '\0';
    text_append(words, READ_WORDS, "%s%s%s%s; %s", what, text ? " \"" : "",
                text ? text_escape(text, shown, sizeof shown) : "", text ? "\"" : "", cure);
    return false;
}

/* Splits at commas, blanks at the ends left out; the number of parts, or one more than there is
 * room for. */
static int split(const char *text, char part[READ_METERS][PART])
{
    int n = 0;
    for (const char *at = text;; n++) {
        const size_t length = strcspn(at, ",");
        const char *from = at + strspn(at, " ");
        const char *to = at + length;
        while (to > from && to[-1] == ' ')
            to--;
        const size_t size = to > from ? (size_t)(to - from) : 0;
        if (n == READ_METERS || size >= PART)
            return READ_METERS + 1;
        memcpy(part[n], from, size);
        part[n][size] = '\0';
        if (at[length] == '\0')
            return n + 1;
        at += length + 1;
    }
}

static bool is_left_out(const char *part)
{
    return part[0] == '\0' || strcmp(part, "-") == 0;
}

/* The last digit as written, in the unit as written. */
static double last_digit(const char *part)
{
    const char *point = strchr(part, '.');
    return point ? pow(10.0, -(double)strspn(point + 1, "0123456789")) : 1.0;
}

static bool read_one(const struct meter *meter, const char *part, bool bare, double *value,
                     double *digit, char words[READ_WORDS])
{
    const struct units_hint hint = { .meter_factor = meter->factor };
    struct quantity q;
    struct units_error error;
    char text[PART + 4] = "";
    text_append(text, sizeof text, "%s%s", part, bare ? " ppm" : "");
    if (!units_parse(text, DIM_METER, &hint, &q, &error))
        return fault(words, "no reading of a meter:", part,
                     "write \"245,13,0\" or \"490 uS/cm,26 uS/cm,0 uS/cm\"");
    if (q.si < 0.0)
        return fault(words, "a reading below nothing:", part,
                     "no meter shows that; write 0, or a dash");
    *value = meter->factor * q.si;
    *digit = fmin(*digit, meter->factor * q.factor * last_digit(part));
    return true;
}

static bool is_bare(const char *part)
{
    double number;
    const char *end;
    return units_number(part, &number, &end) && *end == '\0';
}

/* What no line can show. */
static bool in_order(const struct read_given *g, char words[READ_WORDS])
{
    const double feed = g->value[LOOK_FEED];
    if (g->value[LOOK_PRODUCT] > feed)
        return fault(words, "the product reads higher than the feed", NULL,
                     "the order is FEED,PERMEATE,PRODUCT: are they mixed up?");
    if (g->value[LOOK_PERMEATE] > feed)
        return fault(words, "the permeate reads higher than the feed", NULL,
                     "the order is FEED,PERMEATE,PRODUCT: are they mixed up?");
    return true;
}

bool read_meters(const struct meter *meter, const char *text, struct read_given *out,
                 char words[READ_WORDS])
{
    char part[READ_METERS][PART];
    int bare = 0, given = 0;
    *out = read_nothing(meter);
    if (split(text, part) != READ_METERS)
        return fault(words, "three readings are needed, not", text,
                     "write FEED,PERMEATE,PRODUCT, such as 245,13,0, and a dash for one not read");
    for (int i = 0; i < READ_METERS; i++) {
        given += !is_left_out(part[i]);
        bare += !is_left_out(part[i]) && is_bare(part[i]);
    }
    for (int i = 0; i < READ_METERS; i++)
        if (!is_left_out(part[i]) &&
            !read_one(meter, part[i], is_bare(part[i]), &out->value[i], &out->digit[i], words))
            return false;
    if (bare != 0 && bare != given)
        return fault(words, "readings with and without a unit:", text,
                     "write the unit at each, or at none (then all are ppm on the plant's meter)");
    return in_order(out, words);
}

/* ---- one measurement more ---------------------------------------------------------------------
 */

static const double CACO3_EQUIVALENT = 0.05004345; /* kg per mol of charge */

static enum look look_named(const char *key, size_t length, struct nearest *near)
{
    char word[PART] = "";
    text_append(word, sizeof word, "%.*s", (int)length, key);
    *near = text_nearest_to(word);
    for (int k = 0; k < LOOK_READABLE; k++) {
        text_nearest_try(near, read_instruments[k].key);
        if (strcmp(word, read_instruments[k].key) == 0)
            return (enum look)k;
    }
    return LOOK_COUNT;
}

static const double COLDEST = 0.5, HOTTEST = 45.0; /* degC of a feed */

/* A value that is no reading of the plant's meter. */
static bool read_other(enum look what, const char *text, double *value, char words[READ_WORDS])
{
    const enum dimension d =
        what == LOOK_HARDNESS ? DIM_EQUIVALENTS : read_instruments[what].dimension;
    const struct units_hint hint = { 0 };
    struct quantity q;
    struct units_error error;
    if (!units_parse(text, d, &hint, &q, &error)) {
        words[0] = '\0';
        text_append(words, READ_WORDS, "%s: %s; %s", read_instruments[what].key, error.what,
                    error.cure);
        return false;
    }
    if (q.si < 0.0 && what != LOOK_TEMPERATURE)
        return fault(words, "less than nothing:", text, "look at the sign");
    if (what == LOOK_PRESSURE && q.si <= 0.0)
        return fault(words, "no water is made at", text,
                     "give the pressure with the water running");
    if (what == LOOK_TEMPERATURE && (q.si < COLDEST || q.si > HOTTEST)) {
        char cure[80];
        snprintf(cure, sizeof cure, "it is %.4g to %.4g %s",
                 amount_number(AMOUNT_TEMPERATURE, COLDEST),
                 amount_number(AMOUNT_TEMPERATURE, HOTTEST), amount_unit(AMOUNT_TEMPERATURE));
        return fault(words, "no temperature of a feed:", text, cure);
    }
    *value = what == LOOK_HARDNESS ? CACO3_EQUIVALENT * q.si : q.si;
    return true;
}

bool read_also(const struct meter *meter, const char *text, struct read_given *out,
               char words[READ_WORDS])
{
    const size_t length = strcspn(text, "=");
    const char *value = text[length] == '=' ? text + length + 1 : "";
    struct nearest near;
    const enum look what = look_named(text, length, &near);
    if (what == LOOK_COUNT || strlen(value) >= PART) {
        char cure[READ_WORDS] = "";
        text_append(cure, sizeof cure, "did you mean %s? leat read --help names them all",
                    near.name ? near.name : "silica, hardness or ph");
        return fault(words, "no such measurement:", text, cure);
    }
    if (!isnan(out->value[what]))
        return fault(words, "measured twice:", read_instruments[what].key, "leave one of them out");
    double digit = INFINITY;
    return read_instruments[what].dimension == DIM_METER
               ? read_one(meter, value, is_bare(value), &out->value[what], &digit, words)
               : read_other(what, value, &out->value[what], words);
}

/* ---- what was read and found, in words --------------------------------------------------------
 */

static char *with_unit(double value, const char *unit, char out[READ_CELL])
{
    const double size = fabs(value);
    snprintf(out, READ_CELL, "%.*f %s", size >= 10.0 ? 0 : size >= 1.0 ? 1 : 2, value, unit);
    return out;
}

static void number(double value, char out[READ_CELL])
{
    if (fabs(value) >= 100.0)
        snprintf(out, READ_CELL, "%.0f", value);
    else
        snprintf(out, READ_CELL, "%.2g", value);
    if (strchr(out, 'e'))
        snprintf(out, READ_CELL, "%.4f", value);
}

char *read_value(enum look what, double value, char out[READ_CELL])
{
    switch (what) {
    case LOOK_FLOW:
    case LOOK_DRAIN:
        return with_unit(amount_number(AMOUNT_FLOW, 60e6 * value), amount_unit(AMOUNT_FLOW), out);
    case LOOK_PRESSURE:
        return with_unit(amount_number(AMOUNT_PRESSURE, 1e-3 * value), amount_unit(AMOUNT_PRESSURE),
                         out);
    case LOOK_TEMPERATURE:
        snprintf(out, READ_CELL, "%.1f %s", amount_number(AMOUNT_TEMPERATURE, value),
                 amount_unit(AMOUNT_TEMPERATURE));
        return out;
    case LOOK_PH:
        snprintf(out, READ_CELL, "pH %.1f", value);
        return out;
    case LOOK_HARDNESS:
    case LOOK_SILICA:
    case LOOK_CARBON:
    case LOOK_PERMEATE_CO2:
    case LOOK_OXIDANT:
        return with_unit(1e3 * value, "mg/L", out);
    default:
        return with_unit(1e3 * value, "ppm", out);
    }
}

char *read_width(enum look what, double value, char out[READ_CELL])
{
    if (what != LOOK_TEMPERATURE)
        return read_value(what, value, out);
    snprintf(out, READ_CELL, "%.1f %s",
             amount_number(AMOUNT_TEMPERATURE, value) - amount_number(AMOUNT_TEMPERATURE, 0.0),
             amount_unit(AMOUNT_TEMPERATURE));
    return out;
}

bool read_is_due(const struct read_found *f, int stage)
{
    static const double OXIDANT = 0.1e-3; /* kg/m3 Cl2 at the membrane, as in sizing */
    const struct plant *p = f->place.plant;
    const struct stage *s = &p->train[stage];
    const double *value = f->cause[0].node[0].value;
    if (s->kind == &stage_carbon && stage < p->membrane)
        return value[LOOK_OXIDANT] >= OXIDANT;
    if (s->kind == &stage_resin)
        return stage == p->stages - 1 &&
               value[LOOK_PRODUCT] >= sizing_product_limit(&f->scenario->plan);
    if (s->kind == &stage_membrane && value[LOOK_PERMEATE] > f->scenario->plan.limits.permeate)
        return true;
    return (s->kind == &stage_membrane || s->kind == &stage_sediment) &&
           s->kind->used(&s->params, &f->place.state->stage[stage]) >= 1.0;
}

char *read_title(const struct read_found *f, const struct read_cause *c, char out[READ_WORDS])
{
    int due = 0;
    out[0] = '\0';
    for (int k = 0; c == &f->cause[0] && k < f->place.plant->stages; k++)
        if (read_is_due(f, k))
            text_append(out, READ_WORDS, "%s%s", due++ ? ", " : "nothing but what is due by now: ",
                        f->place.plant->train[k].name);
    if (due == 0)
        text_append(out, READ_WORDS, "%s", c->row->title);
    return out;
}

char *read_size(const struct read_cause *c, enum taste taste, char out[READ_WORDS])
{
    static const double DEGF = 1.8; /* per K */
    char best[READ_CELL], low[READ_CELL], high[READ_CELL], range[READ_CELL * 4];
    out[0] = '\0';
    if (!c->row->size)
        return out;
    const bool warmth = taste == TASTE_US && strstr(c->row->size, "%s K");
    const double scale = c->row->scale * (warmth ? DEGF : 1.0);
    number(scale * c->middle, best);
    number(scale * (scale < 0.0 ? c->high : c->low), low);
    number(scale * (scale < 0.0 ? c->low : c->high), high);
    snprintf(range, sizeof range, "%s (%s to %s)", best, low, high);
    const char *place = strstr(c->row->size, "%s");
    text_append(out, READ_WORDS, "%.*s%s%s", (int)(place - c->row->size), c->row->size, range,
                warmth ? " degF" : place + 2);
    return out;
}

/* Root mean square of the misses, in errors. */
const char *read_fits(const struct read_cause *c)
{
    return c->misses <= 1.0   ? "fits well"
           : c->misses <= 1.7 ? "fits"
           : c->misses <= 2.5 ? "fits poorly"
                              : "does not fit";
}
