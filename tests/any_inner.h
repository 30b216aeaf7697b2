/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * any_inner: what the files that make a random scenario share.
 */
#ifndef TESTS_ANY_INNER_H
#define TESTS_ANY_INNER_H

#include "any.h"
#include "sim/scenario_inner.h"

/* A scenario that is being made. */
struct maker {
    struct any_text *text;
    unsigned long random;
    double share;       /* of the keys that are said */
    double bold;        /* chance of a value outside its usual range */
    double length;      /* s, of the run */
    struct plant plant; /* its flags and stages as far as they are said: what there is */
};

/* ---- chance */

bool any_chance(struct maker *m, double share);
int any_pick(struct maker *m, int count); /* 0..count-1 */
double any_between(struct maker *m, double low, double high);
double any_log(struct maker *m, double low, double high); /* evenly in the logarithm */

/* ---- values by their tables */

/* Any keys of a table but those to leave out (ended by NULL); needed ones always. */
void any_fields(struct maker *m, const struct field *fields, const char *const leave_out[]);

/* A key of a table with this value, and one with any value. */
void any_number(struct maker *m, const struct field *fields, const char *key, double si);
void any_value(struct maker *m, const struct field *f);

/* What swings. */
void any_cycle(struct maker *m, const struct field *f);

const struct field *any_field(const struct field *fields, const char *key);

/* One of the words of a choice; their number. */
int any_words(const char *const words[]);

/* A text with the sign of quotation. */
void any_quoted(struct maker *m, const char *key, const char *text);

/* ---- groups */

void any_feed(struct maker *m);
void any_train(struct maker *m);
void any_storage(struct maker *m);
void any_measured(struct maker *m);
void any_served(struct maker *m);
void any_draws(struct maker *m);
void any_events(struct maker *m);
void any_replace(struct maker *m);

/* Part and mode of a fault that this plant can have. */
const struct fault_mode *any_fault(struct maker *m);

/* The groups of sim/scenario.c's list that stand in a group, or in none (""). */
void any_groups(struct maker *m, const char *within);

#endif
