/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * cycle: a quantity that swings with the season and the hour of the day.  Page: docs/feed.md.
 *   v(t) = mean + season cos(2 pi (day - peak_day)/365.25) + daily cos(2 pi (hour - peak_hour)/24)
 */
#ifndef MODELS_CYCLE_H
#define MODELS_CYCLE_H

struct cycle {
    double mean;
    double season;              /* half the swing over the year */
    double peak_day;            /* day of the year (0 = 1 January 00:00) of the highest value */
    double daily;               /* half the swing over the day */
    double peak_hour;           /* hour of the day of the highest value */
};

/* Value at t seconds after the start, which falls on start_day (days since 1 January 00:00). */
double cycle_at(const struct cycle *c, double start_day, double t);

double cycle_lowest(const struct cycle *c);
double cycle_highest(const struct cycle *c);

#endif
