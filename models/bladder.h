/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * bladder: a pressure vessel with an air cushion behind a rubber bladder, by Boyle's law.  Page:
 * docs/bladder.md, with the same symbols.  Pressures are Pa gauge; the air is isothermal.
 */
#ifndef MODELS_BLADDER_H
#define MODELS_BLADDER_H

#include "field.h"

struct bladder {
    double volume;              /* V, of the empty vessel [m3] */
    double precharge;           /* of the air when it holds no water [Pa] */
    double precharge_loss;      /* share of the precharge lost a second, while it lasts [1/s] */
    double atmosphere;          /* Pa absolute */
    double first;               /* m3 of water in it at the start */
};

extern const struct field bladder_fields[];

/* Water stored [m3] at a pressure: 0 up to the precharge, less than V above. */
double bladder_stored(const struct bladder *b, double pressure);

/* Pressure [Pa] at a volume stored; the precharge when empty, finite when full. */
double bladder_pressure(const struct bladder *b, double stored);

/* Water [m3] that it gives while the pressure falls from one value to another. */
double bladder_drawdown(const struct bladder *b, double from, double to);

/* Time [s] to fill from one volume stored to another by a membrane that makes k (p_max - p)
 * [m3/s]; INFINITY if it never gets there. */
double bladder_fill_time(const struct bladder *b, double k, double p_max, double from, double to);

/* The same vessel after some seconds without new air. */
struct bladder bladder_aged(const struct bladder *b, double seconds);

#endif
