/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Tests of sim/render.c and what it stands on (figure, front, sheet, thin, gnuplot): figures of
 * made-up runs, a plotting program that is missing, fails, hangs or lies, and text that wants to be
 * a command.
 *
 * Slow: with sanitizers in the medium gate only.
 */
#define GNUPLOT_TIMEOUT_MS 600 /* a program that hangs shall not hold up the tests */
#include "../sim/gnuplot.c"

#include <criterion/criterion.h>
#include <ctype.h>
#include <dirent.h>
#include <ftw.h>
#include <math.h>

#include "folder.h"
#include "sim/embed.h"
#include "sim/render.h"

enum { PATH_ROOM = 600 };

static const char *const figure[] = { "levels", "meters", "production", "front",
                                      "wear",   "cost",   "pulse" };

enum { FIGURES = sizeof figure / sizeof *figure };

/* ---- folders and files -------------------------------------------------------------------- */

static const char *canary;
static bool canary_seen;

static int look_for_canary(const char *path, const struct stat *info, int type, struct FTW *ftw)
{
    (void)info, (void)type;
    canary_seen |= strcmp(path + ftw->base, canary) == 0;
    return 0;
}

static bool holds(const char *folder, const char *name)
{
    canary = name;
    canary_seen = false;
    nftw(folder, look_for_canary, 16, FTW_PHYS);
    return canary_seen;
}

static FILE *create(const char *dir, const char *name)
{
    char path[PATH_ROOM * 2];

    snprintf(path, sizeof path, "%s/%s", dir, name);
    FILE *out = fopen(path, "w");
    cr_assert_not_null(out, "%s", path);
    return out;
}

static char *contents(const char *dir, const char *name)
{
    char path[PATH_ROOM * 2];
    snprintf(path, sizeof path, "%s/%s", dir, name);
    FILE *in = fopen(path, "r");
    if (!in)
        return NULL;
    char *text = NULL;
    size_t size = 0;
    if (getdelim(&text, &size, '\0', in) < 0) {
        free(text);
        text = NULL;
    }
    fclose(in);
    return text;
}

static bool is_there(const char *dir, const char *name)
{
    char path[PATH_ROOM * 2];
    struct stat info;

    snprintf(path, sizeof path, "%s/%s", dir, name);
    return lstat(path, &info) == 0;
}

/* ---- a made-up run ------------------------------------------------------------------------ */

static void make_series(const char *dir, int days, const char *head)
{
    FILE *out = create(dir, "series.csv");

    fprintf(out,
            "# made up%s\nday,tank_level_cm,product_flow_mL_min,basin_level_mm,salinity_g_kg,"
            "feed_meter_ppm,permeate_meter_ppm,product_meter_ppm,product_silica_mg_L,"
            "product_carbon_mg_L_as_CO2%s\n",
            head, head);
    for (int i = 0; i <= 144 * days; i++) {
        const double day = i / 144.0, saw = fmod(day, 3.0) / 3.0, done = day / days;
        const double level = i == 1000 ? 12.3456 : 70.0 - 10.0 * saw; /* one row far below */
        fprintf(out, "%.9g,%.9g,%.9g,%.9g,%.9g,%d,%d,%d,%.9g,%.9g\n", day, level,
                saw > 0.9 ? 190.0 : 0.0, -3.0 * fmod(day, 0.5), 35.0 + saw, 245,
                7 + (int)(4.0 * done), (int)(3.0 * done), 4.0 / (1.0 + exp(10.0 - 20.0 * done)),
                3.0 * done * done);
    }
    fclose(out);
}

static void make_front(const char *dir, int days)
{
    FILE *out = create(dir, "front.csv");

    fprintf(out, "depth_cm,free_cation,sodium,potassium,calcium,magnesium,ammonium,"
                 "free_anion,chloride,sulfate,nitrate,fluoride,carbon,silica\n");
    for (int block = 0; block < 5; block++) {
        fprintf(out, "%s# day %g\n", block ? "\n\n" : "", days * block / 4.0);
        for (int i = 0; i < 30; i++) {
            const double used = 1.0 / (1.0 + exp(i - 7.0 * block));
            fprintf(out, "%g,%g,%g,%g,%g,%g,0,%g,%g,%g,0,0,%g,%g\n", (i + 0.5) * 0.6, 1.0 - used,
                    0.3 * used, 0.05 * used, 0.45 * used, 0.2 * used, 1.0 - used, 0.3 * used,
                    0.2 * used, 0.4 * used, 0.1 * used);
        }
    }
    fclose(out);
}

