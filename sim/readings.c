/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * readings: the log of readings of the feed, a table of comma-separated values.
 *
 * The only file that knows the table library.  It keeps a byte-order mark in the first name and
 * counts no lines, so that both are done here.  Page: docs/scenario.md.
 */
#include "readings.h"

#include <csv.h>
#include <errno.h>
#include <limits.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include "date.h"
#include "file.h"
#include "text.h"

enum {
    BYTES_MAX = 64 << 20,
    ROWS_MAX = 2000000,
    COLUMNS_MAX = 16,
    CELL_MAX = 64,
    CHUNK = 65536,
    COMPLAINTS_MAX = 20
};

#define OUTSIDE "it lies outside the folder of the scenario"

enum quantity_kind {
    READ_TIME,
    READ_DATE,
    READ_TEMPERATURE,
    READ_PRESSURE,
    READ_STRENGTH,
    READ_KINDS
};

/* Names of columns: what and in which unit. */
static const struct {
    const char *name;
    enum quantity_kind kind;
    double factor, offset; /* SI = (cell + offset) factor */
} columns[] = {
    { "time_s", READ_TIME, 1.0, 0.0 },
    { "time_h", READ_TIME, 3600.0, 0.0 },
    { "time_days", READ_TIME, 86400.0, 0.0 },
    { "date", READ_DATE, 1.0, 0.0 },
    { "temperature_degC", READ_TEMPERATURE, 1.0, 0.0 },
    { "temperature_degF", READ_TEMPERATURE, 5.0 / 9.0, -32.0 },
    { "pressure_Pa", READ_PRESSURE, 1.0, 0.0 },
    { "pressure_kPa", READ_PRESSURE, 1e3, 0.0 },
    { "pressure_bar", READ_PRESSURE, 1e5, 0.0 },
    { "pressure_psi", READ_PRESSURE, 6894.757293168361, 0.0 },
    { "meter_ppm", READ_STRENGTH, 0.0, 0.0 }, /* by the meter's scale */
    { "conductivity_uS_cm", READ_STRENGTH, 1e-4, 0.0 },
    { "conductivity_S_m", READ_STRENGTH, 1.0, 0.0 },
    { "strength", READ_STRENGTH, -1.0, 0.0 }, /* already a factor */
};

enum { COLUMN_KINDS = sizeof columns / sizeof *columns };

struct table {
    struct reader *reader;
    const struct readings_setting *setting;
    const char *shown;
    int line;         /* of the file, from 1 */
    const char *text; /* of that line */
    size_t length;
    int column;             /* of the present row, from 0 */
    int width;              /* columns of the header */
    int which[COLUMNS_MAX]; /* row of columns[] */
    double row[READ_KINDS];
    double *cell; /* rows of READ_KINDS */
    int rows, room;
    int complaints;
    bool bad_row; /* one complaint a row is enough */
    bool over;    /* nothing more is read */
};

enum { LINE_COPY = 1024, NO_CELL = -1 };

/* First byte of a cell of the present line, and behind its last. */
static void find_cell(const struct table *t, int cell, size_t *from, size_t *to)
{
    size_t i = 0;
    for (int n = 0; n <= cell; n++) {
        *from = i;
        for (bool quoted = false; i < t->length && (quoted || t->text[i] != ','); i++)
            quoted ^= t->text[i] == '"';
        *to = i++;
        if (i > t->length)
            return;
    }
}

/* Complains about the bytes from..to of the present line; of nothing if the two are equal. */
static void complain_at(struct table *t, size_t from, size_t to, const char *cure,
                        const char *words)
{
    if (t->bad_row)
        return;
    struct place place = { .file = t->shown, .line = t->line };
    char line[LINE_COPY] = "";
    if (to > from) {
        place.column = text_columns(t->text, from) + 1;
        place.width = text_columns(t->text + from, to - from);
        snprintf(line, sizeof line, "%.*s",
                 (int)(t->length < LINE_COPY ? t->length : LINE_COPY - 1), t->text);
    }
    t->bad_row = true;
    t->over = t->over || ++t->complaints == COMPLAINTS_MAX || t->width == 0;
    report_add(t->reader->report, SEVERITY_ERROR, place, to > from ? line : NULL, cure, "%s",
               words);
}

static void complain(struct table *t, int cell, const char *cure, const char *format, ...)
    __attribute__((format(printf, 4, 5)));

/* Complains about a cell of the present line, or with NO_CELL about the line. */
static void complain(struct table *t, int cell, const char *cure, const char *format, ...)
{
    char words[300];
    size_t from = 0, to = 0;
    va_list args;
    va_start(args, format);
    vsnprintf(words, sizeof words, format, args);
    va_end(args);
    if (cell != NO_CELL)
        find_cell(t, cell, &from, &to);
    complain_at(t, from, to, cure, words);
}

static void complain_of_memory(struct table *t)
{
    complain(t, NO_CELL, NULL, "out of memory");
    report_lose(t->reader->report);
}

/* ---- cells ----------------------------------------------------------------------------------- */

