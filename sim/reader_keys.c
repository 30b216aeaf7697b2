/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * reader_keys: which keys of a group are known; hints for those that are not.
 */
#include <string.h>

#include "reader.h"
#include "text.h"

enum { WORDS_MAX = 512 };

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
    hint_key(s, prefix, n->name, cure, sizeof cure);
    snprintf(words, sizeof words, "unknown key \"%.80s\" in %s", n->name, place);
    reader_complain_key(r, n, cure[0] == '\0' ? NULL : cure, words);
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
