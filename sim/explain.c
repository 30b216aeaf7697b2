/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * explain: see explain.h.
 */
#include "explain.h"

#include <assert.h>
#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "screen.h"
#include "text.h"

enum { MARGIN = 4, WITH = 6, CONTINUED = 8, LEAST_DIGITS = 7, MOST_DIGITS = 17, RESULT_DIGITS = 6 };

static const double NOTHING = 1e-12;      /* what a result of 0 may be off */
static const double SCALE_LEAST = 1e-300; /* so that nothing is divided by nothing */

void explain_begin(struct explain *e, const char *only, FILE *out)
{
    *e = (struct explain){ .out = out, .only = only };
}

int explain_open(struct explain *e)
{
    const int before = e->scope;
    e->scope = e->symbols;
    return before;
}

void explain_close(struct explain *e, int opened)
{
    e->symbols = e->scope;
    e->scope = opened;
}

void explain_chapter(struct explain *e, const char *title, const char *words)
{
    e->silent = false;
    fprintf(e->out, "\n%s\n", title);
    if (words[0])
        explain_words(e, words);
}

void explain_title(struct explain *e, const char *title, const char *words)
{
    e->silent = e->only && !strcasestr(title, e->only);
    if (e->silent) {
        if (!strstr(e->passed, title))
            text_append(e->passed, sizeof e->passed, "%s%s", e->passed[0] ? ", " : "", title);
        return;
    }
    e->shown++;
    explain_chapter(e, title, words);
}

void explain_words(struct explain *e, const char *words)
{
    if (!e->silent)
        screen_wrap(e->out, 0, 2, words);
}

/* ---- symbols ----------------------------------------------------------------------------------
 */

static const struct explain_symbol *find(const struct explain *e, const char *name, size_t length)
{
    for (int i = e->symbols - 1; i >= 0; i--)
        if (strlen(e->symbol[i].name) == length && strncmp(e->symbol[i].name, name, length) == 0)
            return &e->symbol[i];
    return NULL;
}

void explain_given(struct explain *e, const char *name, double value, const char *unit)
{
    struct explain_symbol *s = (struct explain_symbol *)find(e, name, strlen(name));
    if (!s || s < &e->symbol[e->scope]) {
        assert(e->symbols < EXPLAIN_SYMBOLS && strlen(name) < EXPLAIN_NAME);
        s = &e->symbol[e->symbols++];
        text_copy(s->name, sizeof s->name, name);
    }
    s->value = value;
    s->unit = unit;
}

static size_t name_length(const char *p)
{
    size_t n = 0;
    if (!isalpha((unsigned char)p[0]))
        return 0;
    while (isalnum((unsigned char)p[n]) || p[n] == '_' || p[n] == '\'')
        n++;
    return n;
}

/* ---- what an equation comes to ----------------------------------------------------------------
 */

struct reading {
    const struct explain *e;
    const char *at;
    bool sound;
};

static double sum(struct reading *r);

static void blanks(struct reading *r)
{
    while (*r->at == ' ')
        r->at++;
}

static bool taken(struct reading *r, char c)
{
    blanks(r);
    if (*r->at != c)
        return false;
    r->at++;
    return true;
}

static double call(struct reading *r, const char *name, size_t n)
{
    static const struct {
        const char *name;
        int arguments;
    } known[] = { { "exp", 1 },   { "ln", 1 },  { "log10", 1 }, { "sqrt", 1 },
                  { "round", 1 }, { "min", 2 }, { "max", 2 } };
    size_t k = 0;
    while (k < 7 && (strlen(known[k].name) != n || strncmp(known[k].name, name, n) != 0))
        k++;
    const double a = sum(r);
    const double b = k >= 5 && taken(r, ',') ? sum(r) : 0.0;
    r->sound = taken(r, ')') && k < 7 && r->sound;
    switch (k) {
    case 0:
        return exp(a);
    case 1:
        return log(a);
    case 2:
        return log10(a);
    case 3:
        return sqrt(a);
    case 4:
        return round(a);
    case 5:
        return fmin(a, b);
    default:
        return fmax(a, b);
    }
}

static double primary(struct reading *r)
{
    blanks(r);
    if (taken(r, '(')) {
        const double inner = sum(r);
        r->sound = taken(r, ')') && r->sound;
        return inner;
    }
    const char *name = r->at;
    const size_t n = name_length(name);
    if (n == 0) {
        char *end;
        const double number = strtod(r->at, &end);
        r->sound = r->sound && end != r->at;
        r->at = end;
        return number;
    }
    r->at += n;
    if (taken(r, '('))
        return call(r, name, n);
    if (n == 2 && strncmp(name, "pi", 2) == 0)
        return M_PI;
    const struct explain_symbol *s = find(r->e, name, n);
    r->sound = r->sound && s;
    return s ? s->value : NAN;
}

static double signed_power(struct reading *r)
{
    if (taken(r, '-'))
        return -signed_power(r);
    const double base = primary(r);
    return taken(r, '^') ? pow(base, signed_power(r)) : base;
}

static double product(struct reading *r)
{
    double value = signed_power(r);
    for (;;) {
        if (taken(r, '*'))
            value *= signed_power(r);
        else if (taken(r, '/'))
            value /= signed_power(r);
        else
            return value;
    }
}

static double sum(struct reading *r)
{
    double value = product(r);
    for (;;) {
        if (taken(r, '+'))
            value += product(r);
        else if (taken(r, '-'))
            value -= product(r);
        else
            return value;
    }
}

