/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * tree: what a scenario says, as groups, lists and values, each with its place.
 */
#ifndef SIM_TREE_H
#define SIM_TREE_H

#include <stdbool.h>

#include "source.h"

enum node_type {
    NODE_GROUP,
    NODE_LIST, /* ( ) or [ ] */
    NODE_TEXT,
    NODE_INTEGER,
    NODE_FLOAT,
    NODE_FLAG
};

struct node {
    enum node_type type;
    char *name;        /* NULL in a list */
    char *text;        /* NODE_TEXT */
    double number;     /* NODE_INTEGER, NODE_FLOAT */
    bool flag;         /* NODE_FLAG */
    bool command_line; /* put there by --set */
    struct place key, value;
    struct node *parent, *child, *last, *next;
};

/* Parses the text of a source that was scanned without complaint.  *out is freed by tree_free. */
enum status tree_parse(const struct source *source, struct report *report, struct node **out);

void tree_free(struct node *n);

struct node *tree_member(const struct node *group, const char *name); /* or NULL */
int tree_length(const struct node *n);

/* The kind of value in words: "a text". */
const char *tree_words(const struct node *n);

/* Makes an empty node at the end of a parent (NULL: none); NULL if out of memory. */
struct node *tree_add(struct node *parent, enum node_type type, const char *name);

/* Makes n hold the value of `from`, which is used up. */
void tree_take(struct node *n, struct node *from);

#endif