/* A standardised flow that is halved in a run; the flow itself follows a season as well. */
static void make_wear(const char *dir, int days)
{
    FILE *out = create(dir, "wear.csv");

    fprintf(out, "day,standard_flow_percent,standard_passage_percent,product_flow_mL_min,"
                 "sediment_drop_kPa,feed_temperature_degC\n");
    for (int day = 1; day <= days; day++) {
        const double flow = 100.0 - 50.0 * (day - 1) / days;
        fprintf(out, "%d,%g,%g,%g,%g,%g\n", day, flow, 200.0 - flow,
                1.8 * flow * (1.0 + 0.2 * sin((day - 1) / 58.0)), 2.0 + day % 90 / 10.0,
                12.0 + 6.0 * sin((day - 1) / 58.0));
    }
    fclose(out);
}

static void make_cost(const char *dir, const char *part, const char *currency)
{
    FILE *out = create(dir, "cost.csv");

    fprintf(out,
            "part,amount,currency\n\"water\",51.5,\"%s\"\n\"electricity\",0,\"%s\"\n"
            "\"%s\",24.25,\"%s\"\n",
            currency, currency, part, currency);
    fclose(out);
}

static void make_pulse(const char *dir, int rests)
{
    FILE *out = create(dir, "pulse.csv");

    fprintf(out, "second,permeate_ppm,rest_h\n");
    for (int block = 0; block < rests; block++) {
        const double rest = 0.25 * pow(4.0, block);
        fprintf(out, "%s", block > 0 ? "\n\n" : "");
        for (int t = 2; t <= 300; t += 2)
            fprintf(out, "%d,%.3f,%g\n", t, 7.0 + 230.0 * (1.0 - exp(-rest)) * exp(-t / 30.0),
                    rest);
    }
    fclose(out);
}

/* Writes what the engine leaves; `words` stands wherever a user may have written. */
static void make_run(const char *dir, int days, const char *words)
{
    make_series(dir, days, "");
    make_front(dir, days);
    make_wear(dir, days);
    make_cost(dir, words, words);
    make_pulse(dir, 4);

    FILE *out = create(dir, "daily.csv");
    fprintf(out, "day,produced_L,drained_L,needed_L,feed_temperature_degC\n");
    for (int day = 0; day < days; day++)
        fprintf(out, "%d,%g,%g,%g,%g\n", day, 11.0 + day % 3, 35.0 + day % 3, day % 14 ? 7.0 : 67.0,
                12.0 - 6.0 * cos(day / 58.0));
    fclose(out);

    out = create(dir, "events.csv");
    fprintf(out, "day,date,kind,part,words\n");
    static const struct {
        double at;
        const char *kind;
    } event[] = { { 0.1, "power off" },  { 0.12, "power on" },  { 0.3, "fill starts" },
                  { 0.4, "supply off" }, { 0.45, "supply on" }, { 0.6, "spill" },
                  { 0.6, "fault" },      { 0.61, "spill" },     { 0.62, "dry" },
                  { 0.9, "replace" },    { 0.91, "replace" },   { 0.97, "trip" } };
    for (size_t i = 0; i < sizeof event / sizeof *event; i++)
        fprintf(out, "%g,2026-01-01,%s,\"%s\",\"%s\"\n", event[i].at * days, event[i].kind, words,
                words);
    fclose(out);

    out = create(dir, "limits.csv");
    fprintf(out,
            "key,value\ntank_rim_cm,80\ntank_outlet_cm,3\nfill_on_cm,60\nfill_off_cm,70\n"
            "overflow_lip_cm,76\npermeate_limit_ppm,15\nproduct_limit_ppm,2\ntitle,\"%s\"\n",
            words);
    fclose(out);
}

/* Draws in a fresh folder; the caller removes it. */
static int drawn_in(const char *dir, const char **words)
{
    struct drawing d = { .stop = NULL };

    cr_assert_eq(render_figures(dir, &d), STATUS_OK);
    *words = d.trouble ? d.trouble : d.note;
    return d.drawn;
}

