/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * rinse_map: yearly cost over interval and duration of a rinse, finer where it bends.  Page:
 * docs/rinse.md.
 */
#ifndef SIM_RINSE_MAP_H
#define SIM_RINSE_MAP_H

#include "rinse_task.h"

/* Places a quarter of an octave apart: intervals from a quarter of an hour to 256 h of making water,
 * durations from 10 s to 640 s. */
enum { RINSE_MAP_I = 41, RINSE_MAP_J = 25 };

struct rinse_map {
    struct rinse base;          /* programme that the rinses are added to */
    double enough;              /* m3/year that must be served */
    bool known[RINSE_MAP_I][RINSE_MAP_J]; /* was run */
    struct rinse_year year[RINSE_MAP_I][RINSE_MAP_J];
    double cost[RINSE_MAP_I][RINSE_MAP_J]; /* money a year, between those that were run interpolated */
    int runs;
    int best_i, best_j;         /* of those run; -1: none serves enough */
};

double rinse_map_every(double i); /* s of making water */
double rinse_map_for(double j);   /* s */

/* Fills all but base and enough. */
enum status rinse_map_make(struct rinse_map *m, const struct rinse_case *c,
                           const struct rinse_options *options);

/* Cost at any place between. */
double rinse_map_cost(const struct rinse_map *m, double i, double j);

/* What a year costs for as much water as is needed. */
double rinse_map_money(const struct rinse_year *y, double enough);

#endif
