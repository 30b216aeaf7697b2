/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Tests of sim/thin.c and sim/rows.c: fields and quotes, and bins that lose neither extremes nor
 * sums.
 */
#include <criterion/criterion.h>
#include <fcntl.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "sim/rows.h"
#include "sim/thin.h"

static char folder[64];
static int dir;

static void set_up(void)
{
    strcpy(folder, "/tmp/test-thin-XXXXXX");
    cr_assert_not_null(mkdtemp(folder));
    dir = open(folder, O_RDONLY | O_DIRECTORY);
}

static void tear_down(void)
{
    unlinkat(dir, "a.csv", 0);
    close(dir);
    rmdir(folder);
}

static FILE *create(void)
{
    return fdopen(openat(dir, "a.csv", O_WRONLY | O_CREAT | O_TRUNC, 0666), "w");
}

Test(rows, takes_no_number_from_a_damaged_line, .init = set_up, .fini = tear_down)
{
    static const char bytes[] = "a,b\n1,10\0005\n1,11\n";
    FILE *out = create();
    cr_assert_eq(fwrite(bytes, 1, sizeof bytes - 1, out), sizeof bytes - 1);
    fclose(out);

    struct rows r;
    cr_assert(rows_open(&r, dir, "a.csv"));
    cr_assert(rows_next(&r));
    cr_assert(rows_next(&r));
    cr_expect_eq(r.fields, 0);
    cr_assert(rows_next(&r));
    cr_expect_eq(rows_number(&r, 1), 11.0);
    rows_close(&r);
}

Test(rows, cuts_fields_and_takes_quotes_away, .init = set_up, .fini = tear_down)
{
    static const struct {
        const char *line;
        int fields;
        const char *field[4];
    } at[] = { { "a,b,c", 3, { "a", "b", "c" } },
               { ",,", 3, { "", "", "" } },
               { "\"a,b\",c", 2, { "a,b", "c" } },
               { "\"say \"\"so\"\"\",\"\"", 2, { "say \"so\"", "" } },
               { "\"open,b", 1, { "open,b" } },
               { "\"a\"b,c", 2, { "a", "c" } },
               { "\"\"", 1, { "" } },
               { "a,\"b\"\r", 2, { "a", "b" } } };
    FILE *out = create();
    for (size_t i = 0; i < sizeof at / sizeof *at; i++)
        fprintf(out, "%s\n", at[i].line);
    fclose(out);

    struct rows r;
    cr_assert(rows_open(&r, dir, "a.csv"));
    for (size_t i = 0; i < sizeof at / sizeof *at; i++) {
        cr_assert(rows_next(&r));
        cr_assert_eq(r.fields, at[i].fields, "%s: %d", at[i].line, r.fields);
        for (int j = 0; j < r.fields; j++)
            cr_assert_str_eq(r.field[j], at[i].field[j], "%s", at[i].line);
    }
    cr_assert_not(rows_next(&r));
    rows_close(&r);
}

Test(rows, finds_columns_by_name_below_comments, .init = set_up, .fini = tear_down)
{
    static const char *const name[] = { "b", "missing", "a" };
    FILE *out = create();
    fprintf(out, "# words\n\na,b\n1,2\n3\n");
    fclose(out);

    struct rows r;
    int column[3];
    cr_assert(rows_open(&r, dir, "a.csv"));
    cr_assert(rows_header(&r, name, 3, column));
    cr_assert(column[0] == 1 && column[1] == -1 && column[2] == 0);
    rows_next(&r);
    cr_assert_eq(rows_number(&r, column[0]), 2.0);
    cr_assert(isnan(rows_number(&r, column[1])));
    rows_next(&r);
    cr_assert(isnan(rows_number(&r, column[0])));
    rows_close(&r);
    cr_assert_not(rows_open(&r, dir, "none.csv"));
    cr_assert_not(rows_open(&r, dir, "."));
}

Test(thin, loses_neither_extremes_nor_sums, .init = set_up, .fini = tear_down)
{
    static const char *const name[] = { "t", "x" };
    uint64_t state = 9;

    for (int rows = 1; rows <= 5000; rows = rows * 3 + 1) {
        double least = INFINITY, greatest = -INFINITY, sum = 0.0;
        FILE *out = create();
        fprintf(out, "t,x\n");
        for (int i = 0; i < rows; i++) {
            state = state * 6364136223846793005u + 1442695040888963407u;
            const double x = (double)(state >> 40) / 1000.0;
            fprintf(out, "%d,%.17g\n", i, x);
            least = fmin(least, x);
            greatest = fmax(greatest, x);
            sum += x;
        }
        fclose(out);

        struct thinned t;
        double low, high, total = 0.0;
        int count = 0;
        cr_assert_eq(thin_read(&t, dir, "a.csv", name, 2, 0.0), STATUS_OK);
        cr_assert(t.bins <= rows && t.bins <= 680, "%d bins of %d rows", t.bins, rows);
        cr_assert(thin_range(&t, 1, &low, &high));
        for (int i = 0; i < t.bins; i++) {
            total += thin_bin(&t, 1, i).sum;
            count += thin_bin(&t, 1, i).count;
        }
        cr_assert(low == least && high == greatest, "%d rows", rows);
        cr_assert_eq(count, rows);
        cr_assert_float_eq(total, sum, 1e-9 * sum);
        thin_free(&t);
    }
}

Test(thin, bins_are_no_narrower_than_asked_for, .init = set_up, .fini = tear_down)
{
    static const char *const name[] = { "t" };
    FILE *out = create();
    fprintf(out, "t\n");
    for (int i = 0; i <= 364; i++)
        fprintf(out, "%d\n", i);
    fclose(out);

    struct thinned t;
    cr_assert_eq(thin_read(&t, dir, "a.csv", name, 1, 14.0), STATUS_OK);
    cr_assert_eq(t.bins, 26);
    thin_free(&t);
}

Test(thin, tells_the_last_value_itself_beside_the_last_mean, .init = set_up, .fini = tear_down)
{
    static const char *const name[] = { "day", "ppm" };
    FILE *out = create();
    fprintf(out, "day,ppm\n");
    for (int i = 0; i < 6800; i++) /* ten a bin */
        fprintf(out, "%d,%d\n", i, i == 6799 ? 3 : 4);
    fclose(out);

    struct thinned t;
    cr_assert_eq(thin_read(&t, dir, "a.csv", name, 2, 0.0), STATUS_OK);
    cr_expect_float_eq(thin_last(&t, 1), 3.9, 1e-12);
    cr_expect_eq(thin_newest(&t, 1), 3.0);
    thin_free(&t);
}
