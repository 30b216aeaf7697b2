/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * feed: the supply as functions of time: composition, pressure, temperature.  Page: docs/feed.md.
 *
 * A base composition; seasons and daily swings of temperature and pressure; dated steps that change
 * what they name; a log of readings that, where it has a column, replaces the season.
 */
#ifndef MODELS_FEED_H
#define MODELS_FEED_H

#include "cycle.h"
#include "species.h"

enum { FEED_STEPS_MAX = 24 };

/* From `at` on, each value that is not NAN replaces the one before. */
struct feed_step {
    double at;                  /* s */
    double pressure_change;     /* Pa, added to the season's pressure */
    double temperature_change;  /* K, added */
    double strength;            /* factor on all dissolved matter but the oxidants */
    double chlorine;            /* mol/m3 */
    double chloramine;          /* mol/m3 */
    double solids;              /* kg/m3 */
};

/* A log of readings: columns that are not there are NULL.  Rows in order of time, linear between
 * them, held before the first and after the last.  Immutable; owned by the loader. */
struct feed_log {
    int rows;
    const double *at;           /* s */
    const double *temperature;  /* degC */
    const double *pressure;     /* Pa */
    const double *strength;     /* factor on the dissolved matter: reading over the base reading */
};

struct feed {
    double c[SPECIES_COUNT];    /* base composition */
    struct cycle temperature;   /* degC */
    struct cycle pressure;      /* Pa gauge at the inlet */
    double start_day;           /* day of the year at t = 0 */
    int steps;
    struct feed_step step[FEED_STEPS_MAX]; /* in order of time */
    const struct feed_log *log; /* NULL if there is none */
    double hold;                /* s: temperature and pressure stay at the middle of each such span, so that a
                                 * campaign meets the same conditions again; 0: as they are */
};

struct feed_now {
    double temperature;         /* degC */
    double pressure;            /* Pa gauge */
    double c[SPECIES_COUNT];
};

struct feed_now feed_at(const struct feed *f, double t);

/* Temperature and pressure alone: what hydraulics needs, without the composition. */
void feed_conditions(const struct feed *f, double t, double *temperature, double *pressure);

/* The next time after t at which a step falls or a held span ends, or INFINITY. */
double feed_next_step(const struct feed *f, double t);

/* The next time after t of a row of a log of pressures, or INFINITY. */
double feed_next_row(const struct feed *f, double t);

/* The highest pressure over a span [Pa]: every hour, and at every step and row of a log. */
double feed_highest_pressure(const struct feed *f, double span);

/* The coldest and warmest feed over a span [degC], looked up every hour. */
void feed_extremes(const struct feed *f, double span, double *coldest, double *warmest);

#endif
