/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Redoes every line of `leat along --explain` from what it shows alone: a reader and a calculator
 * of their own, which know nothing of the program.
 */
#include <criterion/criterion.h>
#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "fixture.h"
#include "sim/along_explain.h"

/* ---- a calculator: operators by precedence on two stacks ----------------------------------------
 */

enum { DEPTH = 128, NAMES = 64 };

struct named {
    int count;
    char name[NAMES][32];
    double value[NAMES];
};

struct stacks {
    double number[DEPTH];
    int numbers;
    char sign[DEPTH][8]; /* "+", "neg", "(", "exp(", "," is never kept */
    int signs;
    bool bad;
};

static int rank(const char *sign)
{
    return strcmp(sign, "^") == 0     ? 4
           : strcmp(sign, "neg") == 0 ? 3
           : strchr("*/", sign[0])    ? 2
           : strchr("+-", sign[0])    ? 1
                                      : 0;
}

static double pop(struct stacks *s)
{
    s->bad |= s->numbers == 0;
    return s->numbers > 0 ? s->number[--s->numbers] : NAN;
}

static void apply(struct stacks *s)
{
    const char *sign = s->sign[--s->signs];
    const double b = pop(s);
    if (strcmp(sign, "neg") == 0) {
        s->number[s->numbers++] = -b;
        return;
    }
    const double a = pop(s);
    s->number[s->numbers++] = sign[0] == '+'   ? a + b
                              : sign[0] == '-' ? a - b
                              : sign[0] == '*' ? a * b
                              : sign[0] == '/' ? a / b
                                               : pow(a, b);
}

static void close_bracket(struct stacks *s)
{
    while (s->signs > 0 && rank(s->sign[s->signs - 1]) > 0)
        apply(s);
    s->bad |= s->signs == 0;
    if (s->bad)
        return;
    const char *f = s->sign[--s->signs];
    if (strcmp(f, "(") == 0)
        return;
    const double b = pop(s);
    double *top = &s->number[s->numbers++];
    if (strcmp(f, "min(") == 0 || strcmp(f, "max(") == 0) {
        s->numbers--;
        const double a = pop(s);
        s->number[s->numbers++] = f[1] == 'i' ? fmin(a, b) : fmax(a, b);
    } else {
        *top = strcmp(f, "exp(") == 0     ? exp(b)
               : strcmp(f, "ln(") == 0    ? log(b)
               : strcmp(f, "log10(") == 0 ? log(b) / log(10.0)
               : strcmp(f, "sqrt(") == 0  ? pow(b, 0.5)
               : strcmp(f, "round(") == 0 ? floor(b + 0.5)
                                          : NAN;
    }
}

static double look_up(const struct named *n, const char *name)
{
    if (strcmp(name, "pi") == 0)
        return 4.0 * atan(1.0);
    for (int i = 0; n && i < n->count; i++)
        if (strcmp(n->name[i], name) == 0)
            return n->value[i];
    return NAN;
}

static bool reckon(const char *text, const struct named *names, double *value)
{
    struct stacks s = { .numbers = 0 };
    bool operand = true; /* one is due */
    for (const char *p = text; *p && !s.bad && s.numbers < DEPTH - 2 && s.signs < DEPTH - 2;) {
        char *end;
        char word[40] = "";
        if (*p == ' ') {
            p++;
        } else if (isdigit((unsigned char)*p)) {
            s.number[s.numbers++] = strtod(p, &end);
            s.bad |= !operand;
            operand = false;
            p = end;
        } else if (isalpha((unsigned char)*p)) {
            size_t n = 0;
            while ((isalnum((unsigned char)p[n]) || p[n] == '_' || p[n] == '\'') && n < 30)
                n++;
            memcpy(word, p, n);
            p += n;
            s.bad |= !operand;
            if (*p == '(') {
                snprintf(s.sign[s.signs++], 8, "%.6s(", word);
                p++;
            } else {
                s.number[s.numbers++] = look_up(names, word);
                operand = false;
            }
        } else if (*p == '(') {
            strcpy(s.sign[s.signs++], "(");
            p++;
        } else if (*p == ')' || *p == ',') {
            if (*p == ')')
                close_bracket(&s);
            while (*p == ',' && s.signs > 0 && rank(s.sign[s.signs - 1]) > 0)
                apply(&s);
            operand = *p++ == ',';
        } else {
            const bool neg = operand && *p == '-';
            const char sign[8] = { *p, '\0' };
            const char *as = neg ? "neg" : sign;
            /* to the right only a power and a sign bind again */
            while (!neg && s.signs > 0 && rank(s.sign[s.signs - 1]) >= rank(as) && *p != '^')
                apply(&s);
            strcpy(s.sign[s.signs++], as);
            s.bad |= !strchr("+-*/^", *p) || (operand && !neg);
            operand = true;
            p++;
        }
    }
    while (s.signs > 0 && !s.bad)
        apply(&s);
    *value = s.numbers == 1 && !s.bad && !operand ? s.number[0] : NAN;
    return !isnan(*value);
}

