/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * report: outcomes of functions that may fail, and the collected complaints about a scenario.
 */
#include "report.h"

#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include "text.h"

enum { SHOWN_MAX = 20, WORDS_MAX = 640, LINE_SHOWN = 65, LINE_BEFORE = 40, CLOSING_MAX = 160 };

struct complaint {
    enum severity severity;
    struct place place; /* file is a copy */
    char *line, *cure, *what;
    int serial;
};

struct report {
    struct complaint *list;
    int count, room;
    int lost; /* complaints for which there was no memory */
};

static const struct {
    const char *words;
    int code;
} statuses[STATUS_COUNT] = {
#define STATUS_ROW(name, exit_code, text) [name] = { text, exit_code },
    STATUS_LIST(STATUS_ROW)
#undef STATUS_ROW
};

const char *status_words(enum status s)
{
    return statuses[s].words;
}

int status_exit(enum status s)
{
    return statuses[s].code;
}

struct report *report_create(void)
{
    return calloc(1, sizeof(struct report));
}

static void complaint_free(struct complaint *c)
{
    free((char *)c->place.file);
    free(c->line);
    free(c->cure);
    free(c->what);
}

void report_free(struct report *r)
{
    if (r == NULL)
        return;
    for (int i = 0; i < r->count; i++)
        complaint_free(&r->list[i]);
    free(r->list);
    free(r);
}

static struct complaint *add_room(struct report *r)
{
    if (r->count == r->room) {
        const int room = r->room == 0 ? 16 : 2 * r->room;
        struct complaint *list = realloc(r->list, (size_t)room * sizeof *list);
        if (list == NULL)
            return NULL;
        r->list = list;
        r->room = room;
    }
    return &r->list[r->count];
}

/* Copies text into *out; NULL stays NULL.  Returns false if out of memory. */
static bool copy(char **out, const char *text)
{
    *out = text == NULL ? NULL : strdup(text);
    return text == NULL || *out != NULL;
}

void report_add(struct report *r, enum severity severity, struct place place,
                const char *text_of_line, const char *cure, const char *format, ...)
{
    char raw[WORDS_MAX], what[WORDS_MAX], safe_cure[WORDS_MAX];
    va_list args;
    va_start(args, format);
    vsnprintf(raw, sizeof raw, format, args);
    va_end(args);
    text_escape(raw, what, sizeof what);
    if (cure != NULL)
        cure = text_escape(cure, safe_cure, sizeof safe_cure);

    struct complaint *c = add_room(r);
    if (c == NULL) {
        r->lost++;
        return;
    }
    *c = (struct complaint){ .severity = severity, .place = place, .serial = r->count };
    char *file = NULL;
    bool fine = copy(&file, place.file);
    c->place.file = file;
    fine = copy(&c->line, text_of_line) && fine;
    fine = copy(&c->cure, cure) && fine;
    fine = copy(&c->what, what) && fine;
    if (fine) {
        r->count++;
    } else {
        complaint_free(c);
        r->lost++;
    }
}

void report_lose(struct report *r)
{
    r->lost++;
}

bool report_lost(const struct report *r)
{
    return r->lost > 0;
}

static bool says(const struct report *r, const struct complaint *c)
{
    for (int i = 0; i < r->count; i++)
        if (r->list[i].severity == c->severity && strcmp(r->list[i].what, c->what) == 0)
            return true;
    return false;
}

void report_add_new(struct report *r, const struct report *other, const struct report *known)
{
    r->lost += other->lost;
    for (int i = 0; i < other->count; i++) {
        const struct complaint *c = &other->list[i];
        if (!says(r, c) && !says(known, c))
            report_add(r, c->severity, c->place, c->line, c->cure, "%s", c->what);
    }
}

int report_count(const struct report *r, enum severity severity)
{
    int n = severity == SEVERITY_ERROR ? r->lost : 0;
    for (int i = 0; i < r->count; i++)
        n += r->list[i].severity == severity;
    return n;
}

