/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * reader: from a group of keys and a table of fields to numbers in a struct.
 */
#include "reader.h"

#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include "later.h"
#include "source_inner.h"
#include "text.h"

enum { WORDS_MAX = 512 };

/* ---- notes ----------------------------------------------------------------------------------- */

struct value *reader_noted(struct values *values, const char *path)
{
    for (int i = values->count; i-- > 0;)
        if (strcmp(values->list[i].path, path) == 0)
            return &values->list[i];
    return NULL;
}

void reader_note(struct reader *r, const struct value *v)
{
    struct values *values = r->values;
    struct value *there = reader_noted(values, v->path);
    if (there != NULL) {
        *there = *v;
        return;
    }
    struct value *list = source_grow(values->list, values->count, &values->room, sizeof *list);
    if (list == NULL) {
        values->lost = true;
        return;
    }
    values->list = list;
    list[values->count++] = *v;
}

void reader_note_text(struct reader *r, const char *path, const struct node *n, const char *text)
{
    struct value v = { .type = FIELD_CHOICE, .sd = NAN, .low = NAN, .high = NAN, .source = "" };
    text_copy(v.path, sizeof v.path, path);
    text_copy(v.text, sizeof v.text, text);
    v.origin = n == NULL ? ORIGIN_DEFAULT : n->command_line ? ORIGIN_COMMAND_LINE : ORIGIN_FILE;
    if (n != NULL)
        v.place = n->value;
    reader_note(r, &v);
}

/* ---- complaints ------------------------------------------------------------------------------ */

void reader_complain(struct reader *r, enum severity severity, const struct node *n,
                     const char *cure, const char *format, ...)
{
    char words[WORDS_MAX];
    va_list args;
    va_start(args, format);
    vsnprintf(words, sizeof words, format, args);
    va_end(args);
    struct place place = { 0 };
    if (n != NULL)
        place = n->value.file != NULL ? n->value : n->key;
    source_complain(r->source, r->report, severity, place, cure, "%s", words);
}

/* Complains about a key, not its value. */
static void complain_key(struct reader *r, const struct node *n, const char *cure,
                         const char *words)
{
    source_complain(r->source, r->report, SEVERITY_ERROR, n->key.file != NULL ? n->key : n->value,
                    cure, "%s", words);
}

void reader_missing(struct reader *r, const struct node *group, const char *path, const char *key,
                    const char *cure)
{
    char words[WORDS_MAX];
    snprintf(words, sizeof words, "\"%s\" is missing in %s", key, path);
    if (path[0] == '\0')
        snprintf(words, sizeof words, "\"%s\" is missing", key);
    if (group != NULL && (group->key.file != NULL || group->value.file != NULL)) {
        complain_key(r, group, cure, words);
        return;
    }
    struct place place = source_place(r->source, 1);
    place.line = 0;
    source_complain(r->source, r->report, SEVERITY_ERROR, place, cure, "%s", words);
}

const char *reader_text(struct reader *r, const struct node *n, const char *path)
{
    if (n == NULL)
        return NULL;
    if (n->type == NODE_TEXT)
        return n->text;
    reader_complain(r, SEVERITY_ERROR, n, "texts stand in double quotes",
                    "%s must be a text, but this is %s", path, tree_words(n));
    return NULL;
}

const struct node *reader_group(struct reader *r, const struct node *n, const char *path)
{
    if (n == NULL || n->type == NODE_GROUP)
        return n;
    char cure[WORDS_MAX];
    snprintf(cure, sizeof cure, "write %s = { key = value; ... };", path);
    reader_complain(r, SEVERITY_ERROR, n, cure, "%s must be a group, but this is %s", path,
                    tree_words(n));
    return NULL;
}

/* ---- keys ------------------------------------------------------------------------------------ */

/* Whether a field is `group_rest`, and *rest. */
static bool splits(const char *key, const char *group, const char **rest)
{
    const size_t n = strlen(group);
    if (strncmp(key, group, n) != 0 || key[n] != '_')
        return false;
    *rest = key + n + 1;
    return true;
}

const struct node *reader_find(const struct node *group, const char *key)
{
    const struct node *direct = tree_member(group, key);
    if (direct != NULL || group == NULL)
        return direct;
    const char *rest;
    for (const struct node *c = group->child; c != NULL; c = c->next)
        if (c->type == NODE_GROUP && c->name != NULL && splits(key, c->name, &rest)) {
            const struct node *inner = tree_member(c, rest);
            if (inner != NULL)
                return inner;
        }
    return NULL;
}