Test(explain, has_a_calculator_that_reckons)
{
    static const struct {
        const char *text;
        double value;
    } rows[] = { { "1 + 2*3^2", 19.0 },
                 { "-2^2", -4.0 },
                 { "2^(-1)", 0.5 },
                 { "8/4/2", 1.0 },
                 { "10 - 4 - 3", 3.0 },
                 { "2^3^2", 512.0 },
                 { "(1 + 2)*(3 - 1)/3", 2.0 },
                 { "min(3, max(1, 2))*2", 4.0 },
                 { "ln(exp(2.5)) + log10(1e-3) + sqrt(16) + round(2.6)", 6.5 },
                 { "exp(-(1 + 1))", 0.1353352832366127 },
                 { "-min(4, 2*3)", -4.0 },
                 { "(-3.5)*2 + 1e3", 993.0 } };
    double value;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        cr_assert(reckon(rows[i].text, NULL, &value), "%s", rows[i].text);
        cr_assert_float_eq(value, rows[i].value, 1e-9, "%s: %g", rows[i].text, value);
    }
    static const char *const wrong[] = { "1 +", "(1", "1)", "2 3", "* 2", "what", "1 @ 2", "" };
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++)
        cr_assert_not(reckon(wrong[i], NULL, &value), "%s", wrong[i]);
}

/* The program's own calculator is another one: both agree. */
Test(explain, reckons_as_the_calculator_does)
{
    static struct explain e;
    static const char *const rows[] = { "a + b*c^2",
                                        "-a^2",
                                        "2^(-b)",
                                        "a/b/c",
                                        "a - b - c",
                                        "2^b^2",
                                        "(a + b)*(c - 1)/b",
                                        "min(a, max(b, c))*2",
                                        "ln(exp(a)) + log10(c) + sqrt(b) + round(a*1.1)",
                                        "exp(-(a - b'))",
                                        "-min(a, 2*b)" };
    const struct named names = { 4, { "a", "b", "c", "b'" }, { 2.5, 1.75, 3.25, 0.5 } };
    explain_begin(&e, NULL, stdout);
    for (int i = 0; i < names.count; i++)
        explain_given(&e, names.name[i], names.value[i], "");
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double ours, theirs;
        cr_assert(explain_value(&e, rows[i], &ours), "%s", rows[i]);
        cr_assert(reckon(rows[i], &names, &theirs), "%s", rows[i]);
        cr_assert_float_eq(ours, theirs, 1e-12 * fabs(theirs), "%s", rows[i]);
    }
    double value;
    static const char *const wrong[] = { "a +", "(a", "a)", "2 a", "* 2", "unknown", "sin(a)", "" };
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++)
        cr_assert_not(explain_value(&e, wrong[i], &value), "%s", wrong[i]);
}

Test(explain, forgets_what_a_scope_hid)
{
    static struct explain e;
    double value;
    explain_begin(&e, NULL, stdout);
    explain_given(&e, "a", 1.0, "");
    const int opened = explain_open(&e);
    explain_given(&e, "a", 2.0, "");
    explain_given(&e, "b", 3.0, "");
    cr_assert(explain_value(&e, "a + b", &value));
    cr_assert_eq(value, 5.0);
    explain_close(&e, opened);
    cr_assert(explain_value(&e, "a", &value));
    cr_assert_eq(value, 1.0);
    cr_assert_not(explain_value(&e, "b", &value));
}

/* ---- a reader of what is printed ---------------------------------------------------------------
 */

struct entry {
    char name[32], symbols[4096], numbers[4096], result[64], page[64], with[4096];
};

static void join(char out[4096], const char *line)
{
    const size_t n = strlen(out);
    snprintf(out + n, 4096 - n, "%s%s", n > 0 ? " " : "", line + strspn(line, " "));
    out[strcspn(out, "\n")] = '\0';
}

/* A line of four blanks and "= ", a symbol and " = ", or none of these. */
enum kind { OTHER, SYMBOLS, NUMBERS, WITH };

