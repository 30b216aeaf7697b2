/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * evaporation: see evaporation.h.  Page: docs/basin.md.
 */
#include "evaporation.h"

#include <math.h>

#include "water.h"

static const double STANDARD_PRESSURE = 101325.0; /* Pa */
static const double GAS_DRY_AIR = 287.042;        /* J/(kg K) */
static const double VAPOUR_RATIO = 0.621945;      /* molar mass of water over that of dry air */
static const double KELVIN = 273.15;              /* K at 0 degC */
static const double HOUR = 3600.0;                /* s */
static const double QUIET = 0.74;                 /* measured on undisturbed pools over Carrier's */
static const double DRAUGHT_FULL = 0.1;           /* m/s from which Carrier's form rules alone */

/* Vapour pressures [Pa] at the surface of the water and in the room. */
struct vapour {
    double surface, room;
};

static struct vapour vapour_of(double water, double air, double humidity)
{
    return (struct vapour){ water_vapour_pressure(water), humidity * water_vapour_pressure(air) };
}

/* Mass of dry air in 1 m3 of moist air: not the mass of the moist air. */
static double dry_air_density(double temperature, double vapour)
{
    return (STANDARD_PRESSURE - vapour) / (GAS_DRY_AIR * (KELVIN + temperature));
}

static double humidity_ratio(double vapour) /* kg of vapour per kg of dry air */
{
    return VAPOUR_RATIO * vapour / (STANDARD_PRESSURE - vapour);
}

/* Both branches vanish at equal pressures and share a sign, so the larger in size is continuous and
 * right for condensing vapour too. */
static double shah(struct vapour p, double water, double air)
{
    const double rho = dry_air_density(water, p.surface);
    const double lift = fmax(dry_air_density(air, p.room) - rho, 0.0);
    const double natural =
        35.0 * rho * cbrt(lift) * (humidity_ratio(p.surface) - humidity_ratio(p.room));
    const double forced = 5e-5 * (p.surface - p.room);
    return (fabs(natural) > fabs(forced) ? natural : forced) / HOUR;
}

static double carrier(struct vapour p, double water, double draught)
{
    const double latent = 1e3 * (2501.0 - 2.381 * water); /* Y [J/kg] */
    return (0.0885 + 0.0779 * draught) * (p.surface - p.room) / latent;
}

double evaporation_density_difference(double water, double air, double humidity)
{
    const struct vapour p = vapour_of(water, air, humidity);
    return dry_air_density(air, p.room) - dry_air_density(water, p.surface);
}

double evaporation_shah(double water, double air, double humidity)
{
    return shah(vapour_of(water, air, humidity), water, air);
}

double evaporation_carrier(double water, double air, double humidity, double draught)
{
    return carrier(vapour_of(water, air, humidity), water, draught);
}

double evaporation_rate(double water, double air, double humidity, double draught)
{
    const struct vapour p = vapour_of(water, air, humidity);
    const double v = fmax(draught, 0.0);
    if (v >= DRAUGHT_FULL)
        return QUIET * carrier(p, water, v);

    /* the cubic that leaves still air level and meets the other form in value and slope */
    const double x = v / DRAUGHT_FULL;
    const double still = shah(p, water, air);
    const double moving = QUIET * carrier(p, water, DRAUGHT_FULL);
    const double rise = moving - QUIET * carrier(p, water, 0.0);
    return still + x * x * ((3.0 - 2.0 * x) * (moving - still) - (1.0 - x) * rise);
}
