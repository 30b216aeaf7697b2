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

/* The span of a column and the number of its rows. */
static int span(struct rows *c, int column, double *from, double *to)
{
    int rows = 0;

    while (rows_next(c)) {
        const double at = rows_number(c, column);
        if (isnan(at))
            continue;
        *from = rows == 0 ? at : fmin(*from, at);
        *to = rows == 0 ? at : fmax(*to, at);
        rows++;
    }
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

static enum status fill(struct thinned *t, struct rows *c, const int column[], double least)
{
    const int rows = span(c, column[0], &t->from, &t->to);
    if (rows == 0)
        return STATUS_NO_INPUT;

    const double widest = least > 0.0 ? fmax(1.0, (t->to - t->from) / least) : BINS_MAX;
    t->bins = (int)fmin(fmin(rows, BINS_MAX), widest);
    t->bin = calloc((size_t)t->columns * (size_t)t->bins, sizeof *t->bin);
    if (!t->bin)
        return STATUS_MEMORY;
    rewind(c->file);
    while (rows_next(c)) {
        const double at = rows_number(c, column[0]);
        if (isnan(at))
            continue;
        const int bin = bin_of(t, at);
        for (int i = 0; i < t->columns; i++)
            put(&t->bin[i * t->bins + bin], rows_number(c, column[i]));
    }
    return ferror(c->file) ? STATUS_NO_INPUT : STATUS_OK;
}

enum status thin_read(struct thinned *t, int dir, const char *file, const char *const name[],
                      int names, double least)
{
    struct rows c;
    int column[ROWS_FIELDS_MAX];
    enum status status = STATUS_NO_INPUT;

    *t = (struct thinned){ .columns = names };
    if (!rows_open(&c, dir, file))
        return STATUS_NO_INPUT;
    if (rows_header(&c, name, names, column) && column[0] >= 0)
        status = fill(t, &c, column, least);
    rows_close(&c);
    if (status != STATUS_OK)
        thin_free(t);
    return status;
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
