/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * look: what meters, jug and kits would show of a plant that fills its tank, in steady flow, if this or that
 * were otherwise than the model has it.  Page: docs/read.md.  It calls the functions of a run.
 */
#ifndef SIM_LOOK_H
#define SIM_LOOK_H

#include "models/plant.h"

enum look {
    LOOK_FEED, LOOK_PERMEATE, LOOK_PRODUCT, /* kg/m3 on the plant's meter, not rounded */
    LOOK_FLOW, LOOK_DRAIN,      /* m3/s of product and to the drain, by jug and watch */
    LOOK_PRESSURE,              /* Pa, a gauge at the inlet */
    LOOK_TEMPERATURE,           /* degC of the feed */
    LOOK_FEED_AGAIN, LOOK_PERMEATE_AGAIN, LOOK_PRODUCT_AGAIN, /* kg/m3, a sound meter in a warm glass */
    LOOK_THROTTLED,             /* kg/m3, permeate with the pressure throttled to LOOK_THROTTLE */
    LOOK_PH,                    /* of the feed, a strip or drops */
    LOOK_HARDNESS,              /* kg/m3 as CaCO3 of the permeate, drops */
    LOOK_SILICA,                /* kg/m3 SiO2 of the product, a kit */
    LOOK_READABLE,              /* what follows nobody reads */
    LOOK_CARBON = LOOK_READABLE, /* kg/m3, all carbon of the product as CO2 */
    LOOK_PERMEATE_CO2,          /* kg/m3, free CO2 of the permeate */
    LOOK_OXIDANT,               /* kg/m3 Cl2 at the membrane */
    LOOK_COUNT
};

#define LOOK_THROTTLE 0.6

/* What is otherwise than the model has it; look_change_none() is nothing. */
struct look_change {
    double strength;            /* factor on all that is dissolved in the feed but oxidants */
    double carbon;              /* factor on its free CO2 */
    double temperature;         /* K, added */
    double pressure;            /* factor on the supply's */
    double clog;                /* the same behind the gauge: clogged prefilters */
    double water, salt;         /* factors on A and B of the membrane */
    double dose;                /* kg s/m3 of chlorine that it has borne besides (docs/wear.md) */
    double seal;                /* m3/s of feed past a seal into the permeate, as a share of the product */
    double seal_power;          /* how that grows with the pressure: 1 through a gap, 1/2 through a hole */
    double bypass;              /* share of the permeate that meets no resin */
    double packing;             /* factor on the share that loose packing lets past the resin */
    double drain;               /* factor on what the restrictor passes */
    double probe[3];            /* factors on the three meters */
    double uncorrected;         /* share of the correction for temperature that the meters do not make */
    const struct state *beds;   /* stages behind the membrane as they are there; NULL: as they are */
};

struct look_change look_change_none(void);

/* The plant, and when. */
struct look_place {
    const struct plant *plant;
    const struct state *state;
    const struct settings *settings; /* only its health counts: the plant fills */
    double temperature;         /* degC */
    double pressure;            /* Pa */
    double flow, drive;         /* m3/s and Pa at the membrane, as the model has it (set by look_begin) */
    struct state *work;         /* owned */
};

/* At the time of `state`, temperature and pressure of the season.  False: out of memory. */
bool look_begin(struct look_place *l, const struct plant *p, const struct state *state,
                const struct settings *settings);
void look_end(struct look_place *l);

/* Another temperature [degC] and pressure [Pa], each unless NAN. */
void look_conditions(struct look_place *l, double temperature, double pressure);

/* Fills value[LOOK_COUNT]; false if no water is made. */
bool look_at(const struct look_place *l, const struct look_change *change, double value[]);

/* The permeate of the plant as the model has it, a minute of it. */
struct parcel look_permeate(const struct look_place *l);

#endif
