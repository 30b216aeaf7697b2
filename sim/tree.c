/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * tree: what a scenario says, as groups, lists and values, each with its place.
 *
 * The only file that knows the parser's library.  The library tells lines but no columns; settings
 * come in the order in which the scan found them, so each takes the next mark.
 */
#include "tree.h"

#include <libconfig.h>
#include <stdlib.h>
#include <string.h>

struct walk {
    const struct mark *marks;
    int count, next;
};

struct node *tree_add(struct node *parent, enum node_type type, const char *name)
{
    struct node *n = calloc(1, sizeof *n);
    if (n == NULL)
        return NULL;
    n->type = type;
    n->name = name == NULL ? NULL : strdup(name);
    if (name != NULL && n->name == NULL) {
        free(n);
        return NULL;
    }
    n->parent = parent;
    if (parent != NULL) {
        if (parent->child == NULL)
            parent->child = n;
        else
            parent->last->next = n;
        parent->last = n;
    }
    return n;
}

static void free_children(struct node *n)
{
    for (struct node *c = n->child; c != NULL;) {
        struct node *next = c->next;
        tree_free(c);
        c = next;
    }
    n->child = n->last = NULL;
}

void tree_free(struct node *n)
{
    if (n == NULL)
        return;
    free_children(n);
    free(n->name);
    free(n->text);
    free(n);
}

void tree_take(struct node *n, struct node *from)
{
    free_children(n);
    free(n->text);
    n->type = from->type;
    n->text = from->text;
    n->number = from->number;
    n->flag = from->flag;
    n->child = from->child;
    n->last = from->last;
    for (struct node *c = n->child; c != NULL; c = c->next)
        c->parent = n;
    from->text = NULL;
    from->child = from->last = NULL;
    tree_free(from);
}

struct node *tree_member(const struct node *group, const char *name)
{
    if (group == NULL || group->type != NODE_GROUP)
        return NULL;
    for (struct node *c = group->child; c != NULL; c = c->next)
        if (strcmp(c->name, name) == 0)
            return c;
    return NULL;
}

int tree_length(const struct node *n)
{
    int length = 0;
    for (const struct node *c = n->child; c != NULL; c = c->next)
        length++;
    return length;
}

const char *tree_words(const struct node *n)
{
    static const char *const words[] = { "a group",        "a list",   "a text",
                                         "a whole number", "a number", "true or false" };
    return words[n->type];
}

static enum node_type type_of(const config_setting_t *s)
{
    switch (config_setting_type(s)) {
    case CONFIG_TYPE_GROUP:
        return NODE_GROUP;
    case CONFIG_TYPE_INT:
    case CONFIG_TYPE_INT64:
        return NODE_INTEGER;
    case CONFIG_TYPE_FLOAT:
        return NODE_FLOAT;
    case CONFIG_TYPE_STRING:
        return NODE_TEXT;
    case CONFIG_TYPE_BOOL:
        return NODE_FLAG;
    default:
        return NODE_LIST;
    }
}

static bool copy_value(const config_setting_t *s, struct node *n)
{
    const char *text = NULL;
    switch (n->type) {
    case NODE_INTEGER:
        n->number = config_setting_type(s) == CONFIG_TYPE_INT64
                        ? (double)config_setting_get_int64(s)
                        : config_setting_get_int(s);
        return true;
    case NODE_FLOAT:
        n->number = config_setting_get_float(s);
        return true;
    case NODE_FLAG:
        n->flag = config_setting_get_bool(s) != 0;
        return true;
    case NODE_TEXT:
        text = config_setting_get_string(s);
        n->text = strdup(text == NULL ? "" : text);
        return n->text != NULL;
    default:
        return true;
    }
}

/* Copies the members of a setting below a node, marks in step. */
static bool copy_members(struct walk *w, const config_setting_t *from, struct node *to)
{
    const int count = config_setting_length(from);
    for (int i = 0; i < count; i++) {
        const config_setting_t *s = config_setting_get_elem(from, (unsigned)i);
        struct node *n = tree_add(to, type_of(s), config_setting_name(s));
        if (n == NULL || w->next >= w->count || !copy_value(s, n))
            return false;
        n->key = w->marks[w->next].key;
        n->value = w->marks[w->next].value;
        w->next++;
        if (config_setting_is_aggregate(s) && !copy_members(w, s, n))
            return false;
    }
    return true;
}

static enum status parse(config_t *config, const struct source *source, struct report *report)
{
    size_t size;
    const char *text = source_text(source, &size);
    if (size == 0)
        return STATUS_OK;
    FILE *stream = fmemopen((void *)text, size, "r");
    if (stream == NULL)
        return STATUS_MEMORY;
    const int fine = config_read(config, stream);
    fclose(stream);
    if (fine == CONFIG_TRUE)
        return STATUS_OK;
    source_complain(source, report, SEVERITY_ERROR, source_place(source, config_error_line(config)),
                    NULL, "%s",
                    config_error_text(config) == NULL ? "syntax error" : config_error_text(config));
    return STATUS_SCENARIO;
}

enum status tree_parse(const struct source *source, struct report *report, struct node **out)
{
    *out = NULL;
    config_t config;
    config_init(&config);
    enum status status = parse(&config, source, report);
    if (status == STATUS_OK) {
        struct walk w = { 0 };
        w.marks = source_marks(source, &w.count);
        struct node *root = tree_add(NULL, NODE_GROUP, NULL);
        const bool fine = root != NULL && copy_members(&w, config_root_setting(&config), root);
        if (fine && w.next == w.count) {
            *out = root;
        } else {
            tree_free(root);
            status = STATUS_MEMORY;
        }
    }
    config_destroy(&config);
    return status;
}
