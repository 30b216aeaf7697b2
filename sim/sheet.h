/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * sheet: the files of one figure in DIR/figures: thinned data, axes, labels at the ends of lines
 * that do not cover each other.  Page: docs/figures.md.
 */
#ifndef SIM_SHEET_H
#define SIM_SHEET_H

#include <stdbool.h>
#include <stdio.h>

#include "thin.h"

enum {
    WIDTH = 900, /* px of a figure */
    LEFT = 76,
    RIGHT = 742, /* px of the frame: labels stand right of it */
    LINE = 15,   /* px that a line of words takes */
    TITLE_HIGH = 52,
    GAP = 16,
    FOOT = 54, /* px above, between and below panels */
    LABELS_MAX = 12,
    WORDS_MAX = 96 /* characters of foreign text */
};

/* Colours told apart by all eyes (after Okabe & Ito, darkened for words); a dash and a label tell
 * as much. */
enum colour {
    BLACK = 0x000000,
    BLUE = 0x0072b2,
    VERMILION = 0xc04a00,
    GREEN = 0x134019,
    PURPLE = 0x8850e0,
    GREY = 0x505050
};

struct sheet {
    int results;        /* open folder DIR */
    int folder;         /* open folder DIR/figures */
    const char *figure; /* "levels": names of all its files begin so */
    const void *source; /* what is drawn, if it does not stand in files */
    bool failed;        /* a file could not be written */
    bool memory;        /* for want of memory */
};

struct label {
    double y;     /* where it belongs */
    double place; /* px above the foot of its panel, where it fits */
    enum colour colour;
    char text[48];
};

struct panel {
    double low, high, step; /* of the axis */
    const char *unit;       /* FIGURE.par has it as yNunit; NULL: none */
    bool counts;            /* axis of log(1 + y): 245, 7 and 0 can all be read */
    int height;             /* px */
    int labels;
    struct label label[LABELS_MAX];
};

/* Whether all files of the sheet were written; else why not. */
enum status sheet_status(const struct sheet *s);

/* A new file FIGURE+ending; NULL, and failed set, if it cannot be made.  All of these take NULL. */
FILE *sheet_open(struct sheet *s, const char *ending);
void sheet_put(FILE *out, const char *format, ...) __attribute__((format(printf, 2, 3)));
void sheet_number(FILE *out, double value); /* and a tab */
void sheet_close(struct sheet *s, FILE *out);

/* Text of a user as it may stand in a column: no control characters, no tab, no quotes that gnuplot
 * would read, at most `most` characters, whole characters of UTF-8 only. */
void sheet_clean(const char *text, char out[WORDS_MAX * 2], int most);

double sheet_step(double x); /* 1, 2 or 5 times a power of ten, at least x */
/* Sets the axis to hold low..high, at least `least` wide. */
void sheet_axis(struct panel *p, double low, double high, double least);
void sheet_label(struct panel *p, double y, enum colour colour, const char *format, ...)
    __attribute__((format(printf, 4, 5)));

/* Sets the place of each label, so that none covers another. */
void sheet_spread(struct panel *p);

/* Columns of the results by their names ("tank_level_cm"), in the taste: unit for people ("in", "°F"; "" if it has
 * none that changes), units in one of the column's, a value, the whole of what was read, and a name with
 * that unit. */
const char *sheet_unit(const char *column);
double sheet_scale(const char *column);
double sheet_shown(const char *column, double value);
void sheet_taste(struct thinned *t, const char *const name[]);
char *sheet_column(const char *name, char *out, size_t size);

/* Value of a key of limits.csv, in the taste, NAN if it is not there; its text copied to words unless NULL. */
double sheet_limit(const struct sheet *s, const char *key, char words[WORDS_MAX * 2]);
/* A line across panel `number`, named at its end, if it lies on the axis. */
void sheet_line(FILE *out, struct panel *p, int number, double y, const char *name);

void sheet_title(struct sheet *s); /* FIGURE-title.dat */
/* FIGURE.par, numbers of the axes, and FIGURE-labels.dat; `top` px stay free under the title. */
void sheet_axes(struct sheet *s, struct panel panel[], int panels, const struct thinned *span,
                int top);
/* FIGURE.dat: the first column, then least, greatest and mean of each other one. */
void sheet_series(struct sheet *s, const struct thinned *t, const char *const name[]);

#endif
