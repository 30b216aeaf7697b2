/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * explain: a worksheet that people can redo by hand.  Each line is an equation in named symbols, the
 * same with the numbers put in, its result, and where it stands in docs/.  Page: docs/along.md, with
 * the grammar.
 *
 * Both forms are made from one text, so that they cannot differ.  A result is the model's own number
 * where there is one; else it is reckoned here from the equation.
 */
#ifndef SIM_EXPLAIN_H
#define SIM_EXPLAIN_H

#include <stdbool.h>
#include <stdio.h>

enum { EXPLAIN_NAME = 24, EXPLAIN_SYMBOLS = 512, EXPLAIN_TEXT = 4096 };

struct explain_symbol {
    char name[EXPLAIN_NAME];
    double value;
    const char *unit; /* "" of a pure number */
};

struct explain {
    FILE *out;
    const char *only; /* NULL: all; else what has this in its title, in any case of letters */
    bool silent;      /* what is told now is not asked for */
    int shown;        /* titles */
    char passed[EXPLAIN_TEXT]; /* over: the titles that were not asked for */
    int symbols, scope; /* symbols from `scope` on belong to the scope that is open */
    struct explain_symbol symbol[EXPLAIN_SYMBOLS];
    int lines;       /* equations written */
    double apart;    /* greatest share by which a model's number was off its equation */
    char worst[128]; /* the words of that line */
};

void explain_begin(struct explain *e, const char *only, FILE *out);

/* A title that is always shown, and words below it. */
void explain_chapter(struct explain *e, const char *title, const char *words);

/* A title in capitals, and words below it unless empty. */
void explain_title(struct explain *e, const char *title, const char *words);

/* Words between equations. */
void explain_words(struct explain *e, const char *words);

/* Symbols between opening and closing hide older ones of their name, and are forgotten after it. */
int explain_open(struct explain *e); /* returns what explain_close wants */
void explain_close(struct explain *e, int opened);

/* Takes a value; the latest of a name counts. */
void explain_given(struct explain *e, const char *name, double value, const char *unit);

struct explain_line {
    const char *words;    /* what it is */
    const char *name;     /* the symbol that it defines */
    const char *equation; /* numbers, symbols, + - * / ^ ( ), pi, exp ln log10 sqrt round min max */
    const char *unit, *page;
    double model;         /* what the model found; NAN: as the equation says */
};

/* Writes it and takes its result as given; returns that. */
double explain_line(struct explain *e, const struct explain_line *l);

/* Value of an equation with the symbols of e; NAN and false if it is none. */
bool explain_value(const struct explain *e, const char *equation, double *value);

#endif