static const struct field *field_named(const struct field *fields, const char *key)
{
    for (; fields != NULL && fields->key != NULL; fields++)
        if (strcmp(fields->key, key) == 0)
            return fields;
    return NULL;
}

static bool among(const char *const *list, const char *key)
{
    for (; list != NULL && *list != NULL; list++)
        if (strcmp(*list, key) == 0)
            return true;
    return false;
}

/* All keys, if they are few. */
static void list_keys(const struct section *s, char *out, size_t size)
{
    int count = 0;
    text_append(out, size, "its keys are");
    for (const struct field *f = s->fields; f != NULL && f->key != NULL; f++)
        text_append(out, size, "%s %s", count++ > 0 ? "," : "", f->key);
    for (const char *const *o = s->others; o != NULL && *o != NULL; o++)
        text_append(out, size, "%s %s", count++ > 0 ? "," : "", *o);
    if (count > 14)
        out[0] = '\0';
}

/* Keys that begin with prefix_ (all if prefix is NULL), for hints. */
static void hint_key(const struct section *s, const char *prefix, const char *key, char *cure,
                     size_t size)
{
    struct nearest near = text_nearest_to(key);
    const char *rest;
    for (const struct field *f = s->fields; f != NULL && f->key != NULL; f++)
        if (prefix == NULL)
            text_nearest_try(&near, f->key);
        else if (splits(f->key, prefix, &rest))
            text_nearest_try(&near, rest);
    for (const char *const *o = s->others; prefix == NULL && o != NULL && *o != NULL; o++)
        text_nearest_try(&near, *o);
    cure[0] = '\0';
    if (near.name != NULL)
        text_append(cure, size, "did you mean \"%s\"?", near.name);
    else if (prefix == NULL)
        list_keys(s, cure, size);
}

static void complain_unknown(struct reader *r, const struct section *s, const char *prefix,
                             const struct node *n)
{
    char cure[WORDS_MAX], words[WORDS_MAX];
    const char *place = s->path[0] == '\0' ? "a scenario" : s->path;
    if (later_key(s->path, n->name)) {
        snprintf(words, sizeof words, "\"%.80s\" is known, but not in this version", n->name);
        complain_key(r, n, NULL, words);
        return;
    }
    hint_key(s, prefix, n->name, cure, sizeof cure);
    snprintf(words, sizeof words, "unknown key \"%.80s\" in %s", n->name, place);
    complain_key(r, n, cure[0] == '\0' ? NULL : cure, words);
}

/* The members of a group that stands for the keys  name_member. */
static bool check_inner(struct reader *r, const struct section *s, const struct node *n)
{
    const char *rest;
    bool prefix = false;
    for (const struct field *f = s->fields; f != NULL && f->key != NULL; f++)
        prefix = prefix || splits(f->key, n->name, &rest);
    if (!prefix || n->type != NODE_GROUP)
        return false;
    for (const struct node *c = n->child; c != NULL; c = c->next) {
        bool known = false;
        for (const struct field *f = s->fields; f->key != NULL; f++)
            known = known || (splits(f->key, n->name, &rest) && strcmp(rest, c->name) == 0);
        if (!known)
            complain_unknown(r, s, n->name, c);
    }
    return true;
}

void reader_check_keys(struct reader *r, const struct section *s)
{
    if (s->group == NULL || s->group->type != NODE_GROUP)
        return;
    for (const struct node *c = s->group->child; c != NULL; c = c->next) {
        if (field_named(s->fields, c->name) != NULL || among(s->others, c->name))
            continue;
        if (!check_inner(r, s, c))
            complain_unknown(r, s, NULL, c);
    }
}

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
    if (later_word(f->key, n->text))
        reader_complain(r, SEVERITY_ERROR, n, cure, "\"%s\" is known, but not in this version",
                        n->text);
    else if (near.name != NULL)
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
    text_append(cure, sizeof cure, "write %s", units_example(f->dimension));
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
    reader_complain(r, SEVERITY_ERROR, n, e.cure[0] == '\0' ? NULL : e.cure, "%s", e.what);
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
        units_format(v->si, f->dimension, v->text, sizeof v->text);
}

static struct value new_value(const struct section *s, const struct field *f)
{
    struct value v = { .type = f->type,
                       .dimension = f->dimension,
                       .si = NAN,
                       .sd = NAN,
                       .low = NAN,
                       .high = NAN,
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
