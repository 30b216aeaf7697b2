/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * reader: from a group of keys and a table of fields to numbers in a struct.
 */
#include "reader.h"

#include <string.h>

#include "text.h"

enum { WORDS_MAX = 512 };

/* ---- values ---------------------------------------------------------------------------------- */

static void store(const struct field *f, void *base, double value)
{
    char *at = (char *)base + f->offset;
    if (f->type == FIELD_NUMBER)
        memcpy(at, &value, sizeof value);
    else if (f->type == FIELD_FLAG)
        *(bool *)at = value > 0.0;
    else
        *(int *)at = isfinite(value) ? (int)value : -1;
}

/* The words of a choice, or the like, for cures. */
static void list_choices(const char *const *choices, char *out, size_t size)
{
    out[0] = '\0';
    for (; *choices != NULL; choices++)
        text_append(out, size, "%s\"%s\"", out[0] == '\0' ? "one of " : ", ", *choices);
}

static bool read_choice(struct reader *r, const struct field *f, const struct node *n, double *si)
{
    char cure[WORDS_MAX];
    list_choices(f->choices, cure, sizeof cure);
    if (n->type != NODE_TEXT) {
        reader_complain(r, SEVERITY_ERROR, n, cure, "%s must be a word, but this is %s", f->key,
                        tree_words(n));
        return false;
    }
    struct nearest near = text_nearest_to(n->text);
    for (int i = 0; f->choices[i] != NULL; i++) {
        if (strcmp(f->choices[i], n->text) == 0) {
            *si = i;
            return true;
        }
        text_nearest_try(&near, f->choices[i]);
    }
    if (near.name != NULL)
        reader_complain(r, SEVERITY_ERROR, n, cure, "unknown %s \"%.80s\": did you mean \"%s\"?",
                        f->key, n->text, near.name);
    else
        reader_complain(r, SEVERITY_ERROR, n, cure, "unknown %s \"%.80s\"", f->key, n->text);
    return false;
}

static bool read_flag(struct reader *r, const struct field *f, const struct node *n, double *si)
{
    *si = n->flag;
    if (n->type == NODE_FLAG)
        return true;
    reader_complain(r, SEVERITY_ERROR, n, NULL, "%s must be true or false, but this is %s", f->key,
                    tree_words(n));
    return false;
}

static bool is_bare(enum dimension d)
{
    return d == DIM_NONE || d == DIM_PRICE;
}

/* How to write a value; true if it is a plain number that is no share, such as a pH. */
static bool write_example(const struct field *f, char *out, size_t size)
{
    const bool plain = f->dimension == DIM_NONE && f->max > 1.0;
    const double usual = isfinite(f->preset) ? f->preset : 0.5 * (f->low + f->high);
    if (plain)
        text_append(out, size, "write %s = %.4g;", f->key, usual);
    else
        text_append(out, size, "write %s", units_example(f->dimension));
    return plain;
}

/* A number with or without unit; *q tells the unit. */
static bool read_quantity(struct reader *r, const struct field *f, const struct node *n,
                          struct quantity *q)
{
    const bool number = n->type == NODE_INTEGER || n->type == NODE_FLOAT;
    if (number && (is_bare(f->dimension) || f->type == FIELD_COUNT)) {
        *q = (struct quantity){ .si = n->number, .factor = 1.0 };
        return true;
    }
    char cure[WORDS_MAX] = "";
    const bool plain = write_example(f, cure, sizeof cure);
    if (number) {
        reader_complain(r, SEVERITY_ERROR, n, cure, "a bare number: %s needs a unit", f->key);
        return false;
    }
    if (n->type != NODE_TEXT) {
        reader_complain(r, SEVERITY_ERROR, n, cure, "%s must be a %s, but this is %s", f->key,
                        units_dimension_name(f->dimension), tree_words(n));
        return false;
    }
    const struct units_hint hint = { units_substance(f->key), r->meter_factor };
    struct units_error e;
    if (units_parse(n->text, f->dimension, &hint, q, &e))
        return true;
    const char *other = e.cure[0] == '\0' ? NULL : e.cure;
    reader_complain(r, SEVERITY_ERROR, n, plain ? cure : other, "%s", e.what);
    return false;
}

