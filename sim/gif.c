/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * gif: see gif.h.  Reads lengths only: no pixel is decoded.
 */
#include "gif.h"

#include <stdbool.h>
#include <string.h>

enum {
    HEADER = 13,     /* signature and logical screen */
    DESCRIPTOR = 10, /* of an image, with its mark */
    EXTENSION = 0x21,
    IMAGE = 0x2c,
    TRAILER = 0x3b
};

struct cursor {
    const unsigned char *bytes;
    size_t size, at;
};

static bool skip(struct cursor *c, size_t length)
{
    if (c->size - c->at < length)
        return false;
    c->at += length;
    return true;
}

/* Bytes of a table of colours whose flags are these. */
static size_t colours(unsigned char flags)
{
    return flags & 0x80 ? (size_t)3 << ((flags & 7) + 1) : 0;
}

/* Blocks of up to 255 bytes, ended by one of none. */
static bool skip_blocks(struct cursor *c)
{
    while (c->at < c->size) {
        const size_t length = c->bytes[c->at];
        if (!skip(c, length + 1))
            return false;
        if (length == 0)
            return true;
    }
    return false;
}

static bool skip_image(struct cursor *c)
{
    const size_t start = c->at;
    return skip(c, DESCRIPTOR) && skip(c, colours(c->bytes[start + DESCRIPTOR - 1])) &&
           skip(c, 1) && skip_blocks(c);
}

int gif_frames(const unsigned char *bytes, size_t size)
{
    struct cursor c = { bytes, size, 0 };
    int frames = 0;
    if (size < HEADER || (memcmp(bytes, "GIF89a", 6) != 0 && memcmp(bytes, "GIF87a", 6) != 0))
        return -1;
    if (!skip(&c, HEADER) || !skip(&c, colours(bytes[10])))
        return -1;
    while (c.at < c.size) {
        const unsigned char mark = c.bytes[c.at];
        if (mark == TRAILER)
            return c.at + 1 == c.size ? frames : -1;
        if (mark == EXTENSION ? !(skip(&c, 2) && skip_blocks(&c))
                              : mark != IMAGE || !skip_image(&c))
            return -1;
        frames += mark == IMAGE;
    }
    return -1;
}
