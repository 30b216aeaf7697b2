/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Tests of sim/series.c, sim/series_find.c, sim/chart.c and of the parts of sim/thin.c that they
 * use: folders as a run leaves them, damaged ones, and hostile ones.
 */
#include <criterion/criterion.h>
#include <fcntl.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "sim/chart.h"
#include "sim/thin.h"

static char folder[64];
static char words[SERIES_WORDS];
static const char *const FILES[] = { "series.csv", "b.csv", "a.csv", "x\033[31m.csv", "gone.csv" };

static void set_up(void)
{
    strcpy(folder, "/tmp/test-show-XXXXXX");
    cr_assert_not_null(mkdtemp(folder));
}

static void remove_file(const char *name)
{
    char path[256];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    unlink(path);
}

static void tear_down(void)
{
    for (size_t i = 0; i < sizeof FILES / sizeof *FILES; i++)
        remove_file(FILES[i]);
    remove_file("manifest.json");
    rmdir(folder);
}

static void write_file(const char *name, const char *text)
{
    char path[256];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *f = fopen(path, "w");
    cr_assert_not_null(f);
    fputs(text, f);
    fclose(f);
}

static void write_manifest(void)
{
    write_file(
        "manifest.json",
        "{\"program\": \"leat\", \"files\": {\"series.csv\": {\"sha256\": \"0\"}, \"b.csv\": {}, "
        "\"a.csv\": {}, \"gone.csv\": {}, \"x\\u001b[31m.csv\": {}, \"../up.csv\": {}}}");
}

static enum status open_with(struct series *s, const char *text)
{
    write_manifest();
    write_file("series.csv", text);
    return series_open(s, folder, words);
}

/* What chart_draw prints of channels of the folder, the caller frees it. */
static char *drawn(const struct series *s, const char *const names[], int count,
                   const struct chart_wish *wish)
{
    struct series_pick pick[4];
    const char *near;
    char *text = NULL;
    size_t size = 0;
    for (int i = 0; i < count; i++)
        cr_assert(series_find(s, names[i], &pick[i], &near), "%s", names[i]);
    FILE *out = open_memstream(&text, &size);
    cr_expect_eq(chart_draw(s, pick, count, wish, out), STATUS_OK);
    fclose(out);
    return text;
}

static const struct chart_wish ALL = { .from = NAN, .to = NAN };

Test(series, tells_ends_and_extremes, .init = set_up, .fini = tear_down)
{
    struct series s;
    cr_assert_eq(open_with(&s, "day,level_cm,word\n0,5,a\n1,-2,b\n2,9,c\n3,4,d\n"), STATUS_OK);
    const struct series_file *f = s.file[0];
    cr_expect_eq(f->rows, 4);
    cr_expect_eq(f->along, 0);
    cr_expect_eq(f->label, 2);
    cr_expect_eq(f->stretches, 1);
    cr_expect_eq(f->column[1].first, 5.0);
    cr_expect_eq(f->column[1].last, 4.0);
    cr_expect_eq(f->column[1].least, -2.0);
    cr_expect_eq(f->column[1].greatest, 9.0);
    cr_expect(series_shown(f, 1));
    cr_expect_not(series_shown(f, 0));
    cr_expect_not(series_shown(f, 2));
    cr_expect_eq(s.events, -1);
    series_close(&s);
}

Test(series, takes_no_number_that_may_be_cut, .init = set_up, .fini = tear_down)
{
    struct series s;
    cr_assert_eq(open_with(&s, "day,a_L,b_L\n0,10,20\n1,nan,21\n2,inf,22\n3,1"), STATUS_OK);
    const struct series_file *f = s.file[0];
    cr_expect_eq(f->cut, 1);
    cr_expect_eq(f->column[1].numbers, 1);
    cr_expect_eq(f->column[1].least, 10.0);
    cr_expect_eq(f->column[1].words, 0, "nan and inf are no words");
    cr_expect_eq(f->column[2].last, 22.0);
    series_close(&s);
}

Test(series, puts_the_series_first_and_leaves_strangers_out, .init = set_up, .fini = tear_down)
{
    struct series s;
    write_file("b.csv", "day,x\n0,1\n");
    write_file("a.csv", "day,x\n0,1\n");
    write_file("x\033[31m.csv", "day,x\n0,1\n");
    cr_assert_eq(open_with(&s, "day,x\n0,1\n"), STATUS_OK);
    cr_assert_eq(s.files, 4);
    cr_expect_str_eq(s.file[0]->name, "series.csv");
    cr_expect_str_eq(s.file[1]->name, "a.csv");
    cr_expect_str_eq(s.file[2]->name, "b.csv");
    cr_expect_eq(s.file[3]->columns, 0, "a file that is gone has nothing");
    for (int i = 0; i < 4; i++)
        cr_expect(s.file[i]->altered);
    series_close(&s);
}

