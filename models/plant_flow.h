/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * plant_flow: the operating point of the line, from the supply to the tank's inlet; used by plant.c alone.
 */
#ifndef MODELS_PLANT_FLOW_H
#define MODELS_PLANT_FLOW_H

#include "plant.h"

struct flow_inlet {
    double temperature;         /* degC of the feed */
    double supply;              /* Pa */
    double float_opening;       /* 0..1 of the float valve */
    bool bladder;               /* there is one that takes and gives water, */
    double vessel;              /* Pa of the water in it */
};

struct plant_flow {             /* means over the cycles where a shut-off valve makes them */
    double product, drain;      /* m3/s */
    double membrane_pressure, back_pressure; /* Pa */
    double booster_head;        /* Pa */
    double power;               /* W of the booster */
    double duty;                /* share of time that feed flows, 1 without cycles */
    double starts;              /* 1/s */
    double inlet_pressure;      /* Pa at the low pressure switch */
    double delivered;           /* m3/s to the later stages and the tank */
    double leak;                /* m3/s from the bladder back to the drain */
    double mouth;               /* Pa at the mouth of the bladder */
};

struct plant_flow plant_flow(const struct plant *p, const struct settings *set,
                             const struct state *state, const struct flow_inlet *in);

/* Whether the booster runs. */
bool plant_flow_boosted(const struct plant *p, const struct settings *set);

#endif
