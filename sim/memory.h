/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * memory: whether memory ran out where nobody is told: JSON loses a key without a word, and a table that cannot
 * be opened looks as if it were not there.  An answer that was made then is none.
 */
#ifndef SIM_MEMORY_H
#define SIM_MEMORY_H

#include <stdbool.h>
#include <stdio.h>

/* From now on what JSON asks for and does not get is noted.  Once, before any JSON. */
void memory_watch(void);

/* Notes that memory ran out. */
void memory_ran_out(void);

/* Whether it ever did. */
bool memory_is_short(void);

/* As open_memstream, which goes on without a word when there is none, and leaves a hole: writing to this one then
 * fails (ferror, fflush), and it is noted.  *bytes is the caller's to free after closing, NULL if this returns NULL. */
FILE *memory_stream(char **bytes, size_t *size);

#endif
