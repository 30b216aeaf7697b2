/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * amount: quantities as screens, tables and axes show them: each with one unit of its own, so that a column or
 * an axis keeps it.  The unit follows the taste (units.h).  Page: docs/commands.md.
 *
 * A metric number goes in, in the metric unit that is named here, for that is what results have in
 * their files; a metric screen shows the same number.
 */
#ifndef SIM_AMOUNT_H
#define SIM_AMOUNT_H

#include "units.h"

enum { AMOUNT_CELL = 48 };

enum amount {
    AMOUNT_LEVEL,       /* cm; in */
    AMOUNT_THIN,        /* mm; in */
    AMOUNT_WATER,       /* L; gal */
    AMOUNT_A_DAY,       /* L/day; gal/day */
    AMOUNT_FLOW,        /* mL/min; gal/day */
    AMOUNT_PRESSURE,    /* kPa; psi */
    AMOUNT_BAR,         /* bar; psi */
    AMOUNT_TEMPERATURE, /* degC; degF */
    AMOUNT_PRICE,       /* money/L; money/gal, without a name */
    AMOUNT_PRICE_BULK,  /* money/m3; money/gal: "m3", "gal" */
    AMOUNT_PERCENT,     /* the same everywhere */
    AMOUNT_COUNT
};

struct amount_unit {
    const char *name;
    double factor, offset;      /* number shown = metric number * factor + offset */
    int places;                 /* behind the point, more than of the metric unit; none from a hundred on */
};

/* The unit of a taste; factor 1, offset 0 and no places in the metric one. */
struct amount_unit amount_unit_in(enum taste taste, enum amount kind);

/* The rest is in the taste of the process. */
const char *amount_unit(enum amount kind);
double amount_number(enum amount kind, double metric);

/* "45.2 cm", "17.80 in", and "45.2", "17.80": with so many places of the metric unit; return out. */
char *amount_words(enum amount kind, double metric, int places, char out[AMOUNT_CELL]);
char *amount_bare(enum amount kind, double metric, int places, char out[AMOUNT_CELL]);

/* The same in a taste of its own. */
char *amount_words_in(enum taste taste, enum amount kind, double metric, int places,
                      char out[AMOUNT_CELL]);

/* A volume [m3] in the unit that suits it: "4120 L", "350 mL"; "1088 gal", "11.8 fl oz"; returns out. */
char *amount_volume_in(enum taste taste, double volume, char out[AMOUNT_CELL]);

/* "litre", "gallon": as one counts them in words; an s makes them many. */
const char *amount_one(void);
const char *amount_one_in(enum taste taste);

/* The kind of a column or key of the results by the end of its name ("tank_level_cm"); AMOUNT_COUNT if it has
 * none of these.  `stem` is the length of what stands before the unit, its stroke included. */
enum amount amount_of_column(const char *name, size_t *stem);

#endif