static bool check_range(struct reader *r, const struct field *f, const struct node *n,
                        const struct quantity *q)
{
    char low[UNITS_TEXT + 32], high[UNITS_TEXT + 32], cure[WORDS_MAX];
    if (!(q->si >= f->min && q->si <= f->max)) {
        snprintf(cure, sizeof cure, "it must lie between %s and %s",
                 units_format_like(f->min, q, low, sizeof low),
                 units_format_like(f->max, q, high, sizeof high));
        reader_complain(r, SEVERITY_ERROR, n, cure, "%s is out of range", f->key);
        return false;
    }
    if (q->si < f->low || q->si > f->high) {
        snprintf(cure, sizeof cure, "usual is %s to %s",
                 units_format_like(f->low, q, low, sizeof low),
                 units_format_like(f->high, q, high, sizeof high));
        reader_complain(r, SEVERITY_WARNING, n, cure, "%s is unusual", f->key);
    }
    return true;
}

static bool read_number(struct reader *r, const struct field *f, const struct node *n, double *si)
{
    struct quantity q;
    if (!read_quantity(r, f, n, &q) || !check_range(r, f, n, &q))
        return false;
    *si = q.si;
    return true;
}

static bool read_count(struct reader *r, const struct field *f, const struct node *n, double *si)
{
    if (n->type != NODE_INTEGER) {
        reader_complain(r, SEVERITY_ERROR, n, NULL, "%s must be a whole number, but this is %s",
                        f->key, tree_words(n));
        return false;
    }
    return read_number(r, f, n, si);
}

static bool read_plain(struct reader *r, const struct field *f, const struct node *n, double *si)
{
    switch (f->type) {
    case FIELD_FLAG:
        return read_flag(r, f, n, si);
    case FIELD_CHOICE:
        return read_choice(r, f, n, si);
    case FIELD_COUNT:
        return read_count(r, f, n, si);
    default:
        return read_number(r, f, n, si);
    }
}

/* ---- spreads --------------------------------------------------------------------------------- */

static const char *const spread_keys[] = { "value", "sd", "low", "high", NULL };

static bool is_spread(const struct node *n)
{
    return n->type == NODE_GROUP &&
           (tree_member(n, "value") != NULL || tree_member(n, "sd") != NULL);
}

/* A member of a spread; missing is fine and leaves NAN. */
static bool read_part(struct reader *r, const struct field *f, const struct node *group,
                      const char *key, double *out)
{
    const struct node *n = tree_member(group, key);
    *out = NAN;
    return n == NULL || read_plain(r, f, n, out);
}

/* A spread of a temperature is a difference, and any spread is free of the range. */
static struct field field_of_sd(const struct field *f)
{
    struct field sd = *f;
    if (f->dimension == DIM_TEMPERATURE)
        sd.dimension = DIM_TEMPERATURE_DIFFERENCE;
    sd.min = sd.low = -INFINITY;
    sd.max = sd.high = INFINITY;
    return sd;
}

/* { value; sd } or { value; low; high }. */
static bool read_spread(struct reader *r, const struct field *f, const struct node *n,
                        struct value *v)
{
    const struct section keys = { .path = f->key, .group = n, .others = spread_keys };
    reader_check_keys(r, &keys);
    const struct field sd = field_of_sd(f);
    if (!read_part(r, f, n, "value", &v->si) || !read_part(r, &sd, n, "sd", &v->sd) ||
        !read_part(r, f, n, "low", &v->low) || !read_part(r, f, n, "high", &v->high))
        return false;
    if (isnan(v->si)) {
        reader_missing(r, n, f->key, "value", "a spread is { value = ...; sd = ...; }");
        return false;
    }
    const bool by_sd = !isnan(v->sd) && isnan(v->low) && isnan(v->high);
    const bool by_range = isnan(v->sd) && !isnan(v->low) && !isnan(v->high);
    if ((by_sd && v->sd > 0.0) || (by_range && v->low < v->si && v->si < v->high))
        return true;
    reader_complain(
        r, SEVERITY_ERROR, n,
        "{ value; sd } with sd above 0, or { value; low; high } with low < value < high",
        "this spread of %s makes no sense", f->key);
    return false;
}

