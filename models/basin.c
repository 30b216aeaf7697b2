/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * basin: the served open water: evaporation, salinity, rim.  Page: docs/basin.md.
 * The law of evaporation itself is in evaporation.c.
 */
#include "basin.h"

#include <math.h>

#include "evaporation.h"
#include "water.h"

double basin_evaporation(const struct basin *b, double t)
{
    const double water = cycle_at(&b->water, b->start_day, t);
    const double air = cycle_at(&b->air, b->start_day, t);
    const double humidity = cycle_at(&b->humidity, b->start_day, t);
    const double draught = cycle_at(&b->draught, b->start_day, t);
    const double rate = evaporation_rate(water, air, fmin(fmax(humidity, 0.0), 1.0), draught);
    return b->calibration * b->open_surface * rate / water_density(water);
}

double basin_level(const struct basin *b, double volume)
{
    return (volume - b->volume) / b->surface;
}

double basin_rim_volume(const struct basin *b)
{
    return b->volume + b->freeboard * b->surface;
}

/* S = 1000 m/(rho(S) V) with rho = rho0 + s S: with the slope s of the S before, the quadratic
 * S (rho0 + s S) = 1000 m/V gives the next, and three rounds settle it. */
double basin_salinity(const struct vessel *v, double temperature)
{
    const double salt = v->amount[SALT];
    if (salt <= 0.0)
        return 0.0;
    const double most = 1000.0; /* g/kg, dry salt */
    const struct sea sea = water_sea(temperature);
    const double load = 1000.0 * salt / fmax(v->volume, 1e-12);
    const double square = sea.fresh * sea.fresh;
    double s = fmin(load / sea.fresh, most);
    for (int i = 0; i < 3; i++) {
        const double slope = water_sea_slope(&sea, s);
        s = 2.0 * load / (sea.fresh + sqrt(square + 4.0 * slope * load));
        if (!(s < most))
            return most;
    }
    return s;
}
