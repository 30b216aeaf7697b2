/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * sizing_inner: what sizing.c (flows, times, volumes) and sizing_lives.c (ends of cartridges) share.
 */
#ifndef SIM_SIZING_INNER_H
#define SIM_SIZING_INNER_H

#include "sizing.h"

/* The plant with its supply held at one temperature and pressure, filling an open tank. */
struct plant sizing_steady_plant(const struct plant *p, double temperature, double pressure);

/* Settings of a plant that fills its tank freely. */
struct settings sizing_filling(void);

/* Water flows for some seconds, straight through the tank. */
void sizing_move(struct state *state, const struct signals *flow, double seconds);

/* Fresh cartridges, and on both sides of the membrane the water that stands there in steady flow. */
void sizing_start_settled(const struct plant *q, struct state *state, const struct signals *flow);

/* Finds a life of every cartridge, with so much more carbon in the feed [mol/m3]; after flows and needs.  `state`
 * is room for it. */
void sizing_life_of(const struct plant *p, const struct plan *plan, double carbon_change, int which,
                    struct sizing *sizing, struct state *state);
void sizing_order_lives(const struct plant *p, struct sizing *out); /* short, middle, long */

#endif