/* ---- sections -------------------------------------------------------------------------------- */

static void show(const struct field *f, const struct node *n, struct value *v)
{
    if (f->type == FIELD_CHOICE)
        text_copy(v->text, sizeof v->text, v->si >= 0.0 ? f->choices[(int)v->si] : "");
    else if (f->type == FIELD_FLAG)
        text_copy(v->text, sizeof v->text, v->si > 0.0 ? "true" : "false");
    else if (n != NULL && n->type == NODE_TEXT)
        text_copy(v->text, sizeof v->text, n->text);
    else
        reader_show(v);
}

static struct value new_value(const struct section *s, const struct field *f)
{
    struct value v = { .type = f->type,
                       .dimension = f->dimension,
                       .si = NAN,
                       .sd = NAN,
                       .low = NAN,
                       .high = NAN,
                       .min = f->min,
                       .max = f->max,
                       .source = "" };
    text_append(v.path, sizeof v.path, "%s%s%s", s->path, s->path[0] == '\0' ? "" : ".", f->key);
    return v;
}

static void read_given(struct reader *r, const struct section *s, const struct field *f,
                       const struct node *n)
{
    struct value v = new_value(s, f);
    const bool spread = f->type == FIELD_NUMBER && is_spread(n);
    if (!(spread ? read_spread(r, f, n, &v) : read_plain(r, f, n, &v.si))) {
        store(f, s->base, isfinite(f->preset) ? f->preset : NAN);
        return;
    }
    v.origin = n->command_line ? ORIGIN_COMMAND_LINE : ORIGIN_FILE;
    v.place = n->value;
    show(f, spread ? tree_member(n, "value") : n, &v);
    store(f, s->base, v.si);
    reader_note(r, &v);
}

static void read_left_out(struct reader *r, const struct section *s, const struct field *f)
{
    struct value v = new_value(s, f);
    v.si = f->preset;
    v.source = f->source == NULL ? "" : f->source;
    v.origin = ORIGIN_DEFAULT;
    for (const struct preset *p = s->presets; p != NULL && p->key != NULL; p++) {
        if (strcmp(p->key, f->key) != 0)
            continue;
        v.si = p->si;
        v.source = p->source;
        v.origin = s->preset_origin;
    }
    if (isnan(v.si)) {
        char cure[WORDS_MAX] = "";
        text_append(cure, sizeof cure, "add %s = ", f->key);
        if (f->type == FIELD_CHOICE)
            text_append(cure, sizeof cure, "\"%s\";", f->choices[0]);
        else
            text_append(cure, sizeof cure, "%s;", units_example(f->dimension));
        reader_missing(r, s->group, s->path, f->key, cure);
    }
    store(f, s->base, isfinite(v.si) ? v.si : NAN);
    if (!isfinite(v.si))
        return;
    show(f, NULL, &v);
    reader_note(r, &v);
}

void reader_section(struct reader *r, const struct section *s)
{
    reader_check_keys(r, s);
    for (const struct field *f = s->fields; f->key != NULL; f++) {
        const struct node *n = reader_find(s->group, f->key);
        if (n != NULL)
            read_given(r, s, f, n);
        else
            read_left_out(r, s, f);
    }
}

void reader_unused(struct reader *r, const struct section *s, const char *key, const char *why)
{
    const struct field *f = s->fields;
    while (f->key != NULL && strcmp(f->key, key) != 0)
        f++;
    const struct node *n = reader_find(s->group, key);
    if (n == NULL || f->key == NULL || f->type != FIELD_NUMBER)
        return;
    double value;
    memcpy(&value, (const char *)s->base + f->offset, sizeof value);
    if (!isnan(value) && value != f->preset)
        reader_complain(r, SEVERITY_WARNING, n, "leave it out", "%s has no effect: %s", key, why);
}
