/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * sweep: what --vary says, and rows against runs of their own.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "sim/sweep.h"

static const char *const TWO_DAYS =
    "title = \"Two days\";\n"
    "feed = { meter = \"245 ppm\"; hardness = \"150 mg/L as CaCO3\";\n"
    "  alkalinity = \"120 mg/L as CaCO3\"; pH = { value = 7.4; sd = 0.1; };\n"
    "  pressure = { value = \"50 psi\"; low = \"45 psi\"; high = \"58 psi\"; };\n"
    "  coldest = \"6 degC\"; warmest = \"18 degC\"; treatment = \"chlorine\"; };\n"
    "train = ( \"sediment 5 um\", \"carbon block 10 in\", \"membrane 75 gal/day\",\n"
    "  \"mixed bed 10 in\" );\n"
    "storage = { diameter = \"50 cm\"; height = \"80 cm\"; shuts_at = \"70 cm\";\n"
    "  shutoff = [ \"level switches\" ]; };\n"
    "draws = ( { take = \"30 L\"; every = \"1 day\"; } );\n"
    "clock = { length = \"2 days\"; };\n";

/* ---- what --vary says -------------------------------------------------------------------------
 */

static struct vary v;
static char words[VARY_WORDS];

static void reads(const char *text, int count, const char *first, const char *last)
{
    cr_assert(vary_parse(text, false, &v, words), "%s: %s", text, words);
    cr_assert_eq(v.count, count, "%s: %d points", text, v.count);
    cr_assert_str_eq(v.point[0].word, first);
    cr_assert_str_eq(v.point[count - 1].word, last);
}

static void refuses(const char *text, const char *because)
{
    cr_assert_not(vary_parse(text, false, &v, words), "%s is taken", text);
    cr_assert_not_null(strstr(words, because), "%s: \"%s\" does not say \"%s\"", text, words,
                       because);
}

Test(vary, range_has_its_ends_and_even_steps)
{
    reads("feed.pressure=30..70 psi/9", 9, "30 psi", "70 psi");
    cr_assert_str_eq(v.key, "feed.pressure");
    for (int i = 0; i < 9; i++)
        cr_assert_eq(v.point[i].number, 30.0 + 5.0 * i);
    cr_assert_str_eq(v.point[1].word, "35 psi");
    reads("feed.pH=6.8..7.4/4", 4, "6.8", "7.4");
    cr_assert_str_eq(v.point[1].word, "7");
    reads("feed.coldest=-2..8 degC/3", 3, "-2 degC", "8 degC");
}

Test(vary, what_stands_before_a_unit_is_no_number_of_points)
{
    cr_assert(vary_parse("k=1..2/30000 mm", true, &v, words), "%s", words);
    cr_assert_eq(v.count, 0, "%d points", v.count);
    refuses("k=1..2/30000 mm", "how many points");
}

Test(vary, ends_too_far_apart_are_refused)
{
    refuses("k=-1e308..1e308/3", "too far apart");
    refuses("k=1e-300..1e300/3 log", "too far apart");
}

Test(vary, numbers_with_what_can_be_no_unit_are_words)
{
    reads("k=1,2 aunitthatislongerthananyunitthatthereisintheworld", 2, "1",
          "2 aunitthatislongerthananyunitthatthereisintheworld");
    cr_assert_not(v.numbers);
}

Test(vary, quotes_and_blanks_do_not_matter)
{
    reads("feed.pressure=\"30 psi\"..\"70 psi\"/9", 9, "30 psi", "70 psi");
    reads("feed.pressure= 30 .. 70psi / 9 ", 9, "30 psi", "70 psi");
    reads("feed.pressure=\"30..70 psi\"/2", 2, "30 psi", "70 psi");
}

Test(vary, unit_with_a_stroke_keeps_it)
{
    reads("feed.hardness=50..150 mg/L as CaCO3/3", 3, "50 mg/L as CaCO3", "150 mg/L as CaCO3");
    refuses("feed.hardness=50..150 mg/L", "how many points");
}

