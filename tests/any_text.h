/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * any_text: the text of a scenario as a tree that can be pruned: each key, group and element can be
 * taken out and put back, and what is left is still a scenario's syntax.
 */
#ifndef TESTS_ANY_TEXT_H
#define TESTS_ANY_TEXT_H

#include <stdbool.h>
#include <stdio.h>

enum any_form { ANY_VALUE, ANY_GROUP, ANY_LIST, ANY_ARRAY };

enum { ANY_ITEMS = 1200, ANY_DEEP = 8, ANY_KEY = 50, ANY_WORDS = 130 };

struct any_item {
    enum any_form form;
    bool gone;             /* with all that it holds */
    int size;              /* items, itself and all that it holds, which follow it */
    char key[ANY_KEY];     /* "" in a list */
    char value[ANY_WORDS]; /* of ANY_VALUE, as it is written */
};

struct any_text {
    int count, depth;
    int open[ANY_DEEP]; /* groups and lists that are not closed yet */
    struct any_item item[ANY_ITEMS];
};

void any_open(struct any_text *t, enum any_form form, const char *key);
void any_close(struct any_text *t);
void any_put(struct any_text *t, const char *key, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* The item with a key in the group that is open, or in all of the text if none is; -1: none. */
int any_said(const struct any_text *t, const char *key);

void any_print(const struct any_text *t, FILE *out);

/* Items that are left. */
int any_left(const struct any_text *t);

#endif
