/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * hash: SHA-256 (FIPS 180-4) of bytes and of files, as hexadecimal text.
 */
#ifndef SIM_HASH_H
#define SIM_HASH_H

#include <stdbool.h>
#include <stddef.h>

enum { HASH_TEXT = 65 };

void hash_bytes(const void *bytes, size_t size, char text[HASH_TEXT]);

/* From where the file stands to its end; false (and errno) if it could not be read. */
bool hash_file(int fd, char text[HASH_TEXT], long long *size);

#endif
