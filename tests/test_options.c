/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Tests of sim/options.c: what a command line means, and that nothing wrong in it is let pass.
 * Words and exit statuses are tested on the program itself (tests/cli/usage.sh).
 */
#include <criterion/criterion.h>
#include <criterion/redirect.h>
#include <string.h>

#include "sim/options.h"

enum { ARGUMENTS = 160 };

static const struct verb all = { .name = "all",
                                 .operand = "FILE",
                                 .question = "What?",
                                 .more = "Examples:",
                                 .takes = TAKES_OUTPUT | TAKES_FIGURES | TAKES_SET | TAKES_SEED |
                                          TAKES_TABLE };
static const struct verb few = {
    .name = "few", .operand = "FILE", .question = "What?", .more = "Examples:", .takes = TAKES_CSV
};

static struct options o;

/* Reads a line of words parted by blanks. */
static enum status parse(const struct verb *v, const char *line)
{
    static char copy[4096], verb[] = "verb";
    static char *arguments[ARGUMENTS];
    int n = 0;
    arguments[n++] = verb;
    strcpy(copy, line);
    for (char *word = strtok(copy, " "); word; word = strtok(NULL, " "))
        arguments[n++] = word;
    arguments[n] = NULL;
    return options_parse(v, n, arguments, &o);
}

Test(options, start_with_nothing_asked_for)
{
    cr_assert_eq(parse(&all, "pond.cfg"), STATUS_OK);
    cr_expect_str_eq(o.operand, "pond.cfg");
    cr_expect(!o.output && !o.from && !o.sets[0] && o.set_count == 0 && o.seed == 0);
    cr_expect(!o.force && !o.no_figures && !o.terminal && !o.list && !o.quiet && !o.answered);
    cr_expect_eq(o.format, FORMAT_TABLE);
    cr_expect_eq(o.units, TASTE_METRIC);
}

Test(options, know_two_tastes)
{
    cr_assert_eq(parse(&all, "pond.cfg --units us"), STATUS_OK);
    cr_expect_eq(o.units, TASTE_US);
    cr_assert_eq(parse(&all, "pond.cfg --units us --units=metric"), STATUS_OK);
    cr_expect_eq(o.units, TASTE_METRIC);
    cr_redirect_stderr();
    cr_expect_eq(parse(&all, "pond.cfg --units imperial"), STATUS_USAGE);
    cr_expect_eq(parse(&all, "pond.cfg --units"), STATUS_USAGE);
}

Test(options, are_read_wherever_they_stand)
{
    cr_assert_eq(parse(&all, "-o out --force pond.cfg --no-figures --seed 7 --set a=1 --set b=x=y "
                             "--format=json -q --terminal"),
                 STATUS_OK);
    cr_expect_str_eq(o.operand, "pond.cfg");
    cr_expect_str_eq(o.output, "out");
    cr_expect(o.force && o.no_figures && o.quiet && o.terminal);
    cr_expect_eq(o.seed, 7);
    cr_expect_eq(o.format, FORMAT_JSON);
    cr_assert_eq(o.set_count, 2);
    cr_expect_str_eq(o.sets[0], "a=1");
    cr_expect_str_eq(o.sets[1], "b=x=y");
    cr_expect(o.sets[2] == NULL);
}

Test(options, may_be_shortened_while_they_mean_one)
{
    cr_assert_eq(parse(&all, "pond.cfg --out=x --forc --no-fig"), STATUS_OK);
    cr_expect_str_eq(o.output, "x");
    cr_expect(o.force && o.no_figures);
    cr_redirect_stderr();
    cr_expect_eq(parse(&all, "pond.cfg --se=1"), STATUS_USAGE);
    cr_expect_eq(parse(&all, "pond.cfg --no"), STATUS_USAGE);
}

Test(options, end_at_two_hyphens)
{
    cr_assert_eq(parse(&all, "-- -o"), STATUS_OK);
    cr_expect_str_eq(o.operand, "-o");
    cr_expect(o.output == NULL);
}

Test(options, belong_to_the_verbs_that_take_them)
{
    cr_redirect_stderr();
    static const char *const lines[] = { "f -o x",     "f --force",      "f --set a=1",
                                         "f --seed 1", "f --no-figures", "f --terminal",
                                         "f --from x", "f --list" };
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++)
        cr_expect_eq(parse(&few, lines[i]), STATUS_USAGE, "%s", lines[i]);
    cr_expect_eq(parse(&few, "f --format csv"), STATUS_OK);
    cr_expect_eq(o.format, FORMAT_CSV);
    cr_expect_eq(parse(&all, "f --format csv"), STATUS_USAGE);
}

Test(options, refuse_values_that_are_none)
{
    cr_redirect_stderr();
    static const char *const lines[] = { "f --seed x",
                                         "f --seed 1x",
                                         "f --seed -1",
                                         "f --seed +1",
                                         "f --seed 4294967296",
                                         "f --seed 1e3",
                                         "f --seed 99999999999999999999",
                                         "f --seed",
                                         "f --set a",
                                         "f --set =a",
                                         "f --format xml",
                                         "f --format JSON",
                                         "f g",
                                         "" };
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++)
        cr_expect_eq(parse(&all, lines[i]), STATUS_USAGE, "%s", lines[i]);
    cr_expect_eq(parse(&all, "f --seed 4294967295"), STATUS_OK);
    cr_expect_eq(o.seed, 4294967295u);
}

Test(options, hold_as_many_sets_as_there_is_room_for)
{
    char line[4096] = "f";
    for (int i = 0; i < SETS_MAX; i++)
        strcat(line, " --set a=1");
    cr_expect_eq(parse(&all, line), STATUS_OK);
    cr_expect(o.set_count == SETS_MAX && o.sets[SETS_MAX] == NULL);
    strcat(line, " --set a=1");
    cr_redirect_stderr();
    cr_expect_eq(parse(&all, line), STATUS_USAGE);
}

Test(options, answer_help_before_anything_else_is_complained_of)
{
    cr_redirect_stdout();
    static const char *const lines[] = { "--help",    "-h", "--usage",
                                         "--version", "-V", "--help --nonsense",
                                         "-V f g" };
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++) {
        cr_expect_eq(parse(&all, lines[i]), STATUS_OK, "%s", lines[i]);
        cr_expect(o.answered, "%s", lines[i]);
    }
}
