/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * text: distance of words, safe showing of foreign text.
 */
#include <criterion/criterion.h>
#include <string.h>

#include "sim/text.h"

Test(text, counts_letters_that_differ)
{
    static const struct {
        const char *a, *b;
        int distance;
    } rows[] = { { "", "", 0 },
                 { "abc", "abc", 0 },
                 { "abc", "", 3 },
                 { "pressure", "presure", 1 },
                 { "served", "servde", 1 },
                 { "kitten", "sitting", 3 },
                 { "ab", "ba", 1 },
                 { "flow", "wolf", 3 } };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        cr_assert_eq(text_distance(rows[i].a, rows[i].b), rows[i].distance, "%s, %s", rows[i].a,
                     rows[i].b);
        cr_assert_eq(text_distance(rows[i].b, rows[i].a), rows[i].distance, "%s, %s", rows[i].b,
                     rows[i].a);
    }
}

Test(text, finds_the_nearest_name_but_not_a_far_one)
{
    struct nearest near = text_nearest_to("hardnes");
    text_nearest_try(&near, "harness");
    text_nearest_try(&near, "hardness");
    text_nearest_try(&near, "chloride");
    cr_assert_str_eq(near.name, "hardness");
    near = text_nearest_to("zzz");
    text_nearest_try(&near, "hardness");
    cr_assert_null(near.name);
    near = text_nearest_to("PH");
    text_nearest_try(&near, "at");
    text_nearest_try(&near, "pH");
    cr_assert_str_eq(near.name, "pH");
}

Test(text, shows_controls_escaped_and_letters_as_they_are)
{
    static const struct {
        const char *raw, *shown;
    } rows[] = { { "caf\xc3\xa9", "caf\xc3\xa9" },
                 { "a\nb\tc", "a\\nb\\tc" },
                 { "\x1b[31m", "\\x1b[31m" },
                 { "\x7f", "\\x7f" },
                 { "\xc2\x9b", "\\xc2\\x9b" },
                 { "\xe2\x80\xae", "\\xe2\\x80\\xae" }, /* right to left from here */
                 { "\xe2\x81\xa6", "\\xe2\\x81\\xa6" },
                 { "\xe2\x80\x93", "\xe2\x80\x93" }, /* a dash is none */
                 { "\xff", "\\xff" },
                 { "\xc0\xaf", "\\xc0\\xaf" },
                 { "\xed\xa0\x80", "\\xed\\xa0\\x80" },
                 { "\xf0\x9f\x92\xa7", "\xf0\x9f\x92\xa7" } };
    char out[64];
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        cr_assert_str_eq(text_escape(rows[i].raw, out, sizeof out), rows[i].shown);
}

Test(text, knows_what_a_terminal_would_obey)
{
    static const struct {
        const char *text;
        long number;
    } rows[] = { { "a", TEXT_PLAIN },
                 { "\n", '\n' },
                 { "\x1b", 27 },
                 { "\xc2\x9b", 0x9b },
                 { "\xc2\xa0", TEXT_PLAIN },
                 { "\xe2\x80\xae", 0x202e },
                 { "\xe2\x80\xa8", 0x2028 },
                 { "\xef\xbb\xbf", 0xfeff },
                 { "\xd8\x9c", 0x61c },
                 { "\xf0\x9f\x92\xa7", TEXT_PLAIN },
                 { "\xff", TEXT_PLAIN },
                 { "", TEXT_PLAIN } };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        cr_expect_eq(text_control(rows[i].text, strlen(rows[i].text)), rows[i].number, "row %zu",
                     i);
    cr_expect_eq(text_control("\0", 1), 0);
}

Test(text, never_splits_a_letter_or_leaves_its_room)
{
    char out[16];
    for (size_t size = 1; size <= sizeof out; size++) {
        memset(out, '#', sizeof out);
        text_escape("\xc3\xa9\xc3\xa9\x01\xc3\xa9", out, size);
        size_t bad;
        cr_assert_lt(strlen(out), size);
        cr_assert(text_is_utf8(out, strlen(out), &bad), "room %zu", size);
        for (size_t i = size; i < sizeof out; i++)
            cr_assert_eq(out[i], '#', "room %zu", size);
    }
}

Test(text, finds_the_first_byte_that_is_not_utf8)
{
    size_t bad = 99;
    cr_assert(text_is_utf8("h\xc3\xa9llo", 6, &bad));
    cr_assert_not(text_is_utf8("ab\xff", 3, &bad));
    cr_assert_eq(bad, 2);
    cr_assert_not(text_is_utf8("a\xe2\x82", 3, &bad), "cut short");
    cr_assert_eq(bad, 1);
    cr_assert_eq(text_columns("h\xc3\xa9llo", 6), 5);
}