Test(vary, ratios_are_even)
{
    reads("feed.chlorine=0.1..10 mg/L/3 log", 3, "0.1 mg/L", "10 mg/L");
    cr_assert_float_eq(v.point[1].number, 1.0, 1e-11);
    reads("feed.chlorine=0.1..10 mg/L/5log", 5, "0.1 mg/L", "10 mg/L");
    for (int i = 1; i < 5; i++)
        cr_assert_float_eq(v.point[i].number / v.point[i - 1].number, sqrt(10.0), 1e-9);
}

Test(vary, list_shares_the_last_unit)
{
    reads("storage.shuts_at=40,55, 60 cm", 3, "40 cm", "60 cm");
    cr_assert(v.numbers && v.point[1].number == 55.0);
    reads("feed.treatment=chlorine,chloramine", 2, "chlorine", "chloramine");
    cr_assert(!v.numbers && isnan(v.point[0].number));
    reads("a.b=true,false", 2, "true", "false");
    reads("a.b=\"level switches\",\"float valve\"", 2, "level switches", "float valve");
}

Test(vary, what_says_nothing_is_refused)
{
    refuses("", "--vary needs");
    refuses("feed.pressure", "--vary needs");
    refuses("=1..2/3", "--vary needs");
    refuses("feed.pressure=", "a value is missing");
    refuses("feed.pressure=30,,40 psi", "a value is missing");
    refuses("feed.pressure=30 psi", "one value is no sweep");
    refuses("feed.pressure=30 psi,30 psi", "twice");
    refuses("feed.pressure=30..70 psi/1", "for one value there is --set");
    refuses("feed.pressure=30..70 psi/0", "2 to 400 points");
    refuses("feed.pressure=30..70 psi/401", "2 to 400 points");
    refuses("feed.pressure=30..70 psi", "how many points");
    refuses("feed.pressure=30..70 psi/x", "how many points");
    refuses("feed.pressure=70..30 psi/5", "from the less to the more");
    refuses("feed.pressure=30..30 psi/5", "from the less to the more");
    refuses("feed.pressure=30 bar..70 psi/5", "the same unit");
    refuses("feed.pressure=..70 psi/5", "are numbers");
    refuses("feed.pressure=low..high/5", "are numbers");
    refuses("feed.chlorine=0..10 mg/L/5 log", "above 0");
    refuses("feed.coldest=-1..10 degC/5 log", "above 0");
    refuses("draws=({take=1},{take=2})", "no value of --vary");
}

Test(vary, sample_takes_a_range_without_points)
{
    cr_assert(vary_parse("feed.pressure=30..70 psi", true, &v, words), "%s", words);
    struct vary_point p;
    vary_at(&v, 0.25, &p);
    cr_assert_str_eq(p.word, "40 psi");
    cr_assert_not(vary_parse("feed.pressure=30..70 psi/5", true, &v, words));
    cr_assert_not(vary_parse("feed.treatment=chlorine,none", true, &v, words));
}

/* ---- rows -------------------------------------------------------------------------------------
 */

struct swept {
    char path[32];
    struct scenario scenario;
    struct report *known, *report;
    struct sweep sweep;
    int refused;
    char words[SWEEP_COMPLAINT];
};

static struct swept *begin(void)
{
    struct swept *t = calloc(1, sizeof *t);
    strcpy(t->path, "/tmp/leat-sweep-XXXXXX");
    const int file = mkstemp(t->path);
    cr_assert(file >= 0 && write(file, TWO_DAYS, strlen(TWO_DAYS)) == (ssize_t)strlen(TWO_DAYS));
    close(file);
    t->known = report_create();
    t->report = report_create();
    cr_assert_eq(scenario_load(t->path, NULL, &t->scenario, t->known), STATUS_OK);
    return t;
}