static void expect_svg(const char *dir, const char *name, bool there)
{
    char path[64];

    snprintf(path, sizeof path, "figures/%s.svg", name);
    char *text = contents(dir, path);
    cr_assert_eq(text != NULL, there, "%s", path);
    cr_assert(!there || strstr(text, "</svg>"), "%s", path);
    free(text);
}

/* ---- figures ------------------------------------------------------------------------------ */

static void draw_all(int days)
{
    char dir[PATH_ROOM], name[64];
    const char *words = "";

    folder_make(dir);
    make_run(dir, days, "Household, 2 people");
    cr_assert_eq(drawn_in(dir, &words), FIGURES, "%d days: %s", days, words ? words : "");
    cr_assert_null(words);
    for (size_t i = 0; i < FIGURES; i++) {
        expect_svg(dir, figure[i], true);
        snprintf(name, sizeof name, "figures/%s.gp", figure[i]);
        char *script = contents(dir, name);
        snprintf(name, sizeof name, "%s.gp", figure[i]);
        cr_assert_str_eq(script, embed_find(embedded_plots, name)->text);
        free(script);
    }
    char *svg = contents(dir, "figures/levels.svg");
    cr_assert(strstr(svg, "Household, 2 people") && strstr(svg, "tank level, cm"));
    free(svg);
    folder_remove(dir);
}

Test(render, draws_a_short_and_a_long_run)
{
    draw_all(21);
    draw_all(365);
    draw_all(1);
}

Test(render, draws_the_same_bytes_again)
{
    char dir[PATH_ROOM];
    const char *words;

    folder_make(dir);
    make_run(dir, 21, "again");
    drawn_in(dir, &words);
    char *first = contents(dir, "figures/levels.svg");
    cr_assert_eq(drawn_in(dir, &words), FIGURES);
    char *second = contents(dir, "figures/levels.svg");
    cr_assert_str_eq(first, second);
    free(first);
    free(second);
    folder_remove(dir);
}

Test(render, thinning_keeps_extremes_and_bounds_the_rows)
{
    char dir[PATH_ROOM];
    const char *words;
    int rows = 0;
    double least = INFINITY;

    folder_make(dir);
    make_run(dir, 365, "thin");
    drawn_in(dir, &words);
    char *text = contents(dir, "figures/levels.dat");
    for (char *line = strtok(text, "\n"); line; line = strtok(NULL, "\n")) {
        double day, low;
        if (sscanf(line, "%lf\t%lf", &day, &low) == 2) {
            rows++;
            least = fmin(least, low);
        }
    }
    free(text);
    cr_assert_float_eq(least, 12.3456, 1e-6, "%g", least);
    cr_assert(rows > 600 && rows <= 900, "%d rows", rows);
    folder_remove(dir);
}

static double parameter(const char *text, const char *name)
{
    const char *at = strstr(text, name);

    return at ? strtod(at + strlen(name), NULL) : NAN;
}

Test(render, labels_do_not_cover_each_other)
{
    char dir[PATH_ROOM];
    const char *words;
    double last = -INFINITY;
    int labels = 0;

    folder_make(dir);
    make_run(dir, 21, "labels");
    drawn_in(dir, &words);
    char *par = contents(dir, "figures/levels.par"),
         *text = contents(dir, "figures/levels-labels.dat");
    const double px = 210.0 / (parameter(par, "y1max = ") - parameter(par, "y1min = "));
    for (char *line = strtok(text, "\n"); line; line = strtok(NULL, "\n")) {
        int panel;
        double y;
        if (sscanf(line, "%d\t%lf", &panel, &y) != 2)
            continue;
        cr_assert_geq(px * (y - last), 14.0, "%s is %g px above the one before", line,
                      px * (y - last));
        last = y;
        labels++;
    }
    cr_assert_eq(labels, 5);
    free(par);
    free(text);
    folder_remove(dir);
}

