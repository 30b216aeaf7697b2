/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "any_text.h"

#include <assert.h>
#include <stdarg.h>
#include <string.h>

enum { LINE = 96, INDENT = 4 };

static struct any_item *add(struct any_text *t, enum any_form form, const char *key)
{
    assert(t->count < ANY_ITEMS);
    struct any_item *i = &t->item[t->count++];
    *i = (struct any_item){ .form = form, .size = 1 };
    snprintf(i->key, sizeof i->key, "%s", key);
    return i;
}

void any_open(struct any_text *t, enum any_form form, const char *key)
{
    assert(t->depth < ANY_DEEP);
    t->open[t->depth++] = t->count;
    add(t, form, key);
}

void any_close(struct any_text *t)
{
    assert(t->depth > 0);
    const int first = t->open[--t->depth];
    t->item[first].size = t->count - first;
}

void any_put(struct any_text *t, const char *key, const char *format, ...)
{
    struct any_item *i = add(t, ANY_VALUE, key);
    va_list list;
    va_start(list, format);
    vsnprintf(i->value, sizeof i->value, format, list);
    va_end(list);
}

int any_said(const struct any_text *t, const char *key)
{
    for (int i = t->depth > 0 ? t->open[t->depth - 1] + 1 : 0; i < t->count; i++)
        if (strcmp(t->item[i].key, key) == 0)
            return i;
    return -1;
}

int any_left(const struct any_text *t)
{
    int left = 0;
    for (int i = 0; i < t->count; i += t->item[i].gone ? t->item[i].size : 1)
        left += !t->item[i].gone;
    return left;
}

/* ---- printing ----------------------------------------------------------------------------------
 */

static const char *const begins[] = { "", "{", "(", "[" };
static const char *const ends[] = { "", "}", ")", "]" };

static void print_item(const struct any_text *t, int i, int indent, FILE *out);

/* What an item holds: "; " after each of a group, ", " between those of a list. */
static void print_inner(const struct any_text *t, int i, int indent, FILE *out)
{
    const struct any_item *all = &t->item[i];
    bool first = true;
    for (int k = i + 1; k < i + all->size; k += t->item[k].size) {
        if (t->item[k].gone)
            continue;
        if (!first && all->form != ANY_GROUP)
            fputs(indent >= 0 ? "," : ", ", out);
        first = false;
        if (indent >= 0)
            fprintf(out, "\n%*s", indent, "");
        print_item(t, k, indent, out);
        if (all->form == ANY_GROUP)
            fputs(indent >= 0 ? ";" : "; ", out);
    }
}

/* indent < 0: on one line. */
static void print_body(const struct any_text *t, int i, int indent, FILE *out)
{
    const struct any_item *item = &t->item[i];
    if (item->key[0] != '\0')
        fprintf(out, "%s = ", item->key);
    if (item->form == ANY_VALUE) {
        fputs(item->value, out);
        return;
    }
    fputs(begins[item->form], out);
    if (indent < 0)
        fputc(' ', out);
    print_inner(t, i, indent < 0 ? indent : indent + INDENT, out);
    if (indent >= 0)
        fprintf(out, "\n%*s", indent, "");
    else if (item->form != ANY_GROUP)
        fputc(' ', out);
    fputs(ends[item->form], out);
}

static void print_item(const struct any_text *t, int i, int indent, FILE *out)
{
    char line[LINE + 1] = "";
    FILE *f = fmemopen(line, sizeof line, "w");
    assert(f != NULL);
    print_body(t, i, -1, f);
    const bool fits = fflush(f) == 0 && strlen(line) < LINE;
    fclose(f);
    if (fits)
        fputs(line, out);
    else
        print_body(t, i, indent, out);
}

void any_print(const struct any_text *t, FILE *out)
{
    for (int i = 0; i < t->count; i += t->item[i].size) {
        if (t->item[i].gone)
            continue;
        print_item(t, i, 0, out);
        fputs(";\n", out);
    }
}