static enum status plan(struct swept *t, const char *const vary[], int n, int samples, int jobs)
{
    const struct sweep_options options = { .file = t->path,
                                           .vary = vary,
                                           .varied = n,
                                           .samples = samples,
                                           .seed = 3,
                                           .crew = { .jobs = jobs } };
    return sweep_plan(&t->sweep, &t->scenario, &options, t->words);
}

static enum status check(struct swept *t)
{
    return sweep_check(&t->sweep, t->known, t->report, &t->refused);
}

static void finish(struct swept *t)
{
    unlink(t->path);
    sweep_free(&t->sweep);
    scenario_free(&t->scenario);
    report_free(t->known);
    report_free(t->report);
    free(t);
}

/* The answers of a run of its own, from the words of a --set. */
static void run_alone(const struct swept *t, const char *const sets[], double out[])
{
    static struct scenario one;
    struct report *report = report_create();
    cr_assert_eq(scenario_load(t->path, sets, &one, report), STATUS_OK);
    struct summary summary;
    summary_init(&summary);
    const struct observer o = { summary_see, &summary };
    const struct run_options options = { .observers = &o, .observer_count = 1 };
    struct run_figures figures;
    char said[RUN_WORDS];
    cr_assert_eq(run_simulate(&one.plant, &one.plan, &options, &figures, said), STATUS_OK);
    sweep_answer_row(&t->sweep, &summary, &one, out);
    /* against the summary itself, so that a column is what its name says */
    cr_assert_eq(out[sweep_answer_named(&t->sweep, "product_L")], 1e3 * summary.x[X_PRODUCT]);
    cr_assert_eq(out[sweep_answer_named(&t->sweep, "tank_lowest_cm")], 100.0 * summary.tank_lowest);
    cr_assert_eq(out[sweep_answer_named(&t->sweep, "used_resin")], 100.0 * summary.used[3]);
    cr_assert_eq(out[sweep_answer_named(&t->sweep, "replaced_carbon")], summary.renewals[1]);
    scenario_free(&one);
    report_free(report);
}

Test(sweep, rows_are_runs_with_set)
{
    struct swept *t = begin();
    const char *const vary[] = { "feed.pressure=40..60 psi/3", "draws.1.take=20,40 L" };
    cr_assert_eq(plan(t, vary, 2, 0, 1), STATUS_OK, "%s", t->words);
    cr_assert_eq(t->sweep.rows, 6);
    cr_assert_eq(check(t), STATUS_OK);
    cr_assert_eq(sweep_run(&t->sweep), STATUS_OK);
    for (int i = 0; i < 6; i++) {
        static const char *const pressure[] = { "feed.pressure=\"40 psi\"",
                                                "feed.pressure=\"50 psi\"",
                                                "feed.pressure=\"60 psi\"" };
        static const char *const take[] = { "draws.1.take=\"20 L\"", "draws.1.take=\"40 L\"" };
        const char *const sets[] = { pressure[i / 2], take[i % 2], NULL };
        double alone[SWEEP_ANSWERS] = { 0 };
        run_alone(t, sets, alone);
        for (int j = 0; j < t->sweep.answers; j++)
            cr_assert(memcmp(&alone[j], &t->sweep.row[i].answer[j], sizeof alone[j]) == 0 ||
                          (isnan(alone[j]) && isnan(t->sweep.row[i].answer[j])),
                      "row %d, %s: %.17g, alone %.17g", i, t->sweep.answer[j].name,
                      t->sweep.row[i].answer[j], alone[j]);
    }
    finish(t);
}

Test(sweep, threads_do_not_matter)
{
    struct swept *one = begin(), *three = begin();
    const char *const vary[] = { "feed.pressure=40..60 psi" };
    cr_assert_eq(plan(one, vary, 1, 8, 1), STATUS_OK);
    cr_assert_eq(plan(three, vary, 1, 8, 3), STATUS_OK);
    cr_assert_eq(sweep_run(&one->sweep), STATUS_OK);
    cr_assert_eq(sweep_run(&three->sweep), STATUS_OK);
    cr_assert_eq(memcmp(one->sweep.row, three->sweep.row, 8 * sizeof *one->sweep.row), 0);
    cr_assert_neq(one->sweep.row[0].answer[0], one->sweep.row[1].answer[0]);
    finish(one);
    finish(three);
}