static void name_column(struct table *t, const char *cell)
{
    if (t->column == COLUMNS_MAX) {
        complain(t, t->column, NULL, "more than %d columns", COLUMNS_MAX);
        return;
    }
    char cure[400] = "one of";
    struct nearest near = text_nearest_to(cell);
    for (int i = 0; i < COLUMN_KINDS; i++) {
        if (strcmp(columns[i].name, cell) == 0) {
            for (int j = 0; j < t->column; j++)
                if (columns[t->which[j]].kind == columns[i].kind)
                    complain(t, t->column, NULL, "two columns say the same: \"%s\"", cell);
            t->which[t->column] = i;
            return;
        }
        text_nearest_try(&near, columns[i].name);
        text_append(cure, sizeof cure, "%s %s", i > 0 ? "," : "", columns[i].name);
    }
    if (strchr(cell, ';') != NULL)
        complain(t, t->column, "separate columns by commas, and write numbers with a decimal point",
                 "the columns are separated by semicolons");
    else if (near.name != NULL)
        complain(t, t->column, cure, "unknown column \"%.40s\": did you mean %s?", cell, near.name);
    else
        complain(t, t->column, cure, "unknown column \"%.40s\"", cell);
}

static double scale(const struct table *t, int which, double number)
{
    double factor = columns[which].factor;
    if (columns[which].kind != READ_STRENGTH)
        return (number + columns[which].offset) * factor;
    if (factor < 0.0)
        return number;
    if (factor == 0.0)
        factor = 1e-3 / t->reader->meter_factor;
    return number * factor / t->setting->conductivity;
}

static bool in_range(enum quantity_kind kind, double si)
{
    static const double low[] = { -1e12, -1e12, 0.0, 0.0, 0.0 };
    static const double high[] = { 1e12, 1e12, 50.0, 2e6, 100.0 };
    return si >= low[kind] && si <= high[kind];
}

static void read_cell(struct table *t, const char *cell)
{
    if (t->column >= t->width) {
        complain(t, t->column, NULL, "more cells than the header has");
        return;
    }
    const int which = t->which[t->column];
    double number = 0.0;
    const char *end = cell;
    if (columns[which].kind == READ_DATE) {
        if (!date_parse(cell, &number))
            complain(t, t->column, "such as 2026-03-01T07:00",
                     "\"%.40s\" is not a date that exists", cell);
        t->row[READ_TIME] = number - t->setting->start;
        return;
    }
    if (!units_number(cell, &number, &end) || *end != '\0') {
        complain(t, t->column, *end == ',' ? "write numbers with a decimal point" : NULL,
                 "\"%.40s\" in column %s is not a number", cell, columns[which].name);
        return;
    }
    const double si = scale(t, which, number);
    if (!in_range(columns[which].kind, si))
        complain(t, t->column, NULL, "\"%.40s\" in column %s is out of range", cell,
                 columns[which].name);
    t->row[columns[which].kind] = si;
}

static void take_cell(void *bytes, size_t size, void *data)
{
    struct table *t = data;
    char cell[CELL_MAX];
    if (t->bad_row || t->over)
        return;
    if (size >= CELL_MAX) {
        complain(t, t->column, NULL, "a cell is longer than %d bytes", CELL_MAX - 1);
        return;
    }
    memcpy(cell, bytes == NULL ? "" : bytes, bytes == NULL ? 0 : size);
    cell[bytes == NULL ? 0 : size] = '\0';
    if (t->width == 0)
        name_column(t, cell);
    else
        read_cell(t, cell);
    t->column++;
}

/* ---- rows ------------------------------------------------------------------------------------ */

static void check_header(struct table *t)
{
    bool there[READ_KINDS] = { false };
    for (int i = 0; i < t->column; i++)
        there[columns[t->which[i]].kind] = true;
    if (there[READ_TIME] == there[READ_DATE])
        complain(t, NO_CELL, NULL, "one column must be the time: time_days or date");
    if (!there[READ_TEMPERATURE] && !there[READ_PRESSURE] && !there[READ_STRENGTH])
        complain(t, NO_CELL, NULL, "no column holds a reading");
    t->width = t->column;
}

static void keep_row(struct table *t)
{
    if (t->column < t->width) {
        complain(t, NO_CELL, NULL, "%d cells, but the header has %d", t->column, t->width);
        return;
    }
    if (t->rows == ROWS_MAX) {
        complain(t, NO_CELL, NULL, "more than 2 million rows");
        t->over = true;
        return;
    }
    const double *last = t->rows == 0 ? NULL : t->cell + (t->rows - 1) * READ_KINDS;
    if (last != NULL && !(t->row[READ_TIME] > last[READ_TIME])) {
        complain(t, NO_CELL, NULL, "the rows are not in order of time");
        return;
    }
    if (t->rows == t->room) {
        const int room = t->room == 0 ? 256 : 2 * t->room;
        double *cell = realloc(t->cell, sizeof *cell * (size_t)room * READ_KINDS);
        if (cell == NULL) {
            complain_of_memory(t);
            t->over = true;
            return;
        }
        t->cell = cell;
        t->room = room;
    }
    memcpy(t->cell + t->rows++ * READ_KINDS, t->row, sizeof t->row);
}

