/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * channel: see channel.h.
 */
#include "channel.h"

#include <math.h>

static const double DAY = 86400.0;     /* s */
static const double ML_PER_MIN = 60e6; /* per m3/s */
static const double LITRE = 1e3;       /* per m3 */

double channel_ppm(const struct plant *p, double conductivity)
{
    return 1e3 * water_meter(&p->meter, conductivity);
}

#define CHANNEL(name, expression)                                                                  \
    static double name(const struct glimpse *g)                                                    \
    {                                                                                              \
        return expression;                                                                         \
    }

CHANNEL(day, g->t / DAY)
CHANNEL(feed_temperature, g->signals->feed_temperature)
CHANNEL(supply_pressure, 1e-3 * g->signals->supply_pressure)
CHANNEL(membrane_pressure, 1e-3 * g->signals->membrane_pressure)
CHANNEL(back_pressure, 1e-3 * g->signals->back_pressure)
CHANNEL(feed_flow, ML_PER_MIN * g->signals->feed_flow)
CHANNEL(drain_flow, ML_PER_MIN * g->signals->drain_flow)
CHANNEL(product_flow, ML_PER_MIN * g->signals->product_flow)
CHANNEL(tank_level_cm, 100.0 * g->signals->tank_level)
CHANNEL(tank_volume_litre, LITRE * g->x[X_TANK])
CHANNEL(basin_level_mm, 1e3 * g->signals->basin_level)
CHANNEL(evaporation, LITRE *DAY * g->signals->evaporation)
CHANNEL(feed_meter, channel_ppm(g->plant, g->state->readings.feed))
CHANNEL(permeate_meter, channel_ppm(g->plant, g->state->readings.permeate))
CHANNEL(product_meter, channel_ppm(g->plant, g->state->readings.product))
CHANNEL(product_silica, 1e3 * species[SILICA].molar_mass * g->state->readings.product_silica)
CHANNEL(product_carbon, 44.0095 * g->state->readings.product_carbon)
CHANNEL(produced, LITRE * g->x[X_PRODUCT])
CHANNEL(rinse_flow, ML_PER_MIN * g->signals->rinse_flow)
CHANNEL(bladder_volume, LITRE *fmax(g->x[X_BLADDER], 0.0))
CHANNEL(bladder_pressure_here, 1e-3 * g->signals->bladder_pressure)
CHANNEL(delivery_flow, ML_PER_MIN * g->signals->delivery_flow)
CHANNEL(spilled, LITRE *(g->x[X_SPILL] + g->x[X_BASIN_SPILL]))

/* Salt is moved by parcels, water all the time: what stands in the basin now is the salt of the
 * last parcel in the water of this moment, less what has run over the rim since, well mixed. */
double channel_salinity(const struct glimpse *g)
{
    if (!g->plant->has_basin)
        return 0.0;
    struct vessel now = g->state->basin;
    const double spilled = g->x[X_BASIN_SPILL] - g->state->x_opened[X_BASIN_SPILL];
    now.volume = g->x[X_BASIN];
    if (spilled > 0.0)
        now.amount[SALT] *= exp(-spilled / fmax(now.volume, 1e-9));
    return basin_salinity(&now, g->plant->basin.water.mean);
}

const struct channel_row channels[] = {
    { "day", 5, day },
    { "feed_temperature_degC", 3, feed_temperature },
    { "supply_pressure_kPa", 2, supply_pressure },
    { "membrane_pressure_kPa", 2, membrane_pressure },
    { "back_pressure_kPa", 2, back_pressure },
    { "feed_flow_mL_min", 3, feed_flow },
    { "drain_flow_mL_min", 3, drain_flow },
    { "product_flow_mL_min", 3, product_flow },
    { "tank_level_cm", 4, tank_level_cm },
    { "tank_volume_L", 4, tank_volume_litre },
    { "basin_level_mm", 4, basin_level_mm },
    { "salinity_g_kg", 4, channel_salinity },
    { "evaporation_L_day", 4, evaporation },
    { "feed_meter_ppm", 3, feed_meter },
    { "permeate_meter_ppm", 3, permeate_meter },
    { "product_meter_ppm", 3, product_meter },
    { "product_silica_mg_L", 4, product_silica },
    { "product_carbon_mg_L_as_CO2", 4, product_carbon },
    { "produced_L", 3, produced },
    { "spilled_L", 4, spilled },
    { "rinse_flow_mL_min", 3, rinse_flow },
    { NULL, 0, NULL },
};

const struct channel_row channels_bladder[] = {
    { "bladder_volume_L", 4, bladder_volume },
    { "bladder_pressure_kPa", 2, bladder_pressure_here },
    { "delivery_flow_mL_min", 3, delivery_flow },
    { NULL, 0, NULL },
};
