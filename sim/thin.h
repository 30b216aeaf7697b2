/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * thin: thins a long series of a CSV file to a fixed number of bins
 * that keep the least, the greatest and the mean, so that memory and figures stay small. Page:
 * docs/figures.md.
 */
#ifndef SIM_THIN_H
#define SIM_THIN_H

#include <stdbool.h>

#include "report.h"

struct thin_bin {
    double low, high, sum, last;
    int count;
};

struct thinned {
    int columns, bins;
    double from, to;      /* of the first column */
    struct thin_bin *bin; /* [columns][bins] */
};

/* Thins dir/name; name[0] is the column of time, along which the bins lie, none narrower than
 * `least`. STATUS_NO_INPUT if the file or its time is missing. */
enum status thin_read(struct thinned *t, int dir, const char *file, const char *const name[],
                      int names, double least);

/* What is wanted of a file, if not all of it. */
struct thin_wish {
    const char *const *name; /* name[0]: the column along which the bins lie */
    int names;
    double least;    /* no bin is narrower */
    double from, to; /* exact ends of the bins, rows outside are left out; NAN: those of the file */
    int bins;        /* so many, empty ones too; 0: as many as a figure can show */
    int stretch;     /* the k-th, from 0, along which name[0] does not fall; -1: all */
};

enum status thin_part(struct thinned *t, int dir, const char *file, const struct thin_wish *wish);

void thin_free(struct thinned *t);

double thin_at(const struct thinned *t, int bin); /* time at its middle */
struct thin_bin thin_bin(const struct thinned *t, int column, int bin);
double thin_mean(struct thin_bin b);                     /* NAN if empty */
double thin_last(const struct thinned *t, int column);   /* last mean, NAN if none */
double thin_newest(const struct thinned *t, int column); /* last value itself, NAN if none */
/* Least and greatest of a column; false if it has no number. */
bool thin_range(const struct thinned *t, int column, double *low, double *high);

#endif