Test(render, missing_files_and_odd_rows_are_survived)
{
    char dir[PATH_ROOM];
    const char *words = NULL;

    folder_make(dir);
    cr_assert_eq(drawn_in(dir, &words), 0);
    cr_assert_not_null(words);
    make_series(dir, 2, "");
    cr_assert_eq(drawn_in(dir, &words), 2);

    FILE *out = create(dir, "series.csv");
    fprintf(out, "day,tank_level_cm,feed_meter_ppm\n,,\nnan,1,2\n1\n2,x,inf\n3,4,5,6,7,8\n\"4\","
                 "\"5\"\"6\"\n");
    fclose(out);
    out = create(dir, "events.csv");
    fprintf(out, "kind,day\nspill\nspill,nan\nspill,2\npower on,1\npower off,2\n\"power off,3\n");
    fclose(out);
    out = create(dir, "front.csv");
    fprintf(out, "# day 3\n1,2\n# day x\n# day 4\n\n\n\n1,0.5,0.5\n");
    fclose(out);
    cr_assert_geq(drawn_in(dir, &words), 1);
    out = create(dir, "series.csv");
    fclose(out);
    cr_assert_leq(drawn_in(dir, &words), 1);
    folder_remove(dir);
    cr_assert_eq(render_figures(dir, &(struct drawing){ .stop = NULL }), STATUS_NO_INPUT);
}

/* ---- wear, cost, pulse -------------------------------------------------------------------- */

/* Draws in a folder that has the file of one figure alone. */
static void expect_alone(const char *dir, const char *name)
{
    const char *words;

    cr_assert_eq(drawn_in(dir, &words), 1, "%s", name);
    expect_svg(dir, name, true);
}

Test(render, new_figures_need_no_other_file_and_are_left_out_without_a_word)
{
    char dir[PATH_ROOM], path[PATH_ROOM * 2];
    const char *words = "";

    for (int i = 0; i < 3; i++) {
        folder_make(dir);
        if (i == 0)
            make_wear(dir, 30);
        else if (i == 1)
            make_cost(dir, "resin", "EUR");
        else
            make_pulse(dir, 4);
        expect_alone(dir, figure[4 + i]);
        folder_remove(dir);
    }
    folder_make(dir);
    make_run(dir, 21, "left out");
    for (int i = 0; i < 3; i++) {
        snprintf(path, sizeof path, "%s/%s.csv", dir, figure[4 + i]);
        cr_assert_eq(unlink(path), 0);
    }
    cr_assert_eq(drawn_in(dir, &words), FIGURES - 3);
    cr_assert_null(words);
    folder_remove(dir);
}

Test(render, flow_is_drawn_as_share_of_its_first_value)
{
    char dir[PATH_ROOM], *at = NULL;
    const char *words;
    int rows = 0;

    folder_make(dir);
    make_wear(dir, 200);
    drawn_in(dir, &words);
    char *text = contents(dir, "figures/wear.dat");
    for (char *line = strtok_r(text, "\n", &at); line; line = strtok_r(NULL, "\n", &at)) {
        double day, standard, flow;
        if (sscanf(line, "%lf\t%*f\t%*f\t%lf\t%*f\t%*f\t%lf", &day, &standard, &flow) != 3)
            continue;
        cr_assert_float_eq(standard, 100.0 - 50.0 * (day - 1.0) / 200.0, 1e-3, "day %g", day);
        cr_assert_float_eq(flow, standard * (1.0 + 0.2 * sin((day - 1.0) / 58.0)), 1e-3, "day %g",
                           day);
        rows++;
    }
    cr_assert_eq(rows, 200);
    free(text);
    folder_remove(dir);
}

Test(render, wear_without_membrane_or_flow_is_survived)
{
    char dir[PATH_ROOM];

    folder_make(dir);
    FILE *out = create(dir, "wear.csv");
    fprintf(out, "day,standard_flow_percent,standard_passage_percent,product_flow_mL_min,"
                 "sediment_drop_kPa,feed_temperature_degC\n1,,,0,,10\n2,,,5,,11\n");
    fclose(out);
    expect_alone(dir, "wear");
    char *labels = contents(dir, "figures/wear-labels.dat");
    cr_assert(strstr(labels, "not in this train"));
    cr_assert_not(strstr(labels, "as it flows"), "per cent of a first value of 0");
    free(labels);
    folder_remove(dir);
}

