/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * reader_note: notes of where values came from, and complaints about them.
 */
#include <stdarg.h>
#include <string.h>

#include "reader.h"
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

void reader_show(struct value *v)
{
    v->ours = true;
    units_format_in(TASTE_METRIC, v->si, v->dimension, v->text, sizeof v->text);
}

const char *reader_shown(const struct value *v, char out[TEXT_LENGTH])
{
    return v->ours ? units_format(v->si, v->dimension, out, TEXT_LENGTH) : v->text;
}

/* ---- complaints ------------------------------------------------------------------------------ */

/* For what stands nowhere: the scenario itself. */
static struct place whole_file(const struct reader *r)
{
    if (r->source == NULL)
        return (struct place){ 0 };
    return (struct place){ .file = r->source->files[0] };
}

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
    if (place.file == NULL)
        place = whole_file(r);
    source_complain(r->source, r->report, severity, place, cure, "%s", words);
}

/* Complains about a key, not its value. */
void reader_complain_key(struct reader *r, const struct node *n, const char *cure,
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
        reader_complain_key(r, group, cure, words);
        return;
    }
    source_complain(r->source, r->report, SEVERITY_ERROR, whole_file(r), cure, "%s", words);
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
