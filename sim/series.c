/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * series: see series.h.  Page: docs/show.md.
 */
#include "series.h"

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "hash.h"
#include "results_old.h"
#include "text.h"

/* Letters of the names that we give to files; no other file is ours. */
static const char PLAIN[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_.-";
static const char EVENTS[] = "events.csv";

/* Names that the engine gives to what files lie along. */
static const char *const axes[] = { "day", "hour", "second", "depth_cm" };

/* ---- a file -----------------------------------------------------------------------------------
 */

/* What is remembered of a file while it is read. */
struct scan {
    struct series_file *file;
    double at; /* on the axis */
    double start[SERIES_STRETCHES][SERIES_COLUMNS];
    bool changed[SERIES_COLUMNS]; /* within a stretch */
    double value[SERIES_COLUMNS]; /* of the row, NAN: no number */
    char comment[SERIES_NAME];
};

/* What a cell holds: a number, or nan, inf, nothing or the rest of a cut one, or other text. */
static double cell_number(const char *cell, bool cut, bool *word)
{
    char *end;
    const double value = strtod(cell, &end);
    const bool whole = end != cell && end[strspn(end, " ")] == '\0';
    *word = *cell != '\0' && !whole;
    return whole && isfinite(value) && !cut ? value : NAN;
}

static void read_head(struct series_file *f, const struct rows *c)
{
    f->columns = c->fields;
    f->along = f->label = -1;
    for (int i = 0; i < c->fields; i++) {
        text_copy(f->column[i].name, SERIES_NAME, c->field[i]);
        for (size_t k = 0; k < sizeof axes / sizeof *axes; k++)
            if (f->along < 0 && strcmp(c->field[i], axes[k]) == 0)
                f->along = i;
    }
}

static void read_number(struct series_column *k, double value)
{
    if (k->numbers++ == 0)
        k->first = k->least = k->greatest = value;
    k->last = value;
    k->least = fmin(k->least, value);
    k->greatest = fmax(k->greatest, value);
}

static void read_cells(struct scan *s, const struct rows *c)
{
    struct series_file *f = s->file;
    for (int i = 0; i < f->columns; i++) {
        const bool cut = c->fields < f->columns && i == c->fields - 1;
        bool word = false;
        s->value[i] = i < c->fields ? cell_number(c->field[i], cut, &word) : NAN;
        f->column[i].words += word;
        if (!isnan(s->value[i]))
            read_number(&f->column[i], s->value[i]);
    }
}

/* A row at which the axis falls begins a stretch. */
static void see_stretch(struct scan *s)
{
    struct series_file *f = s->file;
    const double at = f->along < 0 ? NAN : s->value[f->along];
    if (isnan(at))
        return;
    const bool begins = f->stretches == 0 || at < s->at;
    f->stretches += begins;
    s->at = at;
    const int k = f->stretches - 1;
    for (int i = 0; k < SERIES_STRETCHES && i < f->columns; i++) {
        const double value = s->value[i];
        if (begins)
            s->start[k][i] = value;
        s->changed[i] |= isnan(value) || value < s->start[k][i] || value > s->start[k][i];
    }
    if (begins && k < SERIES_STRETCHES)
        text_copy(f->stretch[k], SERIES_NAME, s->comment);
    s->comment[0] = '\0';
}

static void read_row(struct scan *s, const struct rows *c)
{
    struct series_file *f = s->file;
    if (c->comment)
        text_copy(s->comment, sizeof s->comment, c->comment + strspn(c->comment, " "));
    if (c->fields == 0 || strcmp(c->field[0], f->column[0].name) == 0)
        return; /* a block has the head once more */
    f->rows++;
    f->cut += c->fields < f->columns;
    read_cells(s, c);
    see_stretch(s);
}

/* Stretches without a comment have the name of what is the same along each, and differs between
 * them. */
static void name_stretches(struct scan *s)
{
    struct series_file *f = s->file;
    const int n = f->stretches < SERIES_STRETCHES ? f->stretches : SERIES_STRETCHES;
    int column = -1;
    for (int i = 0; i < f->columns && column < 0; i++)
        if (i != f->along && !s->changed[i] && n > 1 &&
            (s->start[0][i] < s->start[1][i] || s->start[0][i] > s->start[1][i]))
            column = i;
    for (int k = 0; k < n && column >= 0; k++) {
        char words[SERIES_NAME];
        snprintf(words, sizeof words, "%.40s %.4g", f->column[column].name, s->start[k][column]);
        if (f->stretch[k][0] == '\0')
            memcpy(f->stretch[k], words, sizeof words);
    }
}

static void find_label(struct series_file *f)
{
    for (int i = 0; i < f->columns && f->label < 0; i++)
        if (f->column[i].words > f->column[i].numbers)
            f->label = i;
}

static enum status read_file(struct series_file *f, int folder)
{
    struct rows c;
    struct scan *s = calloc(1, sizeof *s);
    if (!s)
        return STATUS_MEMORY;
    s->file = f;
    if (!rows_open(&c, folder, f->name)) {
        free(s);
        return STATUS_NO_INPUT;
    }
    while (f->columns == 0 && rows_next(&c)) {
        if (c.comment)
            text_copy(s->comment, sizeof s->comment, c.comment + strspn(c.comment, " "));
        if (c.fields > 0) {
            read_head(f, &c);
            c.columns = c.fields;
        }
    }
    while (rows_next(&c))
        read_row(s, &c);
    rows_close(&c);
    name_stretches(s);
    find_label(f);
    free(s);
    return STATUS_OK;
}

static bool is_altered(int folder, const char *name, const char *hash)
{
    char found[HASH_TEXT] = "";
    long long size;
    const int fd = openat(folder, name, O_RDONLY | O_CLOEXEC | O_NONBLOCK);
    struct stat info; /* a device has no end */
    const bool regular = fd >= 0 && fstat(fd, &info) == 0 && S_ISREG(info.st_mode);
    const bool read = regular && hash_file(fd, found, &size);
    if (fd >= 0)
        close(fd);
    return !read || strcmp(found, hash) != 0;
}

/* ---- the folder -------------------------------------------------------------------------------
 */

struct opening {
    struct series *series;
    enum status status;
};

static void see_file(void *self, const char *name, const char *hash)
{
    struct opening *o = self;
    struct series *s = o->series;
    const size_t n = strlen(name);
    const bool table = n > 4 && strcmp(name + n - 4, ".csv") == 0;
    const bool ours = name[strspn(name, PLAIN)] == '\0';
    if (!table || !ours || n >= RESULTS_NAME || s->files == SERIES_FILES || o->status != STATUS_OK)
        return;
    struct series_file *f = calloc(1, sizeof *f);
    if (!f) {
        o->status = STATUS_MEMORY;
        return;
    }
    text_copy(f->name, sizeof f->name, name);
    f->altered = is_altered(s->folder, name, hash);
    o->status = read_file(f, s->folder);
    f->missing = faccessat(s->folder, name, F_OK, 0) != 0;
    if (o->status == STATUS_NO_INPUT)
        o->status = STATUS_OK; /* it is gone: altered, without rows */
    s->file[s->files++] = f;
}

static int by_name(const void *a, const void *b)
{
    const struct series_file *x = *(struct series_file *const *)a;
    const struct series_file *y = *(struct series_file *const *)b;
    const int first = (strcmp(y->name, "series.csv") == 0) - (strcmp(x->name, "series.csv") == 0);
    return first != 0 ? first : strcmp(x->name, y->name);
}

enum status series_open(struct series *s, const char *dir, char words[SERIES_WORDS])
{
    *s = (struct series){ .dir = dir, .events = -1 };
    struct opening o = { .series = s };
    s->folder = open(dir, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (s->folder < 0) {
        text_copy(words, SERIES_WORDS,
                  errno == ENOTDIR ? "is no folder; name that of the results" : strerror(errno));
        return STATUS_NO_INPUT;
    }
    if (!results_old_each(s->folder, see_file, &o)) {
        text_copy(words, SERIES_WORDS, "holds no results of this program; leat run leaves some");
        o.status = STATUS_NO_INPUT;
    }
    if (o.status != STATUS_OK) {
        series_close(s);
        return o.status;
    }
    qsort(s->file, (size_t)s->files, sizeof *s->file, by_name);
    for (int i = 0; i < s->files; i++)
        if (strcmp(s->file[i]->name, EVENTS) == 0)
            s->events = s->file[i]->rows;
    return STATUS_OK;
}

void series_close(struct series *s)
{
    for (int i = 0; i < s->files; i++)
        free(s->file[i]);
    if (s->folder >= 0)
        close(s->folder);
    *s = (struct series){ .folder = -1 };
}
