/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * lives_inner: what the files that print the answer of `life` share.
 */
#ifndef SIM_LIVES_INNER_H
#define SIM_LIVES_INNER_H

#include "lives.h"
#include "screen.h"

const char *lives_name(const struct lives *l, int k); /* of stage k */
void lives_say(FILE *out, const char *words);         /* a paragraph */

/* The date so long [s] after the start, or nothing if the scenario has none. */
char *lives_date(const struct lives *l, double t, char out[SCREEN_CELL]);

/* A number, or that there is none within the horizon; the same of litres, with the head of their column,
 * no wider than its numbers need. */
char *lives_number(double x, char out[SCREEN_CELL]);
char *lives_water(double litres, char out[SCREEN_CELL]);
const char *lives_water_head(void);

char *lives_percent(double share, char out[SCREEN_CELL]);

/* What came when [LOAD_...], for people: a bed without a membrane before it gets the feed. */
const char *lives_source_words(const struct lives *l, int i);

/* Sections; the first three only if there is resin. */
void lives_load(const struct lives *l, FILE *out);
void lives_notice(const struct lives *l, FILE *out);
void lives_help(const struct lives *l, FILE *out);
void lives_inputs(const struct lives *l, FILE *out);
void lives_method(const struct lives *l, FILE *out);

#endif
