/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Tests of sim/screen.c: no word is lost and no line too wide, tables are aligned, quantities read
 * well.
 */
#include <criterion/criterion.h>
#include <fcntl.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "sim/screen.h"
#include "sim/text.h"

static char *text;
static size_t size;

static void expect_text(FILE *f, const char *wanted)
{
    fclose(f);
    cr_expect_str_eq(text, wanted);
    free(text);
}

Test(screen, wraps_at_a_margin_and_keeps_line_feeds)
{
    FILE *f = open_memstream(&text, &size);
    screen_wrap(f, 2, 4, "one two\nthree");
    expect_text(f, "  one two\n    three\n");
}

Test(screen, breaks_where_the_next_word_would_pass_the_edge)
{
    char word[SCREEN_COLUMNS + 1], wanted[2 * SCREEN_COLUMNS + 8] = "";
    memset(word, 'x', SCREEN_COLUMNS - 2);
    word[SCREEN_COLUMNS - 2] = '\0';
    char words[2 * SCREEN_COLUMNS];
    snprintf(words, sizeof words, "%s y", word); /* 80 columns: it fits */
    snprintf(wanted, sizeof wanted, "%s y\n", word);
    FILE *f = open_memstream(&text, &size);
    screen_wrap(f, 0, 0, words);
    expect_text(f, wanted);
    snprintf(words, sizeof words, "%s yy", word); /* 81: it does not */
    snprintf(wanted, sizeof wanted, "%s\nyy\n", word);
    f = open_memstream(&text, &size);
    screen_wrap(f, 0, 0, words);
    expect_text(f, wanted);
}

Test(screen, counts_characters_and_not_bytes)
{
    char words[4 * SCREEN_COLUMNS] = "", wanted[4 * SCREEN_COLUMNS] = "";
    for (int i = 0; i < SCREEN_COLUMNS; i++)
        text_append(words, sizeof words, "\xc3\xbc"); /* two bytes, one column */
    text_append(wanted, sizeof wanted, "%s\n", words);
    FILE *f = open_memstream(&text, &size);
    screen_wrap(f, 0, 0, words);
    expect_text(f, wanted);
}

/* Whether both have the same letters in the same order, blanks apart. */
static bool same_letters(const char *a, const char *b)
{
    for (;;) {
        a += strspn(a, " \n");
        b += strspn(b, " \n");
        if (*a != *b)
            return false;
        if (*a == '\0')
            return true;
        a++;
        b++;
    }
}

Test(screen, loses_no_word_and_makes_no_line_too_wide)
{
    uint64_t lcg = 3;
    for (int round = 0; round < 500; round++) {
        char words[900] = "";
        for (int i = 0; i < 60; i++) {
            lcg = 6364136223846793005u * lcg + 1442695040888963407u;
            text_append(words, sizeof words, "%.*s ", (int)(lcg >> 60), "abcdefghijklmnop");
        }
        const int margin = (int)(lcg >> 33) % 40;
        FILE *f = open_memstream(&text, &size);
        screen_wrap(f, 0, margin, words);
        fclose(f);
        cr_expect(same_letters(text, words), "round %d", round);
        for (const char *line = text; *line != '\0'; line += strcspn(line, "\n") + 1)
            cr_assert_leq(strcspn(line, "\n"), (size_t)SCREEN_COLUMNS, "round %d", round);
        free(text);
    }
}

Test(screen, puts_words_beside_a_label)
{
    FILE *f = open_memstream(&text, &size);
    screen_entry(f, "Tank", "%d cm", 12);
    screen_entry(f, "A label that is long", "and words");
    expect_text(f, "Tank        12 cm\nA label that is long and words\n");
}

Test(screen, aligns_tables_and_escapes_what_is_in_them)
{
    static const char *const cells[] = { "stage", "used", "carbon", "7", "\xc3\xbc\x1b", NULL };
    FILE *f = open_memstream(&text, &size);
    screen_table(f, cells, 3, 2);
    expect_text(f, "  stage   used\n  carbon     7\n  \xc3\xbc\\x1b\n");
}

