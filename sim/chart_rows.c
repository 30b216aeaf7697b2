/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * chart_rows: what is shown row by row: bars of a table, events, CSV.  Page: docs/show.md.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "chart_inner.h"
#include "screen.h"
#include "text.h"
#include "thin.h"

enum { BARS_MOST = 40, LABEL_WIDE = 30, NUMBER_WIDE = 9, BAR_WIDE = 36, LISTED_MOST = 20 };

/* Copies at most `wide` characters of foreign text, escaped; the rest of the room is blank. */
static void put_words(const char *text, int wide, FILE *out)
{
    char safe[SCREEN_TEXT];
    text_escape(text, safe, sizeof safe);
    size_t n = 0;
    int columns = 0;
    while (safe[n] != '\0' && columns < wide) {
        do
            n++;
        while (((unsigned char)safe[n] & 0xc0) == 0x80);
        columns++;
    }
    fprintf(out, "%.*s%*s", (int)n, safe, wide - columns, "");
}

char *chart_number(double value, char out[SCREEN_CELL])
{
    const bool small = fabs(value) < 1e-3 && fabs(value) > 0.0, great = fabs(value) >= 1e7;
    if (!small && !great)
        return screen_number(value, out);
    snprintf(out, SCREEN_CELL, "%.3g", value);
    return out;
}

/* ---- bars -------------------------------------------------------------------------------------
 */

/* A bar from zero, which has a place of its own if there are values below it. */
static void put_bar(double value, double low, double high, FILE *out)
{
    char bar[BAR_WIDE + 1];
    const double from = fmin(low, 0.0), width = fmax(high, 0.0) - from;
    const double scale = width > 0.0 ? BAR_WIDE / width : 0.0;
    const int zero = (int)floor(-from * scale + 0.5);
    const int at = (int)floor((value - from) * scale + 0.5);
    memset(bar, ' ', sizeof bar);
    for (int x = zero < at ? zero : at; x < (zero < at ? at : zero); x++)
        bar[x] = '#';
    int n = BAR_WIDE;
    while (n > 0 && bar[n - 1] == ' ')
        n--;
    fprintf(out, " |%.*s", n, bar);
}

enum status chart_bars(const struct series *s, const struct series_pick *pick, FILE *out)
{
    const struct series_file *f = pick->file;
    const struct series_column *k = &f->column[pick->column];
    const struct series_unit u = series_unit_in_taste(k->name);
    const double a = k->least * u.factor + u.offset, z = k->greatest * u.factor + u.offset;
    struct rows c;
    if (!rows_open(&c, s->folder, f->name))
        return STATUS_NO_INPUT;
    char name[SERIES_NAME * 4], base[SERIES_NAME];
    snprintf(base, sizeof base, "%.*s", u.base, k->name);
    fprintf(out, "%s%s%s, a bar for each row of %s\n", text_escape(base, name, sizeof name),
            u.words[0] ? ", " : "", u.words, f->name);
    long row = 0;
    const char *first = f->column[0].name;
    rows_header(&c, &first, 1, &(int){ 0 });
    while (row < BARS_MOST && rows_next(&c)) {
        char words[SCREEN_CELL];
        if (c.fields == 0 || strcmp(c.field[0], first) == 0)
            continue;
        snprintf(words, sizeof words, "row %ld", ++row);
        put_words(f->label >= 0 && f->label < c.fields ? c.field[f->label] : words, LABEL_WIDE,
                  out);
        const double value = rows_number(&c, pick->column) * u.factor + u.offset;
        fprintf(out, "%*s", NUMBER_WIDE, isnan(value) ? "-" : chart_number(value, words));
        if (!isnan(value))
            put_bar(value, fmin(a, z), fmax(a, z), out);
        fputc('\n', out);
    }
    rows_close(&c);
    if (f->rows > row)
        fprintf(out, "and %ld rows more, which --format csv prints\n", f->rows - row);
    return STATUS_OK;
}

/* ---- events -----------------------------------------------------------------------------------
 */

enum { DAY, DATE, KIND, PART, WORDS, COLUMNS };

static const char *const event_column[COLUMNS] = { "day", "date", "kind", "part", "words" };

static const char *cell(const struct rows *c, int column)
{
    return column >= 0 && column < c->fields ? c->field[column] : "";
}

static void put_event(const struct rows *c, const int column[], double day, FILE *out)
{
    char number[SCREEN_CELL];
    snprintf(number, sizeof number, "day %.3f", day);
    fprintf(out, "  %-12s ", number);
    put_words(cell(c, column[KIND]), 14, out);
    char line[SCREEN_TEXT] = "", part[SCREEN_CELL * 4], words[SCREEN_TEXT / 2];
    text_append(line, sizeof line, "%s  %s", text_escape(cell(c, column[PART]), part, sizeof part),
                text_escape(cell(c, column[WORDS]), words, sizeof words));
    fputc(' ', out);
    screen_wrap(out, 30, 30, line);
}

/* Reads the events between the ends: counts them by place if `count`, else lists them. */
static long read_events(const struct series *s, const double ends[2], long *count, FILE *out)
{
    struct rows c;
    int column[COLUMNS];
    long seen = 0;
    if (!rows_open(&c, s->folder, "events.csv"))
        return 0;
    const bool known = rows_header(&c, event_column, COLUMNS, column);
    while (known && rows_next(&c)) {
        const double day = rows_number(&c, column[DAY]);
        if (isnan(day) || day < ends[0] || day > ends[1])
            continue;
        seen++;
        const double share = (day - ends[0]) / (ends[1] - ends[0]);
        if (count)
            count[(int)fmin(share * CHART_WIDE, CHART_WIDE - 1.0)]++;
        else
            put_event(&c, column, day, out);
    }
    rows_close(&c);
    return seen;
}