/* Nowhere comes last: it is about the whole. */
static int compare(const void *a, const void *b)
{
    const struct complaint *x = a, *y = b;
    if ((x->place.file == NULL) != (y->place.file == NULL))
        return x->place.file == NULL ? 1 : -1;
    if (x->place.file != NULL) {
        const int order = strcmp(x->place.file, y->place.file);
        if (order != 0)
            return order;
    }
    if (x->place.line != y->place.line)
        return x->place.line < y->place.line ? -1 : 1;
    if (x->place.column != y->place.column)
        return x->place.column < y->place.column ? -1 : 1;
    return x->serial < y->serial ? -1 : 1;
}

static const char *skip_columns(const char *text, int columns)
{
    while (*text != '\0' && columns > 0) {
        text++;
        while (((unsigned char)*text & 0xc0) == 0x80)
            text++;
        columns--;
    }
    return text;
}

/* The line with a caret under the marked text; a long line is cut to a window round it. */
static void print_line(const struct complaint *c, FILE *out)
{
    const int column = c->place.column > 0 ? c->place.column : 1;
    const bool fits = column + c->place.width <= LINE_SHOWN;
    const int first = fits ? 0 : column > LINE_BEFORE ? column - LINE_BEFORE : 0;
    const char *from = skip_columns(c->line, first);
    const char *to = skip_columns(from, LINE_SHOWN);
    char slice[4 * LINE_SHOWN + 1], shown[4 * LINE_SHOWN + 1];
    snprintf(slice, sizeof slice, "%.*s", (int)(to - from), from);
    for (char *p = slice; *p != '\0'; p++)
        if (*p == '\t' || *p == '\r')
            *p = ' '; /* one column each, so that the caret stays below */
    fprintf(out, "%6d | %s%s%s\n", c->place.line, first > 0 ? "..." : "",
            text_escape(slice, shown, sizeof shown), *to != '\0' ? "..." : "");
    if (c->place.column <= 0)
        return;
    const int indent = column - 1 - first + (first > 0 ? 3 : 0);
    fprintf(out, "       | %*s^", indent, "");
    const int last = LINE_SHOWN + (first > 0 ? 3 : 0);
    for (int i = 1; i < c->place.width && indent + i < last; i++)
        fputc('~', out);
    fputc('\n', out);
}

static void print_complaint(const struct complaint *c, FILE *out, bool color)
{
    static const char *const words[] = { "note", "warning", "error" };
    static const char *const paint[] = { "\033[1;36m", "\033[1;35m", "\033[1;31m" };
    if (c->place.file != NULL) {
        char file[WORDS_MAX];
        fputs(text_escape(c->place.file, file, sizeof file), out);
        if (c->place.line > 0)
            fprintf(out, ":%d", c->place.line);
        if (c->place.line > 0 && c->place.column > 0)
            fprintf(out, ":%d", c->place.column);
        fputs(": ", out);
    }
    fprintf(out, "%s%s:%s %s\n", color ? paint[c->severity] : "", words[c->severity],
            color ? "\033[0m" : "", c->what);
    if (c->line != NULL && c->place.line > 0)
        print_line(c, out);
    if (c->cure != NULL)
        fprintf(out, "         %s\n", c->cure);
}

static void add_count(char *words, int n, const char *one)
{
    if (n > 0)
        text_append(words, CLOSING_MAX, "%s%d %s%s", words[0] == '\0' ? "" : ", ", n, one,
                    n == 1 ? "" : "s");
}

void report_print(const struct report *r, FILE *out, bool color)
{
    if (r->count > 0)
        qsort(r->list, (size_t)r->count, sizeof *r->list, compare);
    int shown = 0, hidden = 0;
    for (int i = 0; i < r->count; i++) {
        if (r->list[i].severity == SEVERITY_ERROR && shown++ >= SHOWN_MAX)
            hidden++;
        else
            print_complaint(&r->list[i], out, color);
    }
    if (hidden > 0)
        fprintf(out, "%d more error%s not shown\n", hidden, hidden == 1 ? " is" : "s are");
    if (r->lost > 0)
        fputs("error: out of memory: some complaints were lost\n", out);
    char closing[CLOSING_MAX] = "";
    add_count(closing, report_count(r, SEVERITY_ERROR), "error");
    add_count(closing, report_count(r, SEVERITY_WARNING), "warning");
    if (closing[0] != '\0')
        fprintf(out, "%s\n", closing);
}
