/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * source_inner: what source.c (files, includes) and source_scan.c (grammar, numbers) share.
 */
#ifndef SIM_SOURCE_INNER_H
#define SIM_SOURCE_INNER_H

#include "source.h"

struct source_line {
    const char *file; /* as shown; owned by the source */
    int number;       /* in its file */
    size_t start;     /* in the text */
};

struct source {
    char *text; /* ends with NUL, not counted */
    size_t size, room;
    struct source_line *lines;
    int line_count, line_room;
    struct mark *marks;
    int mark_count, mark_room;
    char *files[SOURCE_INCLUDES_MAX + 1];
    int file_count;
    char *folder;
};

/* Fills the marks; complains. */
enum status source_find_marks(struct source *s, struct report *report);

/* Makes room for one more element: the new array, or NULL. */
void *source_grow(void *array, int count, int *room, size_t element);

#endif