Test(series, refuses_what_holds_no_results, .init = set_up, .fini = tear_down)
{
    struct series s;
    cr_expect_eq(series_open(&s, folder, words), STATUS_NO_INPUT);
    cr_expect(strstr(words, "no results"));
    cr_expect_eq(series_open(&s, "/nowhere/at/all", words), STATUS_NO_INPUT);
    cr_expect_eq(series_open(&s, "/dev/null", words), STATUS_NO_INPUT);
    cr_expect(strstr(words, "no folder"));
    write_file("manifest.json", "{\"program\": \"other\", \"files\": {}}");
    cr_expect_eq(series_open(&s, folder, words), STATUS_NO_INPUT);
}

Test(series, names_stretches_by_what_is_the_same_along_each, .init = set_up, .fini = tear_down)
{
    struct series s;
    cr_assert_eq(open_with(&s, "second,v,rest_h\n1,5,0.25\n2,6,0.25\n\n\n1,7,8\n2,8,8\n"),
                 STATUS_OK);
    cr_expect_eq(s.file[0]->stretches, 2);
    cr_expect_str_eq(s.file[0]->stretch[0], "rest_h 0.25");
    cr_expect_str_eq(s.file[0]->stretch[1], "rest_h 8");
    series_close(&s);
    cr_assert_eq(
        open_with(&s, "# day 1\ndepth_cm,v\n1,5\n2,6\n\n\n# day 9\ndepth_cm,v\n1,7\n2,8\n"),
        STATUS_OK);
    cr_expect_eq(s.file[0]->stretches, 2);
    cr_expect_eq(s.file[0]->rows, 4, "a head that is repeated is no row");
    cr_expect_str_eq(s.file[0]->stretch[1], "day 9");
    series_close(&s);
}

Test(series, finds_by_whole_name_by_base_and_by_file, .init = set_up, .fini = tear_down)
{
    struct series s;
    struct series_pick p;
    const char *near = NULL;
    write_file("a.csv", "day,level_cm,made_L\n0,1,2\n");
    cr_assert_eq(open_with(&s, "day,level_cm,level_mm\n0,1,2\n"), STATUS_OK);
    static const struct {
        const char *name, *file;
        int column;
    } cases[] = { { "level_cm", "series.csv", 1 },       { "level_mm", "series.csv", 2 },
                  { "level", "series.csv", 1 },          { "a:level", "a.csv", 1 },
                  { "a.csv:level_cm", "a.csv", 1 },      { "made", "a.csv", 2 },
                  { "series:level_mm", "series.csv", 2 } };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        cr_assert(series_find(&s, cases[i].name, &p, &near), "%s", cases[i].name);
        cr_expect_str_eq(p.file->name, cases[i].file, "%s", cases[i].name);
        cr_expect_eq(p.column, cases[i].column, "%s", cases[i].name);
    }
    cr_expect_not(series_find(&s, "levle_cm", &p, &near));
    cr_expect_str_eq(near, "level_cm");
    cr_expect_not(series_find(&s, "leve", &p, &near));
    cr_expect_str_eq(near, "level_cm");
    cr_expect_not(series_find(&s, "a:level_mm", &p, &near));
    cr_expect_str_eq(near, "level_cm", "the nearest in the file that was named");
    cr_expect_not(series_find(&s, "day", &p, &near), "the axis is no channel");
    series_close(&s);
}

Test(series, knows_the_units_at_the_end_of_names)
{
    static const struct {
        const char *name, *unit;
        int base;
    } cases[] = { { "product_flow_mL_min", "mL/min", 12 },
                  { "product_carbon_mg_L_as_CO2", "mg/L as CO2", 14 },
                  { "silica_over_0.05_mg_L_day", "day", 16 },
                  { "evaporation_L_day", "L/day", 11 },
                  { "share", "", 5 },
                  { "_L", "", 2 },
                  { "", "", 0 } };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const struct series_unit u = series_unit_of(cases[i].name);
        cr_expect_str_eq(u.words, cases[i].unit, "%s", cases[i].name);
        cr_expect_eq(u.base, cases[i].base, "%s", cases[i].name);
    }
}

