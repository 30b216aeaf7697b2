/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * gif: pictures made by hand, whole, cut at every byte, and damaged.
 */
#include <criterion/criterion.h>
#include <string.h>

#include "sim/gif.h"

/* Two by two pixels, two colours for all. */
static const unsigned char head[] = { 'G',  'I', 'F', '8', '9', 'a', 2,   0,   2,  0,
                                      0x80, 0,   0,   0,   0,   0,   255, 255, 255 };
static const unsigned char loop[] = { 0x21, 0xff, 3, 'a', 'b', 'c', 2, 1, 0, 0 };
static const unsigned char plain[] = { 0x2c, 0, 0, 0, 0, 2, 0, 2, 0, 0, 2, 2, 0x44, 0x51, 0 };
/* with colours of its own, and data with the byte of the trailer in it */
static const unsigned char own[] = { 0x2c, 0, 0, 0, 0, 2, 0, 2,    0,    0x80, 1,
                                     2,    3, 4, 5, 6, 2, 3, 0x3b, 0x2c, 0x51, 0 };
static const unsigned char tail[] = { 0x3b };

static unsigned char bytes[256];
static size_t size;

static void add(const unsigned char *piece, size_t length)
{
    memcpy(bytes + size, piece, length);
    size += length;
}

static void make(void)
{
    size = 0;
    add(head, sizeof head);
    add(loop, sizeof loop);
    add(plain, sizeof plain);
    add(own, sizeof own);
    add(tail, sizeof tail);
}

Test(gif, frames_are_counted)
{
    make();
    cr_assert_eq(gif_frames(bytes, size), 2);
    size = 0;
    add(head, sizeof head);
    add(tail, sizeof tail);
    cr_assert_eq(gif_frames(bytes, size), 0);
}

Test(gif, one_that_is_cut_anywhere_is_not_whole)
{
    make();
    for (size_t n = 0; n < size; n++)
        cr_assert_eq(gif_frames(bytes, n), -1, "%zu of %zu bytes", n, size);
}

Test(gif, what_follows_the_end_is_not_of_it)
{
    make();
    add(tail, sizeof tail);
    cr_assert_eq(gif_frames(bytes, size), -1);
}

Test(gif, an_unknown_block_or_another_format_is_none)
{
    make();
    bytes[sizeof head] = 0x22;
    cr_assert_eq(gif_frames(bytes, size), -1);
    make();
    bytes[3] = '9';
    cr_assert_eq(gif_frames(bytes, size), -1);
}

/* A length that is too great must not lead outside. */
Test(gif, damaged_lengths_stay_inside)
{
    for (size_t i = 0; i < sizeof head + sizeof loop + sizeof plain; i++) {
        make();
        bytes[i] = 0xff;
        cr_assert_leq(gif_frames(bytes, size), 2, "byte %zu", i);
    }
}