/* A part has one row and one name, however often it is replaced; a ninth part has no room. */
Test(render, replaced_parts_have_a_row_each)
{
    char dir[PATH_ROOM], *at = NULL;
    int marks = 0, names = 0, highest = -1;

    folder_make(dir);
    make_wear(dir, 100);
    FILE *out = create(dir, "events.csv");
    fprintf(out, "day,date,kind,part,words\n5,x,spill,tank,\n6,x,replace,,\n");
    for (int i = 0; i < 40; i++)
        fprintf(out, "%d,x,replace,part %d,\n", 10 + i, i % 8);
    fclose(out);
    expect_alone(dir, "wear");
    char *text = contents(dir, "figures/wear-marks.dat");
    for (char *line = strtok_r(text, "\n", &at); line; line = strtok_r(NULL, "\n", &at)) {
        double day;
        int row, first;
        if (sscanf(line, "%lf\t%d\t%d", &day, &row, &first) != 3)
            continue;
        if (day >= 10.0)
            cr_assert_eq(row, ((int)day - 10) % 8 + 1, "%s", line);
        highest = row > highest ? row : highest;
        names += first;
        marks++;
    }
    cr_assert_eq(marks, 36);
    cr_assert_eq(names, 8);
    cr_assert_eq(highest, 7);
    free(text);
    folder_remove(dir);
}

Test(render, bars_keep_their_order_and_are_summed)
{
    char dir[PATH_ROOM];

    folder_make(dir);
    make_cost(dir, "resin", "EUR");
    expect_alone(dir, "cost");
    char *text = contents(dir, "figures/cost.dat");
    cr_assert_str_eq(text, "# bar\tamount\tpart\twords\n1\t51.5\twater\t51.50 EUR\n"
                           "2\t0\telectricity\t0.00 EUR\n3\t24.25\tresin\t24.25 EUR\n");
    free(text);
    text = contents(dir, "figures/cost.svg");
    cr_assert(strstr(text, "75.75 EUR in all") && strstr(text, "electricity"));
    free(text);

    FILE *out = create(dir, "cost.csv");
    fprintf(out, "part,amount,currency\nwater,0,EUR\nodd\nodd,x,y\nsewer,2,USD\n");
    fclose(out);
    expect_alone(dir, "cost");
    text = contents(dir, "figures/cost.svg");
    cr_assert_not(strstr(text, "in all"), "unlike currencies have no sum");
    free(text);
    folder_remove(dir);
}

Test(render, lines_after_a_rest_are_named_apart)
{
    char dir[PATH_ROOM], *at = NULL;

    folder_make(dir);
    for (int rests = 1; rests <= 8; rests++) {
        int labels = 0;
        double last = -INFINITY;
        make_pulse(dir, rests);
        expect_alone(dir, "pulse");
        char *par = contents(dir, "figures/pulse.par");
        char *text = contents(dir, "figures/pulse-labels.dat");
        const double px = 360.0 / log10(1.0 + parameter(par, "y1max = "));
        for (char *line = strtok_r(text, "\n", &at); line; line = strtok_r(NULL, "\n", &at)) {
            double y;
            if (sscanf(line, "%*d\t%lf", &y) != 1)
                continue;
            const double place = px * log10(1.0 + y);
            cr_assert_geq(place - last, 14.0, "%s is %g px above the one before", line,
                          place - last);
            last = place;
            labels++;
        }
        cr_assert_eq(labels, rests < 6 ? rests : 6, "%d rests", rests);
        free(par);
        free(text);
    }
    char *svg = contents(dir, "figures/pulse.svg");
    cr_assert(strstr(svg, ">15 min<") && strstr(svg, ">64 h<"));
    free(svg);
    folder_remove(dir);
}

Test(render, does_not_follow_planted_links)
{
    char dir[PATH_ROOM], other[PATH_ROOM], path[PATH_ROOM * 2], target[PATH_ROOM * 2];
    const char *words;

    folder_make(dir);
    folder_make(other);
    make_run(dir, 2, "links");
    fclose(create(other, "victim"));
    snprintf(path, sizeof path, "%s/figures", dir);
    cr_assert_eq(symlink(other, path), 0);
    cr_assert_eq(render_figures(dir, &(struct drawing){ .stop = NULL }), STATUS_NO_OUTPUT);
    unlink(path);
    mkdir(path, 0777);
    snprintf(path, sizeof path, "%s/figures/levels.dat", dir);
    snprintf(target, sizeof target, "%s/victim", other);
    cr_assert_eq(symlink(target, path), 0);
    cr_assert_eq(drawn_in(dir, &words), FIGURES);
    char *text = contents(other, "victim");
    cr_assert_null(text, "the file behind the link was written");
    folder_remove(dir);
    folder_remove(other);
}

/* ---- in the terminal ---------------------------------------------------------------------- */

