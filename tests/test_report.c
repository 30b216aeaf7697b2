/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * report: complaints look like a compiler's.
 */
#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

#include "sim/report.h"

/* Not inlined: gcc then takes the text for a variable that is gone. */
__attribute__((noinline)) static char *printed(const struct report *r, bool color)
{
    char *text = NULL;
    size_t size = 0;
    FILE *f = open_memstream(&text, &size);
    report_print(r, f, color);
    fclose(f);
    return text;
}

Test(report, shows_file_line_column_caret_and_cure)
{
    struct report *r = report_create();
    report_add(r, SEVERITY_ERROR, (struct place){ "a.cfg", 3, 8, 4 }, "\tx = 50cm;",
               "write \"50 cm\"", "this is not a %s", "number");
    char *text = printed(r, false);
    cr_assert_str_eq(text, "a.cfg:3:8: error: this is not a number\n"
                           "     3 |  x = 50cm;\n"
                           "       |        ^~~~\n"
                           "         write \"50 cm\"\n"
                           "1 error\n");
    free(text);
    report_free(r);
}

Test(report, puts_complaints_in_order_of_place_and_counts_them)
{
    struct report *r = report_create();
    report_add(r, SEVERITY_WARNING, (struct place){ NULL, 0, 0, 0 }, NULL, NULL, "last");
    report_add(r, SEVERITY_ERROR, (struct place){ "b", 1, 1, 1 }, NULL, NULL, "fourth");
    report_add(r, SEVERITY_ERROR, (struct place){ "a", 9, 5, 1 }, NULL, NULL, "third");
    report_add(r, SEVERITY_ERROR, (struct place){ "a", 9, 1, 1 }, NULL, NULL, "second");
    report_add(r, SEVERITY_NOTE, (struct place){ "a", 2, 7, 1 }, NULL, NULL, "first");
    char *text = printed(r, false);
    cr_assert_str_eq(text, "a:2:7: note: first\na:9:1: error: second\na:9:5: error: third\n"
                           "b:1:1: error: fourth\nwarning: last\n3 errors, 1 warning\n");
    cr_assert_eq(report_count(r, SEVERITY_ERROR), 3);
    cr_assert_eq(report_count(r, SEVERITY_WARNING), 1);
    cr_assert_eq(report_count(r, SEVERITY_NOTE), 1);
    free(text);
    report_free(r);
}

Test(report, shows_twenty_errors_and_says_that_there_are_more)
{
    struct report *r = report_create();
    for (int i = 1; i <= 25; i++)
        report_add(r, SEVERITY_ERROR, (struct place){ "a", i, 1, 1 }, NULL, NULL, "wrong");
    char *text = printed(r, false);
    cr_assert_not_null(strstr(text, "a:20:1"));
    cr_assert_null(strstr(text, "a:21:1"));
    cr_assert_not_null(strstr(text, "5 more errors are not shown\n25 errors\n"));
    free(text);
    report_free(r);
}

Test(report, escapes_what_a_terminal_would_obey)
{
    struct report *r = report_create();
    report_add(r, SEVERITY_ERROR, (struct place){ "a\x1b]0;x", 1, 1, 1 }, "b\x1b[2J", "c\x07",
               "d %s", "\x1b[31m");
    char *text = printed(r, false);
    cr_assert_null(strchr(text, '\x1b'));
    cr_assert_null(strchr(text, '\x07'));
    free(text);
    report_free(r);
}

Test(report, cuts_a_long_line_so_that_the_caret_is_seen)
{
    char line[5000];
    memset(line, 'x', sizeof line - 1);
    line[sizeof line - 1] = '\0';
    line[4000] = '!';
    struct report *r = report_create();
    report_add(r, SEVERITY_ERROR, (struct place){ "a", 1, 4001, 1 }, line, NULL, "here");
    char *text = printed(r, false);
    const char *mark = strchr(text, '!'), *shown = strstr(text, "     1 | ");
    const char *caret = strchr(text, '^'), *below = strstr(text, "       | ");
    cr_assert(mark != NULL && caret != NULL && shown != NULL && below != NULL);
    cr_assert_eq(mark - shown, caret - below, "the caret is under the letter");
    cr_assert_lt(strlen(text), 400);
    free(text);
    report_free(r);
}

static size_t longest_line(const char *text)
{
    size_t longest = 0;
    while (*text != '\0') {
        const size_t n = strcspn(text, "\n");
        longest = n > longest ? n : longest;
        text += n + (text[n] != '\0');
    }
    return longest;
}

Test(report, keeps_excerpts_to_eighty_columns)
{
    char line[200];
    memset(line, 'x', sizeof line - 1);
    line[sizeof line - 1] = '\0';
    for (int column = 1; column < 200; column++) {
        struct report *r = report_create();
        report_add(r, SEVERITY_ERROR, (struct place){ "a", 1, column, 30 }, line, NULL, "here");
        char *said = printed(r, false);
        const size_t longest = longest_line(said);
        cr_assert_leq(longest, 80, "column %d: %zu", column, longest);
        free(said);
        report_free(r);
    }
}

Test(report, colors_only_when_asked)
{
    struct report *r = report_create();
    report_add(r, SEVERITY_ERROR, (struct place){ "a", 1, 1, 1 }, NULL, NULL, "x");
    char *plain = printed(r, false), *painted = printed(r, true);
    cr_assert_null(strchr(plain, '\x1b'));
    cr_assert_not_null(strchr(painted, '\x1b'));
    free(plain);
    free(painted);
    report_free(r);
}

Test(report, knows_words_and_exit_of_every_status)
{
    for (int s = 0; s < STATUS_COUNT; s++) {
        cr_assert_not_null(status_words((enum status)s));
        cr_assert(status_exit((enum status)s) == 0 ? s == STATUS_OK : s != STATUS_OK);
    }
    cr_assert_eq(status_exit(STATUS_SCENARIO), 65);
}