Test(screen, shows_litres_in_three_figures_or_whole)
{
    static const struct {
        double m3;
        const char *words;
    } rows[] = { { 0.0, "0 L" },        { 1e-7, "0 L" },         { 2.5e-6, "2.5 mL" },
                 { 350e-6, "350 mL" },  { 0.9996e-3, "1.00 L" }, { 1.004e-3, "1.00 L" },
                 { 3.25e-3, "3.25 L" }, { 9.996e-3, "10.0 L" },  { 41.23e-3, "41.2 L" },
                 { 99.96e-3, "100 L" }, { 4.1204, "4120 L" },    { -3.25e-3, "-3.25 L" } };
    char out[SCREEN_CELL];
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        cr_expect_str_eq(screen_litres(rows[i].m3, out), rows[i].words);
}

Test(screen, shows_spans_in_the_unit_that_people_say)
{
    static const struct {
        double seconds;
        const char *words;
    } rows[] = { { -1.0, "-1 s" },
                 { 0.0, "0 s" },
                 { 119.0, "119 s" },
                 { 120.0, "2 min" },
                 { 7199.0, "120 min" },
                 { 7200.0, "2 h" },
                 { 172800.0, "2 days" },
                 { 31536000.0, "365 days" },
                 { 315360000.0, "3650 days" } };
    char out[SCREEN_CELL];
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        cr_expect_str_eq(screen_span(rows[i].seconds, out), rows[i].words);
}

Test(screen, dates_a_day_of_the_run)
{
    char out[SCREEN_CELL];
    cr_expect_str_eq(screen_day(0.0, "2026-01-01", out), "day 0.0 (2026-01-01)");
    cr_expect_str_eq(screen_day(45.2, "2026-01-01", out), "day 45.2 (2026-02-15)");
    cr_expect_str_eq(screen_day(59.0, "2028-01-01", out), "day 59.0 (2028-02-29)");
    cr_expect_str_eq(screen_day(3.0, "", out), "day 3.0");
}

Test(screen, has_no_colors_where_it_cannot_or_must_not)
{
    FILE *f = tmpfile();
    setenv("TERM", "xterm", 1);
    unsetenv("NO_COLOR");
    cr_expect(!screen_color(f, false), "a file is no terminal");
    cr_expect(!screen_overwrites(f));
    fclose(f);
    const int leader = posix_openpt(O_RDWR | O_NOCTTY);
    if (leader < 0) /* a bare root without /dev/pts has no terminals to try */
        cr_skip_test("no pseudo-terminals here");
    cr_assert(grantpt(leader) == 0 && unlockpt(leader) == 0);
    f = fopen(ptsname(leader), "w");
    cr_assert(f != NULL);
    cr_expect(screen_color(f, false));
    cr_expect(!screen_color(f, true));
    setenv("NO_COLOR", "", 1);
    cr_expect(screen_color(f, false), "empty means not set");
    setenv("NO_COLOR", "1", 1);
    cr_expect(!screen_color(f, false));
    unsetenv("NO_COLOR");
    setenv("TERM", "dumb", 1);
    cr_expect(!screen_color(f, false) && !screen_overwrites(f));
    unsetenv("TERM");
    cr_expect(!screen_color(f, false) && !screen_overwrites(f));
    fclose(f);
}

Test(screen, writes_numbers_without_exponents)
{
    static const struct {
        double value;
        const char *text;
    } cases[] = {
        { 170.0, "170" },       { 1.7e6, "1700000" }, { 5.274, "5.27" }, { 0.0, "0" },
        { 0.00456, "0.00456" }, { 1e-9, "0" },        { 99.95, "100" },  { -2.5, "-2.5" }
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        char out[SCREEN_CELL];
        cr_assert_str_eq(screen_number(cases[i].value, out), cases[i].text, "%g", cases[i].value);
    }
}

Test(screen, quotes_a_name_so_that_the_shell_gives_it_back)
{
    static const char *const names[] = { "pond.cfg",   "a b.cfg",   "it's.cfg",       "-x.cfg",
                                         "a;b$(c)`d`", "tab\there", "line\nfeed'\\x", "\x1b[31m" };
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        char argument[256], command[400], got[256] = "";
        screen_argument(names[i], argument, sizeof argument);
        for (const char *c = argument; *c; c++)
            cr_assert_geq((unsigned char)*c, ' ', "%zu", i);
        snprintf(command, sizeof command, "exec bash <<'EOT'\nprintf %%s %s\nEOT\n", argument);
        FILE *f = popen(command, "r");
        cr_assert_not_null(f);
        const size_t n = fread(got, 1, sizeof got - 1, f);
        pclose(f);
        got[n] = '\0';
        cr_assert_str_eq(got + (names[i][0] == '-' ? 2 : 0), names[i], "%s", argument);
    }
}