enum status chart_events(const struct series *s, const char *axis, const double ends[2], FILE *out)
{
    long count[CHART_WIDE] = { 0 };
    if (strcmp(axis, event_column[DAY]) != 0)
        return STATUS_OK;
    const long seen = read_events(s, ends, count, out);
    int n = CHART_WIDE;
    while (n > 0 && count[n - 1] == 0)
        n--;
    fprintf(out, "%*s ", CHART_MARGIN, "events");
    for (int x = 0; x < n; x++)
        fputc(count[x] == 0 ? ' ' : count[x] < 10 ? (int)('0' + count[x]) : '#', out);
    fprintf(out, "\n%*s %ld event%s: how many in each place, # ten or more%s\n", CHART_MARGIN, "",
            seen, seen == 1 ? "" : "s", seen > LISTED_MOST ? "; --from and --to list a few" : "");
    if (seen <= LISTED_MOST)
        read_events(s, ends, NULL, out);
    return STATUS_OK;
}

/* ---- CSV --------------------------------------------------------------------------------------
 */

/* Foreign text as a cell: escaped, quoted, never the start of a formula. */
static void put_quoted(const char *before, const char *text, FILE *out)
{
    char safe[SCREEN_TEXT];
    text_escape(text, safe, sizeof safe);
    const bool plain = safe[strcspn(safe, ",\"")] == '\0' && !strchr("=+-@", safe[0]);
    fprintf(out, "%s%s%s", plain ? "" : "\"", safe[0] && strchr("=+-@", safe[0]) ? "'" : "",
            before);
    for (const char *c = safe; *c; c++)
        fprintf(out, *c == '"' ? "\"\"" : "%c", *c);
    if (!plain)
        fputc('"', out);
}

static void put_number(double value, FILE *out)
{
    if (!isnan(value))
        fprintf(out, "%.9g", value);
}

static enum status thin_csv(const struct series *s, const struct series_pick pick[], int picks,
                            const struct thin_wish *wish, FILE *out)
{
    static const char *const part[] = { "least_", "greatest_", "mean_" };
    struct thinned t;
    TRY(thin_part(&t, s->folder, pick[0].file->name, wish));
    put_quoted("", wish->name[0], out);
    for (int i = 1; i <= picks; i++)
        for (int j = 0; j < 3; j++) {
            fputc(',', out);
            put_quoted(part[j], wish->name[i], out);
        }
    fputc('\n', out);
    for (int x = 0; x < t.bins; x++) {
        if (thin_bin(&t, 0, x).count == 0)
            continue;
        put_number(thin_at(&t, x), out);
        for (int i = 1; i <= picks; i++) {
            const struct thin_bin b = thin_bin(&t, i, x);
            const double value[] = { b.low, b.high, thin_mean(b) };
            for (int j = 0; j < 3; j++) {
                fputc(',', out);
                put_number(b.count ? value[j] : NAN, out);
            }
        }
        fputc('\n', out);
    }
    thin_free(&t);
    return STATUS_OK;
}

/* One line: axis or label, then the picks; with `head` their names. */
static void whole_line(const struct series_pick pick[], int picks, const struct rows *c, FILE *out)
{
    const struct series_file *f = pick[0].file;
    const int first = f->along >= 0 ? f->along : f->label;
    if (first >= 0 && !c)
        put_quoted("", f->column[first].name, out);
    else if (f->along >= 0)
        put_number(rows_number(c, first), out);
    else if (first >= 0 && first < c->fields)
        put_quoted("", c->field[first], out);
    for (int i = 0; i < picks; i++) {
        if (i > 0 || first >= 0)
            fputc(',', out);
        if (!c)
            put_quoted("", f->column[pick[i].column].name, out);
        else
            put_number(rows_number(c, pick[i].column), out);
    }
    fputc('\n', out);
}

static enum status whole_csv(const struct series *s, const struct series_pick pick[], int picks,
                             const struct chart_wish *wish, FILE *out)
{
    const struct series_file *f = pick[0].file;
    const char *first = f->column[0].name;
    struct rows c;
    if (!rows_open(&c, s->folder, f->name))
        return STATUS_NO_INPUT;
    whole_line(pick, picks, NULL, out);
    rows_header(&c, &first, 1, &(int){ 0 });
    while (!ferror(out) && rows_next(&c)) {
        const double at = rows_number(&c, f->along);
        const bool inside = f->along < 0 || !(isnan(at) || at < wish->from || at > wish->to);
        if (c.fields > 0 && strcmp(c.field[0], first) != 0 && inside)
            whole_line(pick, picks, &c, out);
    }
    const bool broken = ferror(c.file) != 0;
    rows_close(&c);
    return broken ? STATUS_NO_INPUT : STATUS_OK;
}

enum status chart_csv(const struct series *s, const struct series_pick pick[], int picks,
                      const struct chart_wish *wish, int points, FILE *out)
{
    if (points == 0)
        return whole_csv(s, pick, picks, wish, out);
    const struct series_file *f = pick[0].file;
    const char **name = calloc((size_t)picks + 1, sizeof *name);
    if (!name)
        return STATUS_MEMORY;
    name[0] = f->column[f->along].name;
    for (int i = 0; i < picks; i++)
        name[i + 1] = f->column[pick[i].column].name;
    const struct thin_wish w = { name, picks + 1, 0.0, wish->from, wish->to, points, -1 };
    const enum status status = thin_csv(s, pick, picks, &w, out);
    free(name);
    return status;
}
