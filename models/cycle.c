/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * cycle: a quantity that swings with the season and the hour of the day.  Page: docs/feed.md.
 *   v(t) = mean + season cos(2 pi (day - peak_day)/365.25) + daily cos(2 pi (hour - peak_hour)/24)
 * Assumes that both swings are pure cosines; a swing of zero costs nothing.
 */
#include "cycle.h"

#include <math.h>

static const double SECONDS_A_DAY = 86400.0;
static const double DAYS_A_YEAR = 365.25;
static const double HOURS_A_DAY = 24.0;

double cycle_at(const struct cycle *c, double start_day, double t)
{
    const double day = start_day + t / SECONDS_A_DAY;
    double v = c->mean;
    if (c->season != 0.0)
        v += c->season * cos(2.0 * M_PI * (day - c->peak_day) / DAYS_A_YEAR);
    if (c->daily != 0.0)
        v += c->daily * cos(2.0 * M_PI * (day - c->peak_hour / HOURS_A_DAY));
    return v;
}

double cycle_lowest(const struct cycle *c)
{
    return c->mean - fabs(c->season) - fabs(c->daily);
}

double cycle_highest(const struct cycle *c)
{
    return c->mean + fabs(c->season) + fabs(c->daily);
}