bool explain_value(const struct explain *e, const char *equation, double *value)
{
    struct reading r = { e, equation, true };
    *value = sum(&r);
    blanks(&r);
    if (r.sound && *r.at == '\0')
        return true;
    *value = NAN;
    return false;
}

/* ---- how it is written ------------------------------------------------------------------------
 */

/* An equation as it is written. */
struct written {
    int digits; /* of the numbers that are put in */
    char numbers[EXPLAIN_TEXT], with[EXPLAIN_TEXT];
};

/* Which number a symbol was, once. */
static void add_with(struct written *w, const struct explain_symbol *s)
{
    char named[EXPLAIN_NAME + 4];
    snprintf(named, sizeof named, "%s = ", s->name);
    const char *before = strstr(w->with, named);
    while (before && before != w->with && before[-1] != ' ')
        before = strstr(before + 1, named);
    if (!before)
        text_append(w->with, EXPLAIN_TEXT, "%s%s%.*g%s%s", w->with[0] ? ", " : "", named, w->digits,
                    s->value + 0.0, s->unit[0] ? " " : "", s->unit);
}

/* One piece of an equation; returns how long it is.  Below zero a number stands in brackets. */
static size_t add_piece(const struct explain *e, const char *p, struct written *w)
{
    const size_t n = name_length(p);
    const struct explain_symbol *s = n > 0 && p[n] != '(' ? find(e, p, n) : NULL;
    size_t length = n > 0 ? n : 1;
    if (s) {
        text_append(w->numbers, EXPLAIN_TEXT, s->value < 0.0 ? "(%.*g)" : "%.*g", w->digits,
                    s->value + 0.0);
        add_with(w, s);
        return n;
    }
    if (strchr("0123456789.", *p)) {
        char *end;
        strtod(p, &end);
        length = (size_t)(end - p);
    }
    text_append(w->numbers, EXPLAIN_TEXT, "%.*s", (int)length, p);
    return length;
}

static void put_in(const struct explain *e, const char *equation, struct written *w)
{
    w->numbers[0] = w->with[0] = '\0';
    for (const char *p = equation; *p != '\0';)
        p += add_piece(e, p, w);
}

/* Whether a value comes to the digits that are printed of the result. */
static bool comes_to(double value, double result)
{
    char text[SCREEN_CELL];
    snprintf(text, sizeof text, "%.*g", RESULT_DIGITS, result);
    const double printed = strtod(text, NULL);
    const double last =
        printed == 0.0 ? NOTHING : pow(10.0, floor(log10(fabs(printed))) - (RESULT_DIGITS - 1));
    return fabs(value - printed) <= 0.5 * last * (1.0 + 1e-9);
}

/* With as many digits as it takes that who redoes it gets what is printed: more where large numbers
 * nearly cancel. */
static void choose_digits(const struct explain *e, const char *equation, double result,
                          struct written *w)
{
    double value;
    for (w->digits = LEAST_DIGITS; w->digits <= MOST_DIGITS; w->digits++) {
        put_in(e, equation, w);
        if (explain_value(e, w->numbers, &value) && comes_to(value, result))
            return;
    }
}

/* Broken at blanks. */
static void put_line(FILE *out, const char *begin, const char *text)
{
    const int column = fprintf(out, "%*s%s", MARGIN, "", begin);
    screen_wrap(out, column, column < CONTINUED ? column : CONTINUED, text);
}

/* Broken between two of them. */
static void put_with(FILE *out, const char *with)
{
    int column = fprintf(out, "%*swith", WITH, "");
    for (const char *p = with; *p != '\0';) {
        const char *end = strchr(p, ',');
        const int n = end ? (int)(end - p) + 1 : (int)strlen(p);
        if (column + 1 + n > SCREEN_COLUMNS)
            column = fprintf(out, "\n%*s", CONTINUED - 1, "") - 1;
        column += fprintf(out, " %.*s", n, p);
        p += n;
        p += *p == ' ';
    }
    putc('\n', out);
}

static void put_result(const struct explain *e, const struct explain_line *l, double result)
{
    char text[SCREEN_CELL + 64];
    snprintf(text, sizeof text, "%.*g%s%s   docs/%s.md", RESULT_DIGITS, result + 0.0,
             l->unit[0] ? " " : "", l->unit, l->page);
    fprintf(e->out, "%*s= %s\n", MARGIN, "", text);
}

static void compare(struct explain *e, const struct explain_line *l, double value)
{
    const double apart = fabs(value - l->model) / fmax(fabs(l->model), SCALE_LEAST);
    if (isnan(l->model) || !(apart > e->apart))
        return;
    e->apart = apart;
    text_copy(e->worst, sizeof e->worst, l->words);
}

static void put_line_of(const struct explain *e, const struct explain_line *l, double result)
{
    static struct written w;
    char begin[EXPLAIN_NAME + 4];
    choose_digits(e, l->equation, result, &w);
    fprintf(e->out, "%*s", 2, "");
    screen_wrap(e->out, 2, 2, l->words);
    snprintf(begin, sizeof begin, "%s = ", l->name);
    put_line(e->out, begin, l->equation);
    put_line(e->out, "= ", w.numbers);
    put_result(e, l, result);
    if (w.with[0] != '\0')
        put_with(e->out, w.with);
}

double explain_line(struct explain *e, const struct explain_line *l)
{
    double value;
    const bool sound = explain_value(e, l->equation, &value);
    assert(sound);
    (void)sound;
    compare(e, l, value);
    const double result = isnan(l->model) ? value : l->model;
    if (!e->silent)
        put_line_of(e, l, result);
    e->lines++;
    explain_given(e, l->name, result, l->unit);
    return result;
}