static enum kind kind_of(const char *line)
{
    if (strncmp(line, "      with ", 11) == 0)
        return WITH;
    if (strncmp(line, "    ", 4) != 0 || line[4] == ' ')
        return OTHER;
    return strncmp(line + 4, "= ", 2) == 0 ? NUMBERS : SYMBOLS;
}

static void take_name(struct entry *e, const char *line)
{
    const char *at = line + 4, *equals = strstr(at, " = ");
    cr_assert_not_null(equals, "%s", line);
    memset(e, 0, sizeof *e);
    memcpy(e->name, at, (size_t)(equals - at));
    join(e->symbols, equals + 3);
}

/* "= 0.0286 mol/m3   docs/water.md" ends an entry but for what goes with it. */
static bool take_result(struct entry *e, const char *line)
{
    const char *docs = strstr(line, "   docs/");
    if (!docs)
        return false;
    sscanf(line + 6, "%63s", e->result);
    sscanf(docs + 3, "%63s", e->page);
    return true;
}

static void read_with(const struct entry *e, struct named *n)
{
    char copy[4096], *rest;
    n->count = 0;
    strcpy(copy, e->with);
    for (char *item = strtok_r(copy, ",", &rest); item; item = strtok_r(NULL, ",", &rest)) {
        char name[32];
        double value;
        cr_assert_eq(sscanf(item, " %31s = %lf", name, &value), 2, "%s: %s", e->name, item);
        strcpy(n->name[n->count], name);
        n->value[n->count++] = value;
        cr_assert_lt(n->count, NAMES);
    }
}

/* Six digits are printed. */
static void same_digits(const struct entry *e, double value, const char *of)
{
    const double printed = strtod(e->result, NULL);
    const double last = printed == 0.0 ? 1e-12 : pow(10.0, floor(log10(fabs(printed))) - 5.0);
    cr_assert_float_eq(value, printed, 0.501 * last, "%s = %s: %s gives %.9g, printed is %s",
                       e->name, e->symbols, of, value, e->result);
}

static void redo(const struct entry *e)
{
    struct named names;
    double value;
    read_with(e, &names);
    cr_assert(reckon(e->numbers, NULL, &value), "%s: %s", e->name, e->numbers);
    same_digits(e, value, "numbers");
    cr_assert(reckon(e->symbols, &names, &value), "%s: %s", e->name, e->symbols);
    same_digits(e, value, "symbols");
    cr_assert_eq(access(e->page, R_OK), 0, "%s", e->page);
}

static int redo_all(FILE *in)
{
    static struct entry e;
    char line[512];
    enum kind now = OTHER;
    bool whole = false;
    int count = 0;
    while (fgets(line, sizeof line, in)) {
        const enum kind kind = kind_of(line);
        cr_assert_leq(strlen(line), 81, "%s", line);
        if (strncmp(line, "      ", 6) == 0 && kind != WITH) {
            if (now != OTHER)
                join(now == SYMBOLS ? e.symbols : now == WITH ? e.with : e.numbers, line);
            continue;
        }
        if (whole && kind != WITH) {
            redo(&e);
            whole = false;
            count++;
        }
        now = kind;
        if (kind == SYMBOLS)
            take_name(&e, line);
        else if (kind == WITH)
            join(e.with, line + 11);
        else if (kind == NUMBERS && take_result(&e, line))
            whole = true;
        else if (kind == NUMBERS)
            join(e.numbers, line + 6);
    }
    if (whole)
        redo(&e);
    return count + whole;
}

/* ---- the line, explained -----------------------------------------------------------------------
 */

static struct scenario scenario;
static struct explain sheet;

/* Looks at the scenario that is loaded, writes its worksheet and redoes it; false: no water is
 * made. */
static bool explained(double at, const char *name, int *lines)
{
    struct along a;
    char words[ALONG_TEXT];
    const struct along_options o = { .at = { at }, .looks = 1 };
    const enum status status = along_find(&a, &scenario, &o, words);
    if (status == STATUS_OK) {
        FILE *out = tmpfile();
        along_explain(&a, &sheet, NULL, out);
        rewind(out);
        *lines = redo_all(out);
        fclose(out);
        cr_assert_eq(*lines, sheet.lines, "%s: %d of %d lines were read", name, *lines,
                     sheet.lines);
        cr_assert_lt(sheet.apart, 1e-7, "%s: the model is off by %g: %s", name, sheet.apart,
                     sheet.worst);
    }
    along_free(&a);
    return status == STATUS_OK;
}