Test(render, terminal_figures_are_plain_text_of_the_width_asked_for)
{
    char dir[PATH_ROOM];
    const char *words = "";

    folder_make(dir);
    make_run(dir, 21, "terminal");
    for (int columns = 60; columns <= 120; columns += 20) {
        char *text = NULL;
        size_t size = 0;
        FILE *out = open_memstream(&text, &size);
        {
            struct drawing d = { .stop = NULL };
            cr_assert_eq(render_terminal(dir, columns, out, &d), STATUS_OK);
            words = d.trouble;
        }
        fclose(out);
        cr_assert_null(words);
        cr_assert(strstr(text, "FFFF") && strstr(text, "MMMM") && strstr(text, "****"));
        cr_assert(strstr(text, "SSSS") && strstr(text, "51.50 ") && strstr(text, "1111"));
        int width = 0;
        for (size_t i = 0; i < size; i++) {
            const unsigned char c = (unsigned char)text[i];
            cr_assert(c == '\n' || c >= ' ', "byte %d", c);
            width = c == '\n' ? 0 : width + 1;
            cr_assert_leq(width, columns);
        }
        free(text);
    }
    cr_assert_not(is_there(dir, "figures"), "the results are only read");
    folder_remove(dir);
}

/* ---- a plotting program that does not do its work ----------------------------------------- */

/* Puts a script of ours first on PATH under the name of the program. */
static void fake(char folder[PATH_ROOM], const char *script)
{
    char path[PATH_ROOM * 2];

    folder_make(folder);
    FILE *out = create(folder, "gnuplot");
    fprintf(out, "#!/bin/sh\n%s\n", script);
    fclose(out);
    snprintf(path, sizeof path, "%s/gnuplot", folder);
    chmod(path, 0755);
    snprintf(path, sizeof path, "%s:/usr/bin:/bin", folder);
    setenv("PATH", path, 1);
}

static void expect_no_figure(const char *script, const char *part_of_words)
{
    char dir[PATH_ROOM], folder[PATH_ROOM];
    const char *words = NULL;

    folder_make(dir);
    make_run(dir, 2, "fake");
    fake(folder, script);
    cr_assert_eq(drawn_in(dir, &words), 0, "%s", script);
    cr_assert(words && strstr(words, part_of_words), "%s: %s", script, words ? words : "no words");
    for (size_t i = 0; i < FIGURES; i++)
        expect_svg(dir, figure[i], false);
    cr_assert(is_there(dir, "figures/levels.dat") && is_there(dir, "figures/levels.gp"));
    folder_remove(dir);
    folder_remove(folder);
}

Test(render, a_missing_program_leaves_the_data)
{
    char dir[PATH_ROOM], empty[PATH_ROOM];
    const char *words = NULL;

    folder_make(dir);
    folder_make(empty);
    make_run(dir, 2, "missing");
    setenv("PATH", empty, 1);
    cr_assert_eq(drawn_in(dir, &words), 0);
    cr_assert(words && strstr(words, "not found"));
    cr_assert(is_there(dir, "figures/meters.dat"));
    unsetenv("PATH");
    cr_assert_eq(drawn_in(dir, &words), 0);
    {
        struct drawing d = { .stop = NULL };
        cr_assert_eq(render_terminal(dir, 80, stdout, &d), STATUS_OK);
        words = d.trouble;
    }
    cr_assert_not_null(words);
    folder_remove(dir);
    folder_remove(empty);
}

Test(render, a_failing_program_leaves_no_picture)
{
    expect_no_figure("exit 1", "failed");
    expect_no_figure("printf '<svg></svg> and more to be long</svg>' > ${2%.gp}.svg; exit 3",
                     "failed");
    expect_no_figure("kill -9 $$", "failed");
}

Test(render, a_lying_program_leaves_no_picture)
{
    expect_no_figure("exit 0", "whole picture");
    expect_no_figure(": > ${2%.gp}.svg", "whole picture");
    expect_no_figure("echo '<svg> half of a picture' > ${2%.gp}.svg", "whole picture");
    expect_no_figure("ln -s /etc/passwd ${2%.gp}.svg", "whole picture");
    expect_no_figure("mkdir ${2%.gp}.svg", "whole picture");
}