Test(series, turns_times_into_places_on_the_axis, .init = set_up, .fini = tear_down)
{
    struct series s;
    double at = 0.0;
    write_file("a.csv", "second,x\n0,1\n");
    write_file("b.csv", "part,x\na,1\n");
    cr_assert_eq(open_with(&s, "day,x\n0,1\n"), STATUS_OK);
    cr_assert(series_moment(&s, s.file[0], "36 h", &at, words));
    cr_expect_float_eq(at, 1.5, 1e-12);
    cr_assert(series_moment(&s, s.file[1], "2 min", &at, words));
    cr_expect_float_eq(at, 120.0, 1e-9);
    cr_expect_not(series_moment(&s, s.file[2], "2 min", &at, words));
    cr_expect_not(series_moment(&s, s.file[0], "2 bar", &at, words));
    cr_expect_not(series_moment(&s, s.file[0], "2026-03-01", &at, words), "no scenario is there");
    series_close(&s);
}

/* ---- thinned ----------------------------------------------------------------------------------
 */

Test(thin, part_keeps_to_its_window_and_stretch, .init = set_up, .fini = tear_down)
{
    static const char *const name[] = { "day", "x" };
    struct thinned t;
    write_file("a.csv", "day,x\n0,1\n1,2\n2,50\n3,4\n0,7\n1,8\n2,9\n");
    const int dir = open(folder, O_RDONLY | O_DIRECTORY);
    struct thin_wish wish = { name, 2, 0.0, 0.5, 2.5, 4, 0 };
    cr_assert_eq(thin_part(&t, dir, "a.csv", &wish), STATUS_OK);
    cr_expect_eq(t.bins, 4);
    cr_expect_eq(t.from, 0.5);
    cr_expect_eq(t.to, 2.5);
    cr_expect_eq(thin_bin(&t, 1, 0).count, 0);
    cr_expect_eq(thin_bin(&t, 1, 1).low, 2.0);
    cr_expect_eq(thin_bin(&t, 1, 3).high, 50.0);
    thin_free(&t);
    wish.stretch = 1;
    cr_assert_eq(thin_part(&t, dir, "a.csv", &wish), STATUS_OK);
    cr_expect_eq(thin_bin(&t, 1, 3).high, 9.0);
    thin_free(&t);
    wish.stretch = 2;
    cr_expect_eq(thin_part(&t, dir, "a.csv", &wish), STATUS_NO_INPUT);
    close(dir);
}

/* ---- charts -----------------------------------------------------------------------------------
 */

static bool fits(const char *text)
{
    for (const char *at = text; *at; at += strcspn(at, "\n") + (at[strcspn(at, "\n")] != '\0'))
        if (strcspn(at, "\n") > 80)
            return false;
    return true;
}

Test(chart, keeps_a_spike_of_one_row_among_many, .init = set_up, .fini = tear_down)
{
    char *text = NULL;
    size_t size = 0;
    struct series s;
    FILE *out = open_memstream(&text, &size);
    fputs("day,level_cm\n", out);
    for (int i = 0; i < 20000; i++)
        fprintf(out, "%d,%d\n", i, i == 12345 ? 99 : 10 + i % 2);
    fclose(out);
    cr_assert_eq(open_with(&s, text), STATUS_OK);
    free(text);
    const char *const names[] = { "level" };
    text = drawn(&s, names, 1, &ALL);
    cr_expect(strstr(text, "level, cm: 10 to 99, mean 10.5, last 11"), "%s", text);
    cr_expect(strchr(text, ':') && strstr(text, "* mean; : least to greatest"));
    char *line = strchr(text, '\n') + 1; /* the highest row has the spike alone, at its place */
    char *spike = strchr(line, ':');
    cr_assert_not_null(spike);
    cr_expect_eq(spike - line - 10, 12345 * 69 / 19999);
    cr_expect(fits(text));
    free(text);
    series_close(&s);
}

Test(chart, joins_few_rows_but_not_over_what_has_no_number, .init = set_up, .fini = tear_down)
{
    struct series s;
    const char *const names[] = { "x" };
    cr_assert_eq(open_with(&s, "day,x\n0,1\n10,1\n"), STATUS_OK);
    char *text = drawn(&s, names, 1, &ALL);
    cr_expect(strstr(text, "|*..........") && strstr(text, ". between two rows"), "%s", text);
    free(text);
    series_close(&s);
    cr_assert_eq(open_with(&s, "day,x\n0,1\n5,\n10,1\n"), STATUS_OK);
    text = drawn(&s, names, 1, &ALL);
    cr_expect(strstr(text, "|*   ") && !strstr(text, "between"), "%s", text);
    free(text);
    series_close(&s);
}

