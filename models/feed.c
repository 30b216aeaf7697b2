/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * feed: the supply as functions of time: composition, pressure, temperature.  Page: docs/feed.md.
 *   T(t) = season or log + change in force,  p(t) = the same, never below zero
 *   c(t) = base composition x strength in force x strength logged; oxidants and solids as last set
 * Assumes steps and log rows in order of time.
 */
#include "feed.h"

#include <assert.h>
#include <math.h>
#include <stddef.h>

static const double HOUR = 3600.0; /* s */

/* Where a time falls between the rows of a log. */
struct place {
    int row;
    double weight; /* of the next row, 0 at and beyond the ends */
};

static struct place log_place(const struct feed_log *log, double t)
{
    assert(log->rows > 0);
    int low = 0, high = log->rows - 1;
    if (!(t > log->at[low]))
        return (struct place){ low, 0.0 };
    if (t >= log->at[high])
        return (struct place){ high, 0.0 };
    while (high - low > 1) { /* at[low] <= t < at[high], so that the gap is never zero */
        const int middle = low + (high - low) / 2;
        if (log->at[middle] <= t)
            low = middle;
        else
            high = middle;
    }
    return (struct place){ low, (t - log->at[low]) / (log->at[high] - log->at[low]) };
}

static double log_value(const double *column, struct place p)
{
    const double v = column[p.row];
    return p.weight > 0.0 ? v + p.weight * (column[p.row + 1] - v) : v;
}

static double replaced(double old, double new)
{
    return isnan(new) ? old : new;
}

void feed_conditions(const struct feed *f, double t, double *temperature, double *pressure)
{
    if (f->hold > 0.0)
        t = f->hold * (floor(t / f->hold) + 0.5);
    const struct feed_log *log = f->log;
    const struct place p = log ? log_place(log, t) : (struct place){ 0, 0.0 };
    const double season = log && log->temperature ? log_value(log->temperature, p)
                                                  : cycle_at(&f->temperature, f->start_day, t);
    const double supply = log && log->pressure ? log_value(log->pressure, p)
                                               : cycle_at(&f->pressure, f->start_day, t);
    double warmer = 0.0, stronger = 0.0; /* changes in force [K, Pa] */
    for (int i = 0; i < f->steps && f->step[i].at <= t; i++) {
        warmer = replaced(warmer, f->step[i].temperature_change);
        stronger = replaced(stronger, f->step[i].pressure_change);
    }
    *temperature = season + warmer;
    *pressure = fmax(0.0, supply + stronger); /* a main that fails does not suck */
}

struct feed_now feed_at(const struct feed *f, double t)
{
    struct feed_now now;
    feed_conditions(f, t, &now.temperature, &now.pressure);

    double strength = 1.0;
    double chlorine = f->c[CHLORINE], chloramine = f->c[CHLORAMINE], solids = f->c[SOLIDS];
    for (int i = 0; i < f->steps && f->step[i].at <= t; i++) {
        strength = replaced(strength, f->step[i].strength);
        chlorine = replaced(chlorine, f->step[i].chlorine);
        chloramine = replaced(chloramine, f->step[i].chloramine);
        solids = replaced(solids, f->step[i].solids);
    }
    if (f->log && f->log->strength)
        strength *= log_value(f->log->strength, log_place(f->log, t));

    for (int i = 0; i < SPECIES_COUNT; i++)
        now.c[i] = i < EXCHANGED_COUNT ? strength * f->c[i] : f->c[i];
    now.c[CHLORINE] = chlorine;
    now.c[CHLORAMINE] = chloramine;
    now.c[SOLIDS] = solids;
    return now;
}

double feed_next_step(const struct feed *f, double t)
{
    const double held = f->hold > 0.0 ? f->hold * (floor(t / f->hold) + 1.0) : INFINITY;
    for (int i = 0; i < f->steps; i++)
        if (f->step[i].at > t)
            return fmin(f->step[i].at, held);
    return held;
}

double feed_next_row(const struct feed *f, double t)
{
    const struct feed_log *log = f->log;
    if (!log || !log->pressure || t < log->at[0])
        return log && log->pressure ? log->at[0] : INFINITY;
    const int row = log_place(log, t).row + 1; /* of the last row: one past the end */
    return row < log->rows ? log->at[row] : INFINITY;
}

static double pressure_at(const struct feed *f, double t)
{
    double temperature, pressure;
    feed_conditions(f, t, &temperature, &pressure);
    return pressure;
}

double feed_highest_pressure(const struct feed *f, double span)
{
    double highest = 0.0;
    const double hours = ceil(fmax(span, 0.0) / HOUR);
    for (double hour = 0.0; hour <= hours; hour += 1.0)
        highest = fmax(highest, pressure_at(f, fmin(hour * HOUR, fmax(span, 0.0))));
    for (int i = 0; i < f->steps && f->step[i].at <= span; i++)
        highest = fmax(highest, pressure_at(f, f->step[i].at));
    for (double t = feed_next_row(f, 0.0); t <= span; t = feed_next_row(f, t))
        highest = fmax(highest, pressure_at(f, t));
    return highest;
}

void feed_extremes(const struct feed *f, double span, double *coldest, double *warmest)
{
    *coldest = INFINITY;
    *warmest = -INFINITY;
    const double hours = ceil(fmax(span, 0.0) / HOUR);
    for (double hour = 0.0; hour <= hours; hour += 1.0) {
        double temperature, pressure;
        feed_conditions(f, fmin(hour * HOUR, fmax(span, 0.0)), &temperature, &pressure);
        *coldest = fmin(*coldest, temperature);
        *warmest = fmax(*warmest, temperature);
    }
}
