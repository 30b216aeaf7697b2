/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * any_value: random values of fields, with the units that people write.
 */
#include <math.h>
#include <string.h>

#include "any_inner.h"
#include "fixture.h"

/* ---- chance */

bool any_chance(struct maker *m, double share)
{
    return fixture_random(&m->random) < share;
}

int any_pick(struct maker *m, int count)
{
    return (int)(fixture_random(&m->random) * count);
}

double any_between(struct maker *m, double low, double high)
{
    return low + (high - low) * fixture_random(&m->random);
}

double any_log(struct maker *m, double low, double high)
{
    return low * pow(high / low, fixture_random(&m->random));
}

/* ---- a number */

/* Between two ends, of which one may be far from the other. */
static double spread(struct maker *m, double low, double high)
{
    if (low > 0.0 && any_chance(m, 0.5))
        return any_log(m, low, high);
    if (low == 0.0 && high > 0.0 && any_chance(m, 0.5))
        return high * any_log(m, 1e-3, 1.0);
    return any_between(m, low, high);
}

static double draw_number(struct maker *m, const struct field *f)
{
    const double low = fmax(f->low, f->min), high = fmin(f->high, f->max);
    if (!any_chance(m, m->bold))
        return spread(m, low, high);
    return any_chance(m, 0.5) ? spread(m, f->min, low) : spread(m, high, f->max);
}

/* Whether a text is read as a value that the field may have. */
static bool reads(const char *text, const struct field *f)
{
    const struct units_hint hint = { units_substance(f->key), 0.0 };
    struct quantity q;
    struct units_error e;
    return units_parse(text, f->dimension, &hint, &q, &e) && q.si >= f->min && q.si <= f->max;
}

/* One unit of a dimension, each as likely as the other. */
struct lot {
    struct maker *m;
    enum dimension d;
    int seen;
    struct quantity unit;
};

static void draw_unit(const char *name, enum dimension d, double factor, double offset, void *data)
{
    struct lot *lot = data;
    if (d != lot->d || !any_chance(lot->m, 1.0 / ++lot->seen))
        return;
    lot->unit = (struct quantity){ .factor = factor, .offset = offset };
    snprintf(lot->unit.unit, sizeof lot->unit.unit, "%s", name);
}

static void write_number(struct maker *m, const struct field *f, double si, char text[UNITS_TEXT])
{
    struct lot lot = { .m = m, .d = f->dimension };
    units_format(si, f->dimension, text, UNITS_TEXT);
    if (any_chance(m, 0.4)) {
        units_each(draw_unit, &lot);
        if (lot.seen > 0)
            units_format_like(si, &lot.unit, text, UNITS_TEXT);
    }
    if (any_chance(m, 0.05) || !reads(text, f))
        units_exact(si, f->dimension, text, UNITS_TEXT);
}

static void put_number(struct maker *m, const struct field *f, double si)
{
    char text[UNITS_TEXT];
    const char *end;
    double number;
    write_number(m, f, si, text);
    if (units_number(text, &number, &end) && *end == '\0')
        any_put(m->text, f->key, "%s", text);
    else if (f->dimension != DIM_TEMPERATURE && si > 0.0 && any_chance(m, 0.02))
        any_put(m->text, f->key, "{ value = \"%s\"; sd = \"%s\"; }", text, text);
    else
        any_quoted(m, f->key, text);
}

/* ---- fields */

void any_quoted(struct maker *m, const char *key, const char *text)
{
    any_put(m->text, key, "\"%s\"", text);
}

const struct field *any_field(const struct field *fields, const char *key)
{
    while (fields->key != NULL && strcmp(fields->key, key) != 0)
        fields++;
    return fields->key != NULL ? fields : NULL;
}

int any_words(const char *const words[])
{
    int count = 0;
    while (words[count] != NULL)
        count++;
    return count;
}

void any_number(struct maker *m, const struct field *fields, const char *key, double si)
{
    const struct field *f = any_field(fields, key);
    if (f != NULL)
        put_number(m, f, fmin(fmax(si, f->min), f->max));
}

void any_value(struct maker *m, const struct field *f)
{
    switch (f->type) {
    case FIELD_NUMBER:
        put_number(m, f, draw_number(m, f));
        break;
    case FIELD_COUNT:
        any_put(m->text, f->key, "%d", (int)draw_number(m, f));
        break;
    case FIELD_FLAG:
        any_put(m->text, f->key, "%s", any_chance(m, 0.5) ? "true" : "false");
        break;
    case FIELD_CHOICE:
        any_quoted(m, f->key, f->choices[any_pick(m, any_words(f->choices))]);
        break;
    }
}

void any_fields(struct maker *m, const struct field *fields, const char *const leave_out[])
{
    for (const struct field *f = fields; f->key != NULL; f++) {
        bool skip = !isnan(f->preset) && !any_chance(m, m->share);
        for (int i = 0; leave_out != NULL && leave_out[i] != NULL; i++)
            skip = skip || strcmp(leave_out[i], f->key) == 0;
        if (!skip)
            any_value(m, f);
    }
}

/* ---- what swings */

/* A value with half a swing; 0.4 of the room that it has, so that two of them fit in. */
static void put_swing(struct maker *m, const struct field *f, const char *key, double room)
{
    struct field swing = *f;
    swing.key = key;
    swing.min = 0.0;
    if (f->dimension == DIM_TEMPERATURE)
        swing.dimension = DIM_TEMPERATURE_DIFFERENCE;
    put_number(m, &swing, any_between(m, 0.0, 0.4 * room));
}

static void put_as(struct maker *m, const struct field *f, const char *key, double si)
{
    struct field other = *f;
    other.key = key;
    put_number(m, &other, si);
}

void any_cycle(struct maker *m, const struct field *f)
{
    const double mean = draw_number(m, f), room = 0.98 * fmin(mean - f->min, f->max - mean);
    if (any_chance(m, 0.6)) {
        put_number(m, f, mean);
        return;
    }
    any_open(m->text, ANY_GROUP, f->key);
    if (any_chance(m, 0.5)) {
        put_as(m, f, "winter", mean);
        put_as(m, f, "summer", draw_number(m, f));
    } else {
        put_as(m, f, "mean", mean);
        if (any_chance(m, 0.7))
            put_swing(m, f, "season", room);
        if (any_chance(m, 0.7))
            put_swing(m, f, "daily", room);
        if (any_chance(m, 0.5))
            any_put(m->text, "peak_day", "%d", any_pick(m, 366));
        if (any_chance(m, 0.5))
            any_put(m->text, "peak_hour", "%.1f", any_between(m, 0.0, 24.0));
    }
    any_close(m->text);
}