Test(render, a_hanging_program_is_stopped_and_not_tried_again, .timeout = 30)
{
    expect_no_figure("sleep 100", "did not finish");
    expect_no_figure("sleep 100 & exit 0", "did not finish"); /* its child keeps the pipe open */
    expect_no_figure("exec 1>&-; sleep 100", "did not finish");
    expect_no_figure("while :; do echo noise; done", "did not finish");
    expect_no_figure("trap '' TERM INT HUP; while :; do sleep 1; done", "did not finish");
}

Test(render, only_absolute_folders_of_path_are_searched)
{
    char folder[PATH_ROOM], found[PATH_MAX];

    fake(folder, "exit 0");
    cr_assert_eq(chdir(folder), 0);
    cr_assert_eq(gnuplot_find(found, sizeof found), GNUPLOT_FINE);
    setenv("PATH", ".::bin", 1);
    cr_assert_eq(gnuplot_find(found, sizeof found), GNUPLOT_MISSING);
    cr_assert_eq(chdir("/"), 0);
    folder_remove(folder);
}

Test(render, the_program_sees_a_clean_environment)
{
    char dir[PATH_ROOM], folder[PATH_ROOM];
    const char *words;

    folder_make(dir);
    make_run(dir, 2, "environment");
    setenv("GNUPLOT_LIB", "/tmp", 1);
    setenv("LC_ALL", "C", 1);
    fake(folder, "env > seen.txt; pwd > where.txt; echo \"$@\" > arguments.txt");
    drawn_in(dir, &words);
    char *seen = contents(dir, "figures/seen.txt");
    char *arguments = contents(dir, "figures/arguments.txt");
    cr_assert(strstr(seen, "LANG=C.UTF-8") && strstr(seen, "HOME=."));
    cr_assert(!strstr(seen, "GNUPLOT_LIB") && !strstr(seen, "LC_ALL"));
    cr_assert_str_eq(arguments, "-d pulse.gp\n"); /* the last figure */
    free(seen);
    free(arguments);
    folder_remove(dir);
    folder_remove(folder);
}

/* ---- text that wants to be a command ------------------------------------------------------ */

static const char *const attack[] = {
    "`touch canary`",                  /* backticks in a double-quoted title */
    "x\nsystem('touch canary')\n",     /* line feed in a single-quoted title */
    "x'; system('touch canary'); y='", /* breaking out of quotes */
    "x\"\"; system(\"\"touch canary\"\"); y=\"\"",
    "< touch canary", /* data from a program */
    "stats '< touch canary'",
    "load '< touch canary'",
    "| touch canary", /* output to a program */
    "!touch canary",
    "@canary\t\"\"`touch canary`\"\"\\`touch canary`\\n!touch canary",
    "%s%n%d $(touch canary) ${canary} \x1b[31m \xff\xfe \xc2\x85 {:Bold x} a_b^c \xe2\x82",
};

Test(render, words_never_run)
{
    for (size_t i = 0; i < sizeof attack / sizeof *attack; i++) {
        char top[PATH_ROOM];
        const char *words = NULL;
        folder_make(top);
        cr_assert_eq(chdir(top), 0);
        make_run(top, 2, attack[i]);
        make_series(top, 2, i == 1 || i == 9 ? "" : attack[i]); /* in the header, too */
        cr_assert_eq(drawn_in(top, &words), FIGURES, "attack %zu: %s", i, words ? words : "");
        cr_assert_not(holds(top, "canary"), "attack %zu ran", i);
        FILE *out = fopen("/dev/null", "w");
        {
            struct drawing d = { .stop = NULL };
            cr_assert_eq(render_terminal(top, 80, out, &d), STATUS_OK);
            words = d.trouble;
        }
        fclose(out);
        cr_assert_not(holds(top, "canary"), "attack %zu ran in the terminal", i);
        char *svg = contents(top, "figures/levels.svg");
        for (const char *c = svg; *c; c++)
            cr_assert(*c == '\n' || *c == '\t' || (unsigned char)*c >= ' ',
                      "attack %zu: control %d", i, *c);
        free(svg);
        cr_assert_eq(chdir("/"), 0);
        folder_remove(top);
    }
}

