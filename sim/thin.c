/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * thin: series thinned to bins.  Page: docs/figures.md.
 *
 * A file is read twice, first for its span, then into the bins; memory does not grow with its
 * length.
 */
#include "thin.h"

#include <math.h>
#include <stdlib.h>

#include "rows.h"

enum { BINS_MAX = 680 }; /* as wide as a figure: least and greatest are two points a pixel */

/* Where a file is being read, along its first column. */
struct walk {
    double at;
    int stretch;
};

/* The next row that is wished for; false at the end. */
static bool next_wished(struct rows *c, int column, const struct thin_wish *w, struct walk *p)
{
    while (rows_next(c)) {
        const double at = rows_number(c, column);
        if (isnan(at))
            continue;
        p->stretch += at < p->at;
        p->at = at;
        if ((w->stretch < 0 || w->stretch == p->stretch) && !(at < w->from) && !(at > w->to))
            return true;
    }
    return false;
}

static struct walk beginning(void)
{
    return (struct walk){ .at = -INFINITY };
}

/* The span of a column and the number of its rows. */
static int span(struct rows *c, int column, const struct thin_wish *w, struct thinned *t)
{
    int rows = 0;

    for (struct walk p = beginning(); next_wished(c, column, w, &p); rows++) {
        t->from = rows == 0 ? p.at : fmin(t->from, p.at);
        t->to = rows == 0 ? p.at : fmax(t->to, p.at);
    }
    if (!isnan(w->from))
        t->from = w->from;
    if (!isnan(w->to))
        t->to = w->to;
    return rows;
}

static void put(struct thin_bin *b, double value)
{
    if (isnan(value))
        return;
    b->low = b->count ? fmin(b->low, value) : value;
    b->high = b->count ? fmax(b->high, value) : value;
    b->sum += value;
    b->last = value;
    b->count++;
}

static int bin_of(const struct thinned *t, double at)
{
    const double share = t->to > t->from ? (at - t->from) / (t->to - t->from) : 0.0;
    const int bin = (int)(share * t->bins);

    return bin < t->bins ? bin : t->bins - 1;
}

static int bins_of(const struct thinned *t, const struct thin_wish *w, int rows)
{
    const double widest = w->least > 0.0 ? fmax(1.0, (t->to - t->from) / w->least) : BINS_MAX;

    return w->bins > 0 ? w->bins : (int)fmin(fmin(rows, BINS_MAX), widest);
}

static enum status fill(struct thinned *t, struct rows *c, const int column[],
                        const struct thin_wish *w)
{
    const int rows = span(c, column[0], w, t);
    if (rows == 0)
        return STATUS_NO_INPUT;

    t->bins = bins_of(t, w, rows);
    t->bin = calloc((size_t)t->columns * (size_t)t->bins, sizeof *t->bin);
    if (!t->bin)
        return STATUS_MEMORY;
    rewind(c->file);
    for (struct walk p = beginning(); next_wished(c, column[0], w, &p);) {
        const int bin = bin_of(t, p.at);
        for (int i = 0; i < t->columns; i++)
            put(&t->bin[i * t->bins + bin], rows_number(c, column[i]));
    }
    return ferror(c->file) ? STATUS_NO_INPUT : STATUS_OK;
}

enum status thin_part(struct thinned *t, int dir, const char *file, const struct thin_wish *w)
{
    struct rows c;
    int column[ROWS_FIELDS_MAX];
    enum status status = STATUS_NO_INPUT;

    *t = (struct thinned){ .columns = w->names };
    if (!rows_open(&c, dir, file))
        return STATUS_NO_INPUT;
    if (rows_header(&c, w->name, w->names, column) && column[0] >= 0)
        status = fill(t, &c, column, w);
    rows_close(&c);
    if (status != STATUS_OK)
        thin_free(t);
    return status;
}

enum status thin_read(struct thinned *t, int dir, const char *file, const char *const name[],
                      int names, double least)
{
    const struct thin_wish all = { name, names, least, NAN, NAN, 0, -1 };

    return thin_part(t, dir, file, &all);
}

void thin_free(struct thinned *t)
{
    free(t->bin);
    t->bin = NULL;
    t->bins = 0;
}

double thin_at(const struct thinned *t, int bin)
{
    const double mean = thin_mean(thin_bin(t, 0, bin));

    return isnan(mean) ? t->from + (bin + 0.5) * (t->to - t->from) / t->bins : mean;
}

struct thin_bin thin_bin(const struct thinned *t, int column, int bin)
{
    return t->bin[column * t->bins + bin];
}

double thin_mean(struct thin_bin b)
{
    return b.count ? b.sum / b.count : NAN;
}

double thin_last(const struct thinned *t, int column)
{
    for (int i = t->bins - 1; i >= 0; i--)
        if (thin_bin(t, column, i).count)
            return thin_mean(thin_bin(t, column, i));
    return NAN;
}

double thin_newest(const struct thinned *t, int column)
{
    for (int i = t->bins - 1; i >= 0; i--)
        if (thin_bin(t, column, i).count)
            return thin_bin(t, column, i).last;
    return NAN;
}

bool thin_range(const struct thinned *t, int column, double *low, double *high)
{
    struct thin_bin all = { .count = 0 };

    for (int i = 0; i < t->bins; i++) {
        const struct thin_bin b = thin_bin(t, column, i);
        if (b.count) {
            put(&all, b.low);
            put(&all, b.high);
        }
    }
    *low = all.low;
    *high = all.high;
    return all.count > 0;
}