/* Each eighth of the range holds one of eight rows. */
Test(sweep, sample_of_a_range_is_a_latin_hypercube)
{
    struct swept *t = begin();
    const char *const vary[] = { "feed.pressure=40..60 psi", "feed.chlorine=0.1..10 mg/L log" };
    cr_assert_eq(plan(t, vary, 2, 8, 1), STATUS_OK);
    unsigned pressure = 0, chlorine = 0;
    for (int i = 0; i < 8; i++) {
        const struct vary_point *p = t->sweep.row[i].point;
        pressure |= 1u << (int)((p[0].number - 40.0) / 20.0 * 8.0);
        chlorine |= 1u << (int)(log10(p[1].number / 0.1) / 2.0 * 8.0);
    }
    cr_assert_eq(pressure, 255u);
    cr_assert_eq(chlorine, 255u);
    finish(t);
}

/* Half of the rows lie below the median, a tenth below what is passed nine times in ten. */
Test(sweep, sample_of_spreads_follows_them)
{
    struct swept *t = begin();
    cr_assert_eq(plan(t, NULL, 0, 200, 1), STATUS_OK, "%s", t->words);
    cr_assert_eq(t->sweep.parameters, 2);
    int below[3] = { 0 }, pressure = strcmp(t->sweep.parameter[0].key, "feed.pressure") != 0;
    cr_assert_str_eq(t->sweep.parameter[pressure].key, "feed.pressure");
    static const double psi = 6894.757293168;
    for (int i = 0; i < 200; i++) {
        const double p = t->sweep.row[i].point[pressure].number / psi;
        below[0] += p < 45.0;
        below[1] += p < 50.0;
        below[2] += p < 58.0;
    }
    cr_assert_eq(below[0], 20);
    cr_assert_eq(below[1], 100);
    cr_assert_eq(below[2], 180);
    cr_assert_eq(check(t), STATUS_OK);
    finish(t);
}

/* ---- refusals ---------------------------------------------------------------------------------
 */

static void is_refused(const char *vary, int refused, const char *because)
{
    struct swept *t = begin();
    char *said = NULL;
    size_t size = 0;
    cr_assert_eq(plan(t, &vary, 1, 0, 1), STATUS_OK, "%s", t->words);
    cr_assert_eq(check(t), STATUS_SCENARIO);
    cr_assert_eq(t->refused, refused, "%s: %d rows", vary, t->refused);
    FILE *out = open_memstream(&said, &size);
    report_print(t->report, out, false);
    fclose(out);
    cr_assert_not_null(strstr(said, because), "%s", said);
    free(said);
    finish(t);
}

Test(sweep, rows_are_checked_like_sets)
{
    is_refused("feed.presure=30..70 psi/5", 5, "did you mean \"pressure\"?");
    is_refused("feed.pressure=30..70/5", 5, "pressure needs a unit");
    is_refused("feed.pressure=30..70 L/5", 5, "not of pressure");
    is_refused("feed.pressure=30..700 psi/5", 3, "--set feed.pressure=365 psi: error");
    is_refused("storage.shutoff=level switches,nothing", 1, "unknown shutoff \"nothing\"");
    is_refused("storage.shuts_at=70,90 cm", 1, "--set storage.shuts_at=90 cm");
}

Test(sweep, same_words_are_said_once)
{
    struct swept *t = begin();
    const char *const vary[] = { "feed.presure=30..70 psi/5" };
    cr_assert_eq(plan(t, vary, 1, 0, 1), STATUS_OK);
    check(t);
    cr_assert_eq(report_count(t->report, SEVERITY_ERROR), 1);
    finish(t);
}

