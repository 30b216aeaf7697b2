/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * bladder: Boyle's law with absolute pressures; Vw = V (1 - ppre/p), filled by a linear membrane in
 * closed form.  Page: docs/bladder.md, with the same symbols.
 *
 * Assumes: air at the temperature of the room, a bladder without stiffness that fills the vessel.
 */
#include "bladder.h"

#include <math.h>
#include <stddef.h>

static const double LEAST_AIR =
    1e-6; /* share of V that the air keeps, however hard it is pressed */

double bladder_stored(const struct bladder *b, double pressure)
{
    const double air = (b->precharge + b->atmosphere) / (pressure + b->atmosphere);
    return pressure > b->precharge ? b->volume * (1.0 - fmax(air, LEAST_AIR)) : 0.0;
}

double bladder_pressure(const struct bladder *b, double stored)
{
    const double u = b->volume - fmax(stored, 0.0);
    const double p_pre = b->precharge + b->atmosphere;
    return p_pre * b->volume / fmax(u, LEAST_AIR * b->volume) - b->atmosphere;
}

double bladder_drawdown(const struct bladder *b, double from, double to)
{
    return bladder_stored(b, from) - bladder_stored(b, to);
}

double bladder_fill_time(const struct bladder *b, double k, double p_max, double from, double to)
{
    if (to <= from)
        return 0.0;
    const double N = p_max + b->atmosphere;
    const double c = (b->precharge + b->atmosphere) * b->volume / N;
    const double u0 = b->volume - from, u1 = b->volume - to;
    if (!(k > 0.0) || !(N > 0.0) || !(u1 > c))
        return INFINITY;
    return (u0 - u1 + c * log((u0 - c) / (u1 - c))) / (k * N);
}

struct bladder bladder_aged(const struct bladder *b, double seconds)
{
    struct bladder aged = *b;
    aged.precharge *= exp(-b->precharge_loss * seconds);
    return aged;
}

const struct field bladder_fields[] = {
    { "volume", FIELD_NUMBER, DIM_VOLUME, offsetof(struct bladder, volume), 1.2e-2, 1e-4, 10.0,
      2e-3, 0.4, NULL, "volume of the empty vessel", "assumption: a vessel for under a sink" },
    { "precharge", FIELD_NUMBER, DIM_PRESSURE, offsetof(struct bladder, precharge), 5e4, 0.0, 1e6,
      3.5e4, 2e5, NULL, "pressure of the air when it holds no water",
      "35 to 55 kPa for vessels under a sink, from memory" },
    { "precharge_loss", FIELD_NUMBER, DIM_RATE, offsetof(struct bladder, precharge_loss), 3.17e-9,
      0.0, 1e-6, 0.0, 1.6e-8, NULL, "share of the precharge lost per time",
      "assumption: 10 % a year" },
    { "atmosphere", FIELD_NUMBER, DIM_PRESSURE, offsetof(struct bladder, atmosphere), 101325.0, 4e4,
      1.2e5, 7e4, 1.05e5, NULL, "absolute pressure of the air outside", "standard atmosphere" },
    { "first", FIELD_NUMBER, DIM_VOLUME, offsetof(struct bladder, first), 0.0, 0.0, 10.0, 0.0, 0.3,
      NULL, "water in it at the start", "assumption: empty" },
    { .key = NULL },
};
