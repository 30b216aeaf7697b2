/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * sheet: the files of one figure: thinned data, axes, labels that do not cover each other.
 * Page: docs/figures.md.
 *
 * User text is only ever a column of data, made harmless first.
 */
#include "sheet.h"

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "rows.h"
#include "text.h"

/* ---- files in the figures folder ---------------------------------------------------------- */

enum status sheet_status(const struct sheet *s)
{
    return !s->failed ? STATUS_OK : s->memory ? STATUS_MEMORY : STATUS_IO;
}

static void fail(struct sheet *s, int error)
{
    s->failed = true;
    s->memory |= error == ENOMEM;
}

FILE *sheet_open(struct sheet *s, const char *ending)
{
    char name[64];
    snprintf(name, sizeof name, "%s%s", s->figure, ending);
    unlinkat(s->folder, name, 0);

    const int file =
        openat(s->folder, name, O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, 0666);
    FILE *out = file >= 0 ? fdopen(file, "w") : NULL;
    if (!out) {
        fail(s, errno);
        if (file >= 0)
            close(file);
    }
    return out;
}

void sheet_close(struct sheet *s, FILE *out)
{
    if (!out)
        return;
    const bool bad = ferror(out) != 0;
    if (fclose(out) != 0 || bad)
        fail(s, bad ? EIO : errno);
}

void sheet_put(FILE *out, const char *format, ...)
{
    va_list list;

    if (!out)
        return;
    va_start(list, format);
    vfprintf(out, format, list);
    va_end(list);
}

/* A number as gnuplot reads it, followed by a tab. */
void sheet_number(FILE *out, double value)
{
    if (isnan(value))
        sheet_put(out, "NaN\t");
    else
        sheet_put(out, "%.7g\t", value);
}

/* Text of a user as it may stand in a column: no control characters, no tab, no quotes that gnuplot
 * would read, at most `most` characters, whole characters of UTF-8 only. */
void sheet_clean(const char *text, char out[WORDS_MAX * 2], int most)
{
    size_t n = 0;

    for (int count = 0; *text && count < most && n < WORDS_MAX * 2 - 5; count++) {
        const unsigned char c = (unsigned char)*text;
        size_t size = c < 0x80 ? 1 : c < 0xe0 ? 2 : c < 0xf0 ? 3 : 4;
        if (strnlen(text, size) < size || !text_is_utf8(text, size, &(size_t){ 0 })) {
            out[n++] = '?';
            text++;
            continue;
        }
        const bool control = c < ' ' || c == 0x7f || (c == 0xc2 && (unsigned char)text[1] < 0xa0);
        if (c == '"' || c == '\\' || control)
            out[n++] = c == '"' ? '\'' : c == '\\' ? '/' : ' ';
        else
            for (size_t i = 0; i < size; i++)
                out[n++] = text[i];
        text += size;
    }
    out[n] = '\0';
}

/* ---- axes and labels ---------------------------------------------------------------------- */

static double axis_of(const struct panel *p, double y)
{
    return p->counts ? log10(1.0 + fmax(y, 0.0)) : y;
}

static double px_of(const struct panel *p, double y)
{
    const double low = axis_of(p, p->low), high = axis_of(p, p->high);

    return p->height * (axis_of(p, y) - low) / (high - low);
}

static double y_of(const struct panel *p, double px)
{
    const double low = axis_of(p, p->low), high = axis_of(p, p->high);
    const double axis = low + (high - low) * px / p->height;

    return p->counts ? pow(10.0, axis) - 1.0 : axis;
}

double sheet_step(double x)
{
    const double power = pow(10.0, floor(log10(x)));
    const double first = x / power;

    return power * (first <= 1.0 ? 1.0 : first <= 2.0 ? 2.0 : first <= 5.0 ? 5.0 : 10.0);
}

/* Sets the axis to hold low..high, at least `least` wide, with a tic about every 40 px. */
void sheet_axis(struct panel *p, double low, double high, double least)
{
    if (high - low < least) {
        const double middle = 0.5 * (low + high);
        low = low == 0.0 ? 0.0 : middle - 0.5 * least;
        high = low + least;
    }
    const double tics = fmax(2.0, p->height / 40.0);
    p->step = sheet_step((high - low) / tics);
    p->low = p->step * floor(low / p->step + 1e-9);
    p->high = p->step * ceil(high / p->step - 1e-9);
    if (p->high <= p->low)
        p->high = p->low + p->step;
}

void sheet_label(struct panel *p, double y, enum colour colour, const char *format, ...)
{
    va_list list;

    if (p->labels == LABELS_MAX || isnan(y))
        return;
    struct label *l = &p->label[p->labels++];
    l->y = y;
    l->colour = colour;
    va_start(list, format);
    vsnprintf(l->text, sizeof l->text, format, list);
    va_end(list);
}

static int by_y(const void *a, const void *b)
{
    const double x = ((const struct label *)a)->y, y = ((const struct label *)b)->y;

    return (x > y) - (x < y);
}

/* Moves labels apart so that none covers another, as little as that takes. */
void sheet_spread(struct panel *p)
{
    const double least = 0.4 * LINE, most = p->height - 0.2 * LINE;

    qsort(p->label, (size_t)p->labels, sizeof *p->label, by_y);
    for (int i = 0; i < p->labels; i++)
        p->label[i].place = fmin(fmax(px_of(p, p->label[i].y), least), most);
    for (int round = 0; round < 200; round++)
        for (int i = 1; i < p->labels; i++) {
            const double close = LINE - (p->label[i].place - p->label[i - 1].place);
            if (close > 0.0) {
                p->label[i].place = fmin(p->label[i].place + 0.5 * close, most);
                p->label[i - 1].place = fmax(p->label[i - 1].place - 0.5 * close, least);
            }
        }
}