static void is_no_plan(const char *const vary[], int n, int samples, const char *because)
{
    struct swept *t = begin();
    cr_assert_eq(plan(t, vary, n, samples, 1), STATUS_USAGE);
    cr_assert_not_null(strstr(t->words, because), "%s", t->words);
    finish(t);
}

Test(sweep, what_is_no_plan)
{
    const char *const three[] = { "feed.pressure=1..2 bar/2", "feed.pH=7,8", "a.b=1,2" };
    const char *const twice[] = { "feed.pressure=1..2 bar/2", "feed.pressure=3..4 bar/2" };
    const char *const many[] = { "feed.pressure=1..4 bar/50", "feed.pH=7..8/50" };
    is_no_plan(three, 3, 0, "twice at most, not 3");
    is_no_plan(twice, 2, 0, "varied twice");
    is_no_plan(many, 2, 0, "2500 rows are too many");
    is_no_plan(NULL, 0, 0, "what shall vary?");
}

/* ---- how answers move -------------------------------------------------------------------------
 */

/* A line of five rows with the answers y, without a run. */
static struct sweep_move moved(const double y[5])
{
    static struct sweep s;
    static struct sweep_row row[5];
    s = (struct sweep){ .parameters = 1, .rows = 5, .row = row, .answers = 1 };
    s.parameter[0].numbers = true;
    s.answer[0].least = 0.1;
    for (int i = 0; i < 5; i++) {
        row[i].point[0].number = i;
        row[i].answer[0] = y[i];
    }
    struct sweep_move m[SWEEP_ANSWERS];
    sweep_moves(&s, m);
    return m[0];
}

Test(sweep, courses)
{
    cr_assert_eq(moved((double[]){ 1, 2, 2, 3, 9 }).course, COURSE_UP);
    cr_assert_eq(moved((double[]){ 9, 3, 2, 2, 1 }).course, COURSE_DOWN);
    cr_assert_eq(moved((double[]){ 5, 3, 2, 4, 6 }).course, COURSE_BOTTOM);
    cr_assert_eq(moved((double[]){ 5, 7, 9, 8, 6 }).course, COURSE_TOP);
    cr_assert_eq(moved((double[]){ 5, 9, 1, 8, 6 }).course, COURSE_UNEVEN);
    cr_assert_eq(moved((double[]){ 5, 5.05, 5, 5, 5 }).course, COURSE_SAME);
    cr_assert_eq(moved((double[]){ 5, 5.05, 5, 5, 5 }).size, 0.0);
    const struct sweep_move m = moved((double[]){ 5, 7, 10, 8, 6 });
    cr_assert(m.low == 0 && m.high == 2 && m.size == 0.5);
    const struct sweep_move never = moved((double[]){ 5, 5, NAN, 5, 5 });
    cr_assert(never.known == 4 && never.size == 1.0);
    cr_assert_eq(moved((double[]){ NAN, NAN, NAN, NAN, NAN }).size, 0.0);
}

Test(sweep, ranks)
{
    static struct sweep s;
    static struct sweep_row row[5];
    static const double x[] = { 1, 2, 3, 4, 5 }, y[] = { 2, 1, 4, 3, 5 };
    s = (struct sweep){ .parameters = 1, .rows = 5, .row = row, .answers = 3 };
    for (int i = 0; i < 5; i++) {
        row[i].point[0].number = x[i];
        row[i].answer[0] = y[i];
        row[i].answer[1] = -exp(x[i]);
        row[i].answer[2] = 7.0;
    }
    cr_assert_float_eq(sweep_rank(&s, 0, 0), 0.8, 1e-12); /* 1 - 6 sum d2 / (n (n2 - 1)) */
    cr_assert_float_eq(sweep_rank(&s, 1, 0), -1.0, 1e-12);
    cr_assert(isnan(sweep_rank(&s, 2, 0)));
}
