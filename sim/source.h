/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * source: the text of a scenario, read once, with its included files put in, and scanned for all
 * that the parser behind it would let pass.  Page: docs/scenario.md.
 *
 * Regular files only, no more than 1 MiB; an included file must lie in the folder of the scenario
 * or below.  The scan refuses what is not UTF-8, unclosed comments and texts, numbers that do not
 * fit, doubled keys, and finds the place of every key and value.
 */
#ifndef SIM_SOURCE_H
#define SIM_SOURCE_H

#include <stddef.h>

#include "report.h"

enum {
    SOURCE_BYTES_MAX = 1 << 20,
    SOURCE_INCLUDES_DEEP = 10,
    SOURCE_INCLUDES_MAX = 64,
    SOURCE_NESTING_MAX = 20,
    SOURCE_KEYS_MAX = 1000 /* in one group */
};

struct source;

/* A setting, in the order of the text: its key (no width in a list) and its value. */
struct mark {
    struct place key, value;
    size_t name, name_length; /* of the key in the text */
    int parent, previous;     /* marks; -1 if none */
};

/* Reads and scans a file.  Complaints go to the report; *out is made even then, so that lines can
 * be shown, and is the caller's to free; NULL only if nothing could be read. */
enum status source_read(const char *path, struct report *report, struct source **out);

/* The same for a text that is no file, without includes; name stands in complaints. */
enum status source_scan(const char *name, const char *text, struct report *report,
                        struct source **out);

void source_free(struct source *s);

const char *source_text(const struct source *s, size_t *size);
const struct mark *source_marks(const struct source *s, int *count);

/* The folder of the scenario, all links resolved; "" for a text that is no file. */
const char *source_folder(const struct source *s);

/* The place of a line of the whole text, counted from 1. */
struct place source_place(const struct source *s, int line);

/* Adds a complaint with the line that the place names. */
void source_complain(const struct source *s, struct report *report, enum severity severity,
                     struct place place, const char *cure, const char *format, ...)
    __attribute__((format(printf, 6, 7)));

#endif