/* Writes the numbers of the axes, FIGURE.par, and the labels, FIGURE-labels.dat.  `top` px are kept
 * free under the title. */
void sheet_axes(struct sheet *s, struct panel panel[], int panels, const struct thinned *span,
                int top)
{
    const double from = span->from, to = span->to > from ? span->to : from + 1.0;
    static const double steps[] = { 1e-4, 2e-4, 5e-4,  1e-3,  2e-3,  5e-3,   0.01,  0.05,
                                    0.1,  0.25, 0.5,   1.0,   2.0,   7.0,    14.0,  30.0,
                                    60.0, 90.0, 180.0, 365.0, 730.0, 1825.0, 3650.0 };
    int high = TITLE_HIGH + top + FOOT - GAP;
    double step = steps[0];
    for (size_t i = 0; i < sizeof steps / sizeof *steps && (to - from) / step > 14.0; i++)
        step = steps[i];
    for (int i = 0; i < panels; i++)
        high += panel[i].height + GAP;

    FILE *par = sheet_open(s, ".par");
    FILE *labels = sheet_open(s, "-labels.dat");
    sheet_put(par, "# axes and places in the figure; the script beside reads them\n");
    sheet_put(par, "panels = %d\n", panels);
    sheet_put(par, "xmin = %.9g\nxmax = %.9g\nxstep = %.9g\n", from, to, step);
    sheet_put(par, "high = %d\nwide = %d\nleft = %d\nright = %d\ntop0 = %.6f\nlow0 = %.6f\n", high,
              WIDTH, LEFT, RIGHT, 1.0 - (double)TITLE_HIGH / high,
              1.0 - (double)(TITLE_HIGH + top) / high);
    sheet_put(labels, "# panel\ty\tcolour\twords\n");
    int at = TITLE_HIGH + top;
    for (int i = 0; i < panels; i++) {
        struct panel *p = &panel[i];
        sheet_put(par, "top%d = %.6f\nlow%d = %.6f\n", i + 1, 1.0 - (double)at / high, i + 1,
                  1.0 - (double)(at + p->height) / high);
        sheet_put(par, "y%dmin = %.9g\ny%dmax = %.9g\ny%dstep = %.9g\n", i + 1, p->low, i + 1,
                  p->high, i + 1, p->step);
        if (p->unit)
            sheet_put(par, "y%dunit = '%s'\n", i + 1, p->unit);
        sheet_spread(p);
        for (int j = 0; j < p->labels; j++)
            sheet_put(labels, "%d\t%.9g\t%d\t%s\n", i + 1, y_of(p, p->label[j].place),
                      p->label[j].colour, p->label[j].text);
        at += p->height + GAP;
    }
    sheet_close(s, par);
    sheet_close(s, labels);
}

/* ---- limits and title --------------------------------------------------------------------- */

/* Value of a key of limits.csv, NAN if it is not there; text copied to words unless NULL. */
double sheet_limit(const struct sheet *s, const char *key, char words[WORDS_MAX * 2])
{
    struct rows c;
    double value = NAN;

    if (words)
        words[0] = '\0';
    if (!rows_open(&c, s->results, "limits.csv"))
        return NAN;
    while (rows_next(&c))
        if (c.fields >= 2 && strcmp(c.field[0], key) == 0) {
            value = sheet_shown(key, rows_number(&c, 1));
            if (words)
                sheet_clean(c.field[1], words, WORDS_MAX);
        }
    rows_close(&c);
    return value;
}

void sheet_title(struct sheet *s)
{
    char words[WORDS_MAX * 2];

    sheet_limit(s, "title", words);
    FILE *out = sheet_open(s, "-title.dat");
    sheet_put(out, "# title\n%s\n", words[0] ? words : " ");
    sheet_close(s, out);
}

/* A line across a panel with its name at the end. */
void sheet_line(FILE *out, struct panel *p, int number, double y, const char *name)
{
    if (isnan(y) || y < p->low || y > p->high)
        return;
    sheet_put(out, "%d\t%.9g\t%s\n", number, y, name);
    sheet_label(p, y, GREY, "%s", name);
}

/* ---- series ------------------------------------------------------------------------------- */

/* FIGURE.dat: the first column, then low, high and mean of each other one. */
void sheet_series(struct sheet *s, const struct thinned *t, const char *const name[])
{
    FILE *out = sheet_open(s, ".dat");

    sheet_put(out, "# %s", name[0]);
    for (int i = 1; i < t->columns; i++) {
        char column[WORDS_MAX];
        sheet_put(out, "\t%s least\tgreatest\tmean", sheet_column(name[i], column, sizeof column));
    }
    sheet_put(out, "\n");
    for (int bin = 0; bin < t->bins; bin++) {
        sheet_number(out, thin_at(t, bin));
        for (int i = 1; i < t->columns; i++) {
            const struct thin_bin b = thin_bin(t, i, bin);
            sheet_number(out, b.count ? b.low : NAN);
            sheet_number(out, b.count ? b.high : NAN);
            sheet_number(out, thin_mean(b));
        }
        sheet_put(out, "\n");
    }
    sheet_close(s, out);
}
