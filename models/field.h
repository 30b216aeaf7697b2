/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * field: one parameter of the plant, described once.
 *
 * A table of fields is all that the scenario reader, the resolved scenario, the manual and the
 * bad-value tests know of a group of keys.  Values are SI inside; the dimension says which units
 * a scenario may use.  A table ends with a row whose key is NULL.
 */
#ifndef MODELS_FIELD_H
#define MODELS_FIELD_H

#include <stddef.h>

enum dimension {
    DIM_NONE,                   /* a pure number, written bare or with % */
    DIM_LENGTH,                 /* m */
    DIM_AREA,                   /* m2 */
    DIM_VOLUME,                 /* m3 */
    DIM_TIME,                   /* s */
    DIM_TEMPERATURE,            /* degC, absolute */
    DIM_TEMPERATURE_DIFFERENCE, /* K */
    DIM_PRESSURE,               /* Pa, gauge */
    DIM_FLOW,                   /* m3/s */
    DIM_VELOCITY,               /* m/s */
    DIM_MASS,                   /* kg */
    DIM_MASS_CONCENTRATION,     /* kg/m3; an ion may also be given in mmol/L or meq/L */
    DIM_EQUIVALENTS,            /* mol of charge per m3 (meq/L); hardness, alkalinity, "as CaCO3" */
    DIM_CONDUCTIVITY,           /* S/m at 25 degC */
    DIM_METER,                  /* what a pocket meter shows, kg/m3 ("245 ppm") or S/m, see units.h */
    DIM_CAPACITY,               /* mol of charge per m3 of resin ("1.2 eq/L") */
    DIM_WATER_PERMEABILITY,     /* m/(s Pa) */
    DIM_RATE,                   /* 1/s */
    DIM_POWER,                  /* W */
    DIM_PRICE,                  /* one unit of money, whatever it is */
    DIM_PRICE_PER_VOLUME,       /* money/m3 */
    DIM_PRICE_PER_ENERGY,       /* money/J */
    DIM_RESISTANCE,             /* Pa s/m3 */
    DIM_MOLAR,                  /* mol/m3 of one species */
    DIM_COUNT
};

enum field_type {
    FIELD_NUMBER, /* double at offset */
    FIELD_COUNT,  /* int at offset, a whole number */
    FIELD_FLAG,   /* bool at offset, true or false */
    FIELD_CHOICE  /* int at offset: index into choices, written as the word */
};

struct field {
    const char *key;            /* scenario key, in lower case with underscores */
    enum field_type type;
    enum dimension dimension;   /* for FIELD_NUMBER */
    size_t offset;              /* where the value lives in its struct */
    double preset;              /* default [SI]; NAN = required */
    double min, max;            /* hard range [SI], ends allowed: outside is refused */
    double low, high;           /* usual range [SI]: outside is warned of */
    const char *const *choices; /* words of a FIELD_CHOICE, ended by NULL; else NULL */
    const char *doc;            /* one line for the manual */
    const char *source;         /* where the default comes from; "" if there is none */
};

#endif