Test(chart, draws_what_never_changes_what_is_empty_and_what_is_great, .init = set_up,
     .fini = tear_down)
{
    static const char *const files[] = { "day,x\n0,0\n1,0\n",
                                         "day,x\n0,-7\n1,-7\n",
                                         "day,x\n5,3\n",
                                         "day,x\n0,nan\n1,\n",
                                         "day,x\n0,1e300\n1,-1e300\n",
                                         "day,x\n0,1e-300\n1,2e-300\n",
                                         "day,x\n-1e300,1\n1e300,2\n",
                                         "day,x\n",
                                         "day,x\n0,1e15\n1,1000000000000001\n" };
    const char *const names[] = { "x", "x", "x" };
    for (size_t i = 0; i < sizeof files / sizeof *files; i++) {
        struct series s;
        cr_assert_eq(open_with(&s, files[i]), STATUS_OK);
        for (int n = 1; n <= 3; n += 2) {
            char *text = drawn(&s, names, n, &ALL);
            cr_expect(fits(text), "%s%s", files[i], text);
            cr_expect_gt(strlen(text), 5);
            free(text);
        }
        series_close(&s);
    }
}

Test(chart, draws_a_curve_for_each_stretch, .init = set_up, .fini = tear_down)
{
    struct series s;
    const char *const names[] = { "v" };
    cr_assert_eq(open_with(&s, "second,v,rest_h\n1,5,1\n2,6,1\n1,7,8\n2,8,8\n"), STATUS_OK);
    char *text = drawn(&s, names, 1, &ALL);
    cr_expect(strstr(text, "1: rest_h 1; 2: rest_h 8"), "%s", text);
    cr_expect(strstr(text, "|2") && strstr(text, "|1"), "%s", text);
    free(text);
    series_close(&s);
}

Test(chart, shows_no_control_character_of_a_head_or_a_cell, .init = set_up, .fini = tear_down)
{
    struct series s;
    struct series_pick p;
    const char *near, *const names[] = { "e\033[31m\302\233vil_cm" };
    cr_assert_eq(open_with(&s, "part,e\033[31m\302\233vil_cm\n\033]0;x\007,5\n\"=1+1\",-3\n"),
                 STATUS_OK);
    char *text = drawn(&s, names, 1, &ALL);
    cr_expect(!strchr(text, '\033') && !strchr(text, '\007') && !strstr(text, "\302\233"), "%s",
              text);
    cr_expect(strstr(text, "e\\x1b[31m"), "%s", text);
    free(text);
    cr_assert(series_find(&s, names[0], &p, &near));
    size_t size = 0;
    FILE *out = open_memstream(&text, &size);
    cr_expect_eq(chart_csv(&s, &p, 1, &ALL, 0, out), STATUS_OK);
    fclose(out);
    cr_expect(!strchr(text, '\033') && !strchr(text, '\007'), "%s", text);
    cr_expect(strstr(text, "\"'=1+1\",-3"), "no formula: %s", text);
    free(text);
    series_close(&s);
}

Test(chart, prints_the_rows_of_a_window_whole_or_thinned, .init = set_up, .fini = tear_down)
{
    struct series s;
    struct series_pick p;
    const char *near;
    char *text = NULL;
    size_t size = 0;
    cr_assert_eq(open_with(&s, "day,x_L\n0,1\n1,\n2,3.25\n3,4\n"), STATUS_OK);
    cr_assert(series_find(&s, "x", &p, &near));
    const struct chart_wish wish = { .from = 1.0, .to = 2.5 };
    FILE *out = open_memstream(&text, &size);
    cr_expect_eq(chart_csv(&s, &p, 1, &wish, 0, out), STATUS_OK);
    fclose(out);
    cr_expect_str_eq(text, "day,x_L\n1,\n2,3.25\n");
    free(text);
    out = open_memstream(&text, &size);
    cr_expect_eq(chart_csv(&s, &p, 1, &ALL, 2, out), STATUS_OK);
    fclose(out);
    cr_expect_str_eq(text, "day,least_x_L,greatest_x_L,mean_x_L\n0.5,1,1,1\n2.5,3.25,4,3.625\n");
    free(text);
    series_close(&s);
}
