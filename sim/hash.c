/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * hash: see hash.h.  The only file that knows libmd.
 */
#include "hash.h"

#include <sys/types.h>

#include <sha256.h>
#include <unistd.h>

enum { BUFFER = 65536 };

void hash_bytes(const void *bytes, size_t size, char text[HASH_TEXT])
{
    SHA256Data(bytes, size, text);
}

bool hash_file(int fd, char text[HASH_TEXT], long long *size)
{
    unsigned char buffer[BUFFER];
    SHA2_CTX hash;
    SHA256Init(&hash);
    ssize_t n;
    for (*size = 0; (n = read(fd, buffer, sizeof buffer)) > 0; *size += n)
        SHA256Update(&hash, buffer, (size_t)n);
    SHA256End(&hash, text);
    return n == 0;
}