static void check(const char *path, const char *const sets[], double at, int least)
{
    int lines = 0;
    struct report *report = report_create();
    const enum status status = scenario_load(path, sets, &scenario, report);
    if (status != STATUS_OK)
        report_print(report, stderr, false);
    cr_assert_eq(status, STATUS_OK, "%s %s", path, sets ? sets[2] : "");
    report_free(report);
    cr_assert(explained(at, path, &lines));
    cr_assert_geq(lines, least, "%s: %d", path, lines);
    scenario_free(&scenario);
}

static const double DAY = 86400.0;

Test(explain, can_be_redone_by_hand_when_new)
{
    static const char *const paths[] = { "scenarios/demo.cfg",       "scenarios/acid_well.cfg",
                                         "scenarios/chloramine.cfg", "scenarios/cold_hard.cfg",
                                         "scenarios/float_only.cfg", "scenarios/vacation.cfg" };
    for (size_t i = 0; i < sizeof paths / sizeof *paths; i++)
        check(paths[i], NULL, 0.0, 300);
}

Test(explain, can_be_redone_by_hand_when_worn)
{
    check("scenarios/demo.cfg", NULL, 160.0 * DAY, 300);
    check("scenarios/chloramine.cfg", NULL, 100.0 * DAY, 300);
    check("tests/golden/dozen.cfg", NULL, 11.0 * DAY, 200);
}

Test(explain, can_be_redone_by_hand_of_odd_lines)
{
    static const char *const lines[][3] = {
        { "train=(\"sediment 5 um\",\"carbon block 10 in\")", NULL },
        { "train=(\"membrane 75 gal/day\")", NULL },
        { "train=(\"sediment 5 um\",{kind=\"pump\";},\"membrane 75 gal/day\",\"mixed bed 10 in\")",
          NULL },
        { "train=(\"sediment 5 um\",{part=\"membrane 75 "
          "gal/day\";elements=3;joined=\"parallel\";})",
          NULL },
        { "train=({part=\"membrane 75 gal/day\";elements=2;})", NULL },
        { "train=({part=\"membrane 75 gal/day\";segments=24;})", NULL },
        { "train=({part=\"membrane 75 gal/day\";spacer=\"2 mm\";},{part=\"mixed bed 10 "
          "in\";cation_share=1.0;short_flow=0.2;short_resin=0.1;})",
          NULL },
        { "feed.coldest=\"39 degC\"", "feed.warmest=\"41 degC\"", NULL },
        { "storage.tube_bore=\"1 mm\"", NULL },
        { "feed.pressure=\"60 kPa\"", NULL },
        { "feed.nitrate=\"0.001 mg/L\"", "feed.solids=\"0 mg/L\"", NULL },
    };
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        const char *const sets[] = { "events=()", "prices={}", lines[i][0], lines[i][1], NULL };
        check("scenarios/demo.cfg", sets, DAY, 60);
    }
}

/* Even into an empty tank: a tube that lets hardly anything out. */
Test(explain, can_be_redone_by_hand_while_a_valve_cycles)
{
    static const char *const sets[] = {
        "storage.tube_bore=\"0.7 mm\"", "storage.tube_length=\"30 m\"",
        "storage.shutoff=[\"float valve\",\"automatic shut-off valve\"]", NULL
    };
    check("scenarios/float_only.cfg", sets, 0.0, 200);
}

/* Parameters within their usual range, stages in any sensible order. */
Test(explain, can_be_redone_by_hand_of_random_lines)
{
    int seen = 0;
    for (unsigned long seed = 1; seed <= 60; seed++) {
        char name[32];
        int lines;
        memset(&scenario, 0, sizeof scenario);
        scenario.plant = fixture_random_plant(seed);
        scenario.plan = fixture_plan(2.0);
        if (seed % 5 == 0) { /* pure water, or carbonic acid alone */
            memset(scenario.plant.feed.c, 0, sizeof scenario.plant.feed.c);
            scenario.plant.feed.c[CARBON] = seed % 2 ? 1.0 : 0.0;
        } else if (seed % 5 == 1) { /* acid, lye */
            scenario.plant.feed.c[seed % 2 ? CHLORIDE : SODIUM] += 5.0;
        }
        snprintf(name, sizeof name, "seed %lu", seed);
        seen += explained(seed % 2 ? 0.0 : DAY, name, &lines);
    }
    cr_assert_gt(seen, 50);
}