Test(render, folder_names_never_run)
{
    for (size_t i = 0; i < sizeof attack / sizeof *attack; i++) {
        char top[PATH_ROOM], dir[PATH_ROOM * 2];
        const char *words = NULL;
        folder_make(top);
        cr_assert_eq(chdir(top), 0);
        snprintf(dir, sizeof dir, "%s/%s", top, attack[i]);
        cr_assert_eq(mkdir(dir, 0777), 0);
        make_run(dir, 2, "folder");
        cr_assert_eq(drawn_in(i % 2 ? attack[i] : dir, &words), FIGURES, "folder %zu", i);
        cr_assert_not(holds(top, "canary"), "folder %zu ran", i);
        cr_assert_eq(chdir("/"), 0);
        folder_remove(top);
    }
}

/* The watch of the three tests about commands works: a program that does run leaves its canary. */
Test(render, a_canary_would_be_seen)
{
    char dir[PATH_ROOM], folder[PATH_ROOM];
    const char *words;

    folder_make(dir);
    make_run(dir, 2, "control");
    fake(folder, "touch canary");
    drawn_in(dir, &words);
    cr_assert(holds(dir, "canary"));
    folder_remove(dir);
    folder_remove(folder);
}

Test(render, start_up_files_never_run)
{
    char dir[PATH_ROOM];
    const char *words;

    folder_make(dir);
    make_run(dir, 2, "start");
    drawn_in(dir, &words);
    char figures[PATH_ROOM * 2];
    snprintf(figures, sizeof figures, "%s/figures", dir);
    FILE *out = create(figures, ".gnuplot");
    fprintf(out, "system('touch canary')\n");
    fclose(out);
    cr_assert_eq(drawn_in(dir, &words), FIGURES);
    cr_assert_not(holds(dir, "canary"));
    folder_remove(dir);
}

Test(embed, finds_by_name_and_counts_bytes)
{
    cr_assert_null(embed_find(embedded_plots, "no such script.gp"));
    for (const struct embedded *e = embedded_plots; e->name; e++) {
        cr_assert_eq(embed_find(embedded_plots, e->name), e);
        cr_assert_eq(strlen(e->text), e->size, "%s", e->name);
    }
}

Test(render, stop_at_once_when_asked_and_say_so)
{
    const volatile sig_atomic_t now = 2;
    struct drawing d = { .stop = &now };
    char dir[PATH_ROOM];
    folder_make(dir);
    make_run(dir, 1, "words");
    cr_assert_eq(render_figures(dir, &d), STATUS_OK);
    cr_assert(d.stopped);
    cr_assert_eq(d.drawn, 0);
    expect_svg(dir, "levels", false);
    folder_remove(dir);
}

/* Two steady days, with meters that end on other values than the mean of their last bin. */
static void make_steady(const char *dir, double evaporation)
{
    FILE *out = create(dir, "series.csv");
    fprintf(out, "day,tank_level_cm,basin_level_mm,salinity_g_kg,product_flow_mL_min,"
                 "evaporation_L_day,feed_meter_ppm,permeate_meter_ppm,product_meter_ppm,"
                 "product_silica_mg_L,product_carbon_mg_L_as_CO2\n");
    for (int i = 0; i < 6800; i++)
        fprintf(out, "%.4f,60,0,0,100,%g,245,%d,%d,0.1,0.2\n", i / 3400.0, evaporation,
                i == 6799 ? 6 : 239, i == 6799 ? 3 : 4);
    fclose(out);
}

Test(render, labels_lines_with_the_last_reading)
{
    char dir[PATH_ROOM];
    const char *words;
    folder_make(dir);
    make_run(dir, 2, "last");
    make_steady(dir, 4.0);
    drawn_in(dir, &words);
    char *text = contents(dir, "figures/meters-labels.dat");
    cr_expect(strstr(text, "\tpermeate 6\n") != NULL, "%s", text);
    cr_expect(strstr(text, "\tproduct 3\n") != NULL, "%s", text);
    free(text);
    folder_remove(dir);
}

Test(render, has_a_panel_of_served_water_only_where_there_is_some)
{
    for (int served = 0; served < 2; served++) {
        char dir[PATH_ROOM];
        const char *words;
        folder_make(dir);
        make_run(dir, 2, "served");
        make_steady(dir, served ? 4.0 : 0.0);
        cr_expect_eq(drawn_in(dir, &words), FIGURES);
        char *text = contents(dir, "figures/levels.svg");
        cr_expect_eq(strstr(text, "served water") != NULL, served, "%d", served);
        free(text);
        folder_remove(dir);
    }
}
