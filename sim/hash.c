/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * hash: see hash.h.  The only file that knows nettle, which takes the processor's own instructions
 * where there are some (docs/decisions.md).
 */
#include "hash.h"

#include <sys/types.h>

#include <nettle/base16.h>
#include <nettle/sha2.h>
#include <unistd.h>

enum { BUFFER = 65536 };

static void finish(struct sha256_ctx *hash, char text[HASH_TEXT])
{
    uint8_t digest[SHA256_DIGEST_SIZE];
    sha256_digest(hash, sizeof digest, digest);
    base16_encode_update(text, sizeof digest, digest);
    text[HASH_TEXT - 1] = '\0';
}

void hash_bytes(const void *bytes, size_t size, char text[HASH_TEXT])
{
    struct sha256_ctx hash;
    sha256_init(&hash);
    sha256_update(&hash, size, bytes);
    finish(&hash, text);
}

bool hash_file(int fd, char text[HASH_TEXT], long long *size)
{
    unsigned char buffer[BUFFER];
    struct sha256_ctx hash;
    sha256_init(&hash);
    ssize_t n;
    for (*size = 0; (n = read(fd, buffer, sizeof buffer)) > 0; *size += n)
        sha256_update(&hash, (size_t)n, buffer);
    finish(&hash, text);
    return n == 0;
}
