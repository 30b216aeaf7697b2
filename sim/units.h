/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * units: reads "52 psi" and writes it.  Page: docs/scenario.md.
 *
 * Number and unit are split by us; the number has a decimal point; the whole text must be used up.
 * gal is the US gallon (impgal the imperial one).  Hardness and alkalinity need "as CaCO3", a
 * degree or an equivalent; plain mg/L is refused there.
 *
 * The taste is the one setting of the process: in which units quantities are shown to people.  Only
 * what formats for people reads it; numbers that are computed, files of data and what is read never
 * depend on it.
 */
#ifndef SIM_UNITS_H
#define SIM_UNITS_H

#include <stdbool.h>
#include <stddef.h>

#include "models/field.h"

/* Units for people: SI with litres and degC, or those customary in the United States. */
enum taste { TASTE_METRIC, TASTE_US };

/* Set once, before anything is shown and before a thread is started. */
void units_set_taste(enum taste taste);
enum taste units_taste(void);

/* "metric", "us"; NULL behind the last. */
const char *units_taste_name(int taste);

/* One more dimension, which no model table uses. */
enum {
    DIM_SALINITY = DIM_COUNT, /* g/kg */
    DIM_ALL
};

enum { UNITS_TEXT = 64, UNITS_WORDS = 200 };

/* What mg/L of it are in mol/m3. */
struct substance {
    const char *name;           /* scenario key */
    double molar_mass;          /* kg/mol */
    int charge;                 /* 0: no meq/L */
};

/* What the text alone does not tell.  A zeroed hint says nothing. */
struct units_hint {
    const struct substance *of; /* DIM_MOLAR: NULL allows mol/m3 only */
    double meter_factor;        /* DIM_METER: kg/m3 shown per S/m by plain "ppm"; 0: 5.0, ppm500 */
};

struct quantity {
    double si;
    double factor, offset;      /* si = (number + offset) factor, of the unit as written */
    char unit[UNITS_TEXT];      /* as written */
};

struct units_error {
    char what[UNITS_WORDS], cure[UNITS_WORDS];
};

/* Reads text as a quantity of a dimension.  False and words if it is not one. */
bool units_parse(const char *text, enum dimension d, const struct units_hint *hint,
                 struct quantity *out, struct units_error *error);

/* Reads a bare number: digits, point, exponent; finite.  *end is the first byte after it. */
bool units_number(const char *text, double *out, const char **end);

/* Shows a value to people in the units of the taste, four digits: "345 kPa", "50.04 psi". */
char *units_format(double si, enum dimension d, char *out, size_t size);

/* The same in a taste of its own: metric where the text is also for programs. */
char *units_format_in(enum taste taste, double si, enum dimension d, char *out, size_t size);

/* Shows a value in the unit of another quantity: for ranges in complaints. */
char *units_format_like(double si, const struct quantity *like, char *out, size_t size);

/* Writes a value so that units_parse gives back the same bits: "345000 Pa". */
char *units_exact(double si, enum dimension d, char *out, size_t size);

/* What is asked for in words ("pressure"), its SI unit ("Pa"), how to write it ("\"50 psi\""). */
const char *units_dimension_name(enum dimension d);
const char *units_si(enum dimension d);
const char *units_example(enum dimension d);

/* The substances that mg/L may be of: species, bicarbonate and carbon dioxide; NULL if unknown. */
const struct substance *units_substance(const char *key);

/* The names of all units, for the manual: calls see(name, dimension, factor, offset, data). */
void units_each(void (*see)(const char *, enum dimension, double, double, void *), void *data);

#endif
