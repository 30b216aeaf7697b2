/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * series: what the CSV files of a results folder hold: columns of numbers, the axis along which they
 * lie, their ends and extremes.  Page: docs/show.md.
 *
 * Files are read row by row: memory does not grow with their length.  The folder may have been
 * written by anybody: names are shown escaped, lengths are bounded.
 */
#ifndef SIM_SERIES_H
#define SIM_SERIES_H

#include <stdbool.h>

#include "results.h"
#include "rows.h"

enum {
    SERIES_FILES = 32,
    SERIES_COLUMNS = ROWS_FIELDS_MAX,
    SERIES_NAME = 64, /* bytes of a name, the rest is cut */
    SERIES_STRETCHES = 9
};

struct series_column {
    char name[SERIES_NAME];
    long numbers, words; /* cells that hold a number, that hold other text */
    double first, last, least, greatest;
};

struct series_file {
    char name[RESULTS_NAME];
    bool altered; /* not as the manifest has it, or without a hash */
    bool missing; /* it is in the manifest alone */
    long rows, cut; /* of them shorter than the head */
    int columns;
    struct series_column column[SERIES_COLUMNS];
    int along;      /* column of the axis; -1: a table without one */
    int label;      /* first column of words; -1: none */
    int stretches;  /* along which the axis does not fall; more than SERIES_STRETCHES: not all named */
    char stretch[SERIES_STRETCHES][SERIES_NAME]; /* "rest_h 8", or empty */
};

struct series {
    const char *dir; /* as it was named */
    int folder;      /* open */
    int files;
    struct series_file *file[SERIES_FILES]; /* series.csv first, then by name */
    long events;                            /* -1: no such file */
};

/* Reads the folder.  STATUS_NO_INPUT and words if it cannot be read or holds no results of ours; then nothing is
 * to be freed. */
enum { SERIES_WORDS = 480 };
enum status series_open(struct series *s, const char *dir, char words[SERIES_WORDS]);
void series_close(struct series *s);

/* Whether a column is a series: it holds numbers, or nothing at all, and is not the axis. */
bool series_shown(const struct series_file *f, int column);

/* How the values of a column are shown: as they are stored, for programs; to people in the units of the taste. */
struct series_unit {
    int base;              /* bytes of the name before its unit */
    const char *words;     /* "mL/min"; "" if it has none */
    double factor, offset; /* shown = stored factor + offset */
};

struct series_unit series_unit_of(const char *column);
struct series_unit series_unit_in_taste(const char *column);

/* A column named by a person: "tank_level_cm", "tank_level", "daily:produced_L". */
struct series_pick {
    const struct series_file *file;
    int column;
};

/* False if there is none; *near is then the nearest name that there is, or NULL. */
bool series_find(const struct series *s, const char *name, struct series_pick *out,
                 const char **near);

/* A date or a time ("100 days") as a place on the axis of a file; false and words if it is none. */
bool series_moment(const struct series *s, const struct series_file *f, const char *text,
                   double *at, char words[SERIES_WORDS]);

#endif
