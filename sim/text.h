/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * text: small helpers for words: nearest name, safe showing of foreign text.
 */
#ifndef SIM_TEXT_H
#define SIM_TEXT_H

#include <stdbool.h>
#include <stddef.h>

/* Number of single-letter changes, insertions and removals between two words; swapped neighbours
 * count as one.  Words over 63 bytes are far from everything. */
int text_distance(const char *a, const char *b);

/* The best match so far of a word among names shown to it one by one. */
struct nearest {
    const char *word, *name; /* name: NULL while nothing is near enough */
    int distance;
};

struct nearest text_nearest_to(const char *word);
void text_nearest_try(struct nearest *n, const char *name);

/* Copies text, control characters shown as \n, \t or \x1b; never splits a character; returns out.
 */
char *text_escape(const char *text, char *out, size_t size);

/* Number of the character that text begins with if a terminal would obey it or a reader be deceived
 * by it: controls, ends of lines, what turns the direction of writing.  TEXT_PLAIN if it is none. */
enum { TEXT_PLAIN = -1 };
long text_control(const char *text, size_t size);

/* Whether text is well-formed UTF-8; *bad is the offset of the first byte that is not. */
bool text_is_utf8(const char *text, size_t size, size_t *bad);

/* Characters (not bytes) in the first n bytes. */
int text_columns(const char *text, size_t n);

/* Like snprintf at the end of out; returns false if it did not fit. */
bool text_append(char *out, size_t size, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* Copies at most size - 1 bytes; returns false if text was longer. */
bool text_copy(char *out, size_t size, const char *text);

#endif
