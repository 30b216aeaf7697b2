/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * scenario: from a file to a plant and a plan.  Page: docs/scenario.md.
 *
 * Everything that is wrong is found in one pass; nothing is left of a scenario that is not valid.
 */
#ifndef SIM_SCENARIO_H
#define SIM_SCENARIO_H

#include "completion.h"
#include "plan.h"
#include "reader.h"
#include "report.h"

struct scenario {
    struct plant plant;
    struct plan plan;
    struct analysis analysis;     /* of the feed, as given */
    struct completion completion; /* and as completed */
    enum completion_outcome completed;
    struct values values; /* where every value came from, in the order of reading */
    /* owned; do not touch */
    struct source *source;
    struct feed_log *log;
    char **words; /* texts that places of --set point to */
    int words_count;
};

/* Reads a scenario and the changes  key=value  of the command line (ended by NULL, or NULL).  out
 * is filled only if STATUS_OK is returned; then scenario_free it.  Warnings may come with
 * STATUS_OK. */
enum status scenario_load(const char *path, const char *const sets[], struct scenario *out,
                          struct report *report);

void scenario_free(struct scenario *s);

/* A moment of the run [s] from "100 days" or "2026-03-01"; false and words if it is none, or outside. */
enum { SCENARIO_WORDS = 200 };
bool scenario_when(const struct scenario *s, const char *text, double *t,
                   char words[SCENARIO_WORDS]);

/* Every group that is read by a table, for the manual and for tests; a stage's are those of its
 * kind and its groups (models/stage.h).  Ended by a NULL path. */
struct scenario_table {
    const char *path; /* "feed"; a list "draws" and a group "replace" hold more than one such */
    const struct field *fields;
};

extern const struct scenario_table scenario_tables[];

#endif
