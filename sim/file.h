/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * file: reads a file of the user whole, and nothing but a regular file.
 */
#ifndef SIM_FILE_H
#define SIM_FILE_H

#include <stdbool.h>
#include <stddef.h>

/* The bytes of a regular file of at most `most` bytes, and one more NUL; NULL and words (without
 * the name) if it cannot be read.  The caller frees them. */
char *file_read(const char *path, size_t most, size_t *size, const char **words);

/* Whether a resolved path lies in a resolved folder or below. */
bool file_lies_below(const char *folder, const char *real);

#endif