static void take_row(int c, void *data)
{
    (void)c;
    struct table *t = data;
    if (!t->bad_row && !t->over && t->column > 0) {
        if (t->width == 0)
            check_header(t);
        else
            keep_row(t);
    }
    t->column = 0;
    t->bad_row = false;
}

/* ---- the file -------------------------------------------------------------------------------- */

/* Bytes that no table holds; a number would end at them in silence. */
static bool check_bytes(struct table *t)
{
    for (size_t i = 0; i < t->length; i++) {
        const unsigned char c = (unsigned char)t->text[i];
        if ((c >= 0x20 && c != 0x7f) || c == '\t' || (c == '\r' && i + 1 == t->length))
            continue;
        char words[64];
        snprintf(words, sizeof words, "a control character (byte %d)", c);
        complain_at(t, i, i + 1, NULL, words);
        return false;
    }
    return true;
}

/* One line, given to the library with its end, so that a row ends where it does. */
static void parse_line(struct table *t, struct csv_parser *parser, size_t n)
{
    t->bad_row = false;
    if (n > CHUNK)
        complain(t, NO_CELL, NULL, "a line is longer than 64 KiB");
    else if (t->text[0] != '#' && check_bytes(t) &&
             csv_parse(parser, t->text, n, take_cell, take_row, t) != n) {
        complain(t, NO_CELL, NULL, "a stray quote");
        t->over = true; /* where the next cell begins is not known */
    }
}

/* Line by line, so that complaints can name theirs. */
static void parse(struct table *t, struct csv_parser *parser, const char *bytes, size_t size)
{
    if (size >= 3 && memcmp(bytes, "\xef\xbb\xbf", 3) == 0) {
        bytes += 3;
        size -= 3;
    }
    for (size_t at = 0; at < size && !t->over; t->line++) {
        const char *end = memchr(bytes + at, '\n', size - at);
        const size_t n = end == NULL ? size - at : (size_t)(end - bytes) - at + 1;
        t->text = bytes + at;
        t->length = end == NULL ? n : n - 1;
        parse_line(t, parser, n);
        at += n;
    }
    t->line--;
    if (!t->over && csv_fini(parser, take_cell, take_row, t) != 0)
        complain(t, NO_CELL, NULL, "a quote is not closed");
    if (t->complaints == 0 && t->rows == 0)
        complain(t, NO_CELL, NULL, "no rows");
}

/* Columns of their own, behind the struct in one block. */
static struct feed_log *make_log(const struct table *t)
{
    const size_t rows = (size_t)t->rows;
    struct feed_log *log = malloc(sizeof *log + 4 * rows * sizeof(double));
    if (log == NULL)
        return NULL;
    double *column = (double *)(log + 1);
    const double **const to[] = { &log->at, NULL, &log->temperature, &log->pressure,
                                  &log->strength };
    log->rows = t->rows;
    for (int k = 0; k < READ_KINDS; k++) {
        if (to[k] == NULL)
            continue;
        bool there = k == READ_TIME;
        for (int i = 0; i < t->width; i++)
            there = there || (int)columns[t->which[i]].kind == k;
        *to[k] = there ? column : NULL;
        for (size_t i = 0; i < rows && there; i++)
            *column++ = t->cell[i * READ_KINDS + (size_t)k];
    }
    return log;
}

/* The bytes of the file; NULL and a complaint if it may not be read. */
static char *read_bytes(struct reader *r, const struct node *n, const char *name, size_t *size)
{
    char path[2 * PATH_MAX];
    const char *folder = source_folder(r->source);
    snprintf(path, sizeof path, "%s/%s", folder, name);
    errno = 0;
    char *real = name[0] == '/' ? NULL : realpath(path, NULL);
    const char *words = name[0] == '/' ? OUTSIDE : strerror(errno);
    char *bytes = NULL;
    if (real != NULL && !file_lies_below(folder, real))
        words = OUTSIDE;
    else if (real != NULL)
        bytes = file_read(real, BYTES_MAX, size, &words);
    if (bytes == NULL && errno == ENOMEM)
        report_lose(r->report);
    if (bytes == NULL)
        reader_complain(r, SEVERITY_ERROR, n, NULL, "cannot read \"%.80s\": %s", name, words);
    free(real);
    return bytes;
}

struct feed_log *readings_load(struct reader *r, const struct node *n, const char *name,
                               const struct readings_setting *setting)
{
    size_t size = 0;
    char *bytes = read_bytes(r, n, name, &size);
    if (bytes == NULL)
        return NULL;
    struct table t = { .reader = r, .setting = setting, .shown = name, .line = 1 };
    struct csv_parser parser;
    struct feed_log *log = NULL;
    if (csv_init(&parser, CSV_STRICT | CSV_STRICT_FINI | CSV_EMPTY_IS_NULL) == 0) {
        parse(&t, &parser, bytes, size);
        csv_free(&parser);
        log = t.complaints > 0 ? NULL : make_log(&t);
    }
    if (log == NULL && t.complaints == 0)
        complain_of_memory(&t);
    free(t.cell);
    free(bytes);
    return log;
}
