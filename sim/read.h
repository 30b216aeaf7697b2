/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * read: what the readings of a person say about the plant: explanations, how well each fits, how large its
 * fault would be, and what to measure next.  Page: docs/read.md.
 */
#ifndef SIM_READ_H
#define SIM_READ_H

#include <jansson.h>
#include <stdio.h>

#include "look.h"
#include "run.h"
#include "scenario.h"

enum { READ_CAUSES = 21, READ_NODES = 13, READ_DOUBTS = 9, READ_METERS = 3, READ_WORDS = 240 };

/* What was read; NAN: was not.  Pressure and temperature, where they are read, replace the season's. */
struct read_given {
    double value[LOOK_COUNT];
    double digit[READ_METERS];  /* kg/m3, the last digit that a meter shows */
};

/* "245,13,0": in the plant's meter's ppm, or with a unit each; a dash or nothing for one not read.  False and
 * words if that is no reading. */
bool read_meters(const struct meter *meter, const char *text, struct read_given *out,
                 char words[READ_WORDS]);

/* One more measurement, "drain=620 mL/min", by the keys of read_instruments. */
bool read_also(const struct meter *meter, const char *text, struct read_given *out,
               char words[READ_WORDS]);

/* Nothing was read; digits as the meter has them. */
struct read_given read_nothing(const struct meter *meter);

/* Whether anything was. */
bool read_anything(const struct read_given *given);

/* ---- explanations ---------------------------------------------------------------------------- */

enum read_way {
    READ_AS_IS,                 /* nothing is changed */
    READ_TIMES,                 /* a number of struct look_change, times the size */
    READ_PLUS,                  /* and the size */
    READ_SPENT, READ_FRESH,     /* the beds behind the membrane */
    READ_CO2,                   /* READ_TIMES, also in all that the beds have met since they are in */
};

enum read_needs {
    READ_NEEDS_NOTHING, READ_NEEDS_PREFILTER, READ_NEEDS_RESIN, READ_NEEDS_NO_GAUGE,
    READ_NEEDS_NO_THERMOMETER, READ_NEEDS_COLD_OR_WARM
};

struct read_row {
    const char *key, *title;
    const char *size;           /* the size in words, with %s for the number; NULL if there is none */
    const char *source;         /* of the range */
    enum read_way way;
    enum read_needs needs;
    size_t offset;              /* in struct look_change */
    double low, high;           /* sizes tried, all ratios (or differences) alike */
    bool ratio;
    double scale;               /* of the number in words */
};

extern const struct read_row read_rows[READ_CAUSES]; /* the first: nothing is wrong */

/* How far the model may be off with nothing wrong; one standard deviation. */
struct read_doubt {
    const char *words, *source;
    size_t offset;              /* in struct look_change */
    bool ratio;                 /* sd is of the logarithm */
    double sd;
    double sd_read;             /* where a gauge or thermometer was read */
    enum look by;               /* which it would be */
};

extern const struct read_doubt read_doubts[READ_DOUBTS];

/* Errors of measuring, one standard deviation; and what it takes. */
enum read_effort { READ_AT_HAND, READ_BORROWED, READ_BOUGHT, READ_EFFORTS };

struct read_instrument {
    const char *key, *title;
    const char *how;            /* what to do, as an order */
    double relative, absolute;  /* of the value; in its unit */
    bool meter;                 /* half a digit of the meter besides */
    enum read_effort effort;
    enum dimension dimension;   /* DIM_METER: kg/m3 on the plant's meter */
};

extern const struct read_instrument read_instruments[LOOK_READABLE];

/* ---- what was found -------------------------------------------------------------------------- */

struct read_node { /* what would be read at a size, and what each doubt adds */
    double size;
    double value[LOOK_COUNT];
    double slope[READ_DOUBTS][LOOK_COUNT];
};

struct read_cause {
    const struct read_row *row;
    int nodes;                  /* 0: the plant has no such part, or water would not be made */
    struct read_node node[READ_NODES];
    bool seen;                  /* the readings could tell it from nothing */
    double misses;              /* root mean square of the misses over their errors, at its best */
    double middle, low, high;   /* size: as likely too large as too small, and from 5 to 95 % */
    double evidence;            /* logarithm */
    double share;               /* of all that the readings could tell, 0..1 */
    double expect[LOOK_COUNT], sd[LOOK_COUNT]; /* of a further measurement, its error included */
};

/* A measurement that tells explanations apart: the share of the doubt between them that it removes. */
struct read_next {
    enum look what;
    double removes;             /* 0..1; 0: there is none of its effort */
};

struct read_found {
    const struct scenario *scenario;
    struct read_given given;
    double t;                   /* s */
    struct run_saved *saved;    /* the plant at that time */
    struct look_place place;
    struct read_cause cause[READ_CAUSES];
    struct state *beds;         /* of the nodes under way */
    int order[READ_CAUSES];     /* causes that the readings could tell, the likeliest first */
    int ranked;
    double sd[LOOK_COUNT];      /* of what is expected with nothing wrong, error of measuring included */
    struct read_next next[READ_EFFORTS];
    double season_temperature, season_pressure; /* degC and Pa of the scenario on that day */
    bool at_temperature, at_pressure;           /* looked at with those that were read */
};

struct read_options {
    double at;                  /* s; NAN: the end */
    void (*progress)(void *self, double share);
    void *progress_self;
    const volatile sig_atomic_t *stop;
};

/* `f` is zeroed memory; then read_free it, whatever is returned.  `words` explains a fault. */
enum status read_find(struct read_found *f, const struct scenario *s, const struct read_given *given,
                      const struct read_options *o, char words[READ_WORDS]);
void read_free(struct read_found *f);

/* The same for a plant as it is, without a history: its beds meet more carbon dioxide from now on only. */
enum status read_look(struct read_found *f, const struct read_given *given);

void read_print(const struct read_found *f, FILE *out);
json_t *read_json(const struct read_found *f); /* NULL: out of memory */

/* ---- the parts of it (read_nodes.c, read_fit.c, read_next.c) */
bool read_nodes(struct read_found *f, struct read_cause *c); /* false: out of memory */
bool read_node_at(const struct read_found *f, const struct read_row *row, struct read_node *n,
                  const struct state *beds);
double read_size_of_node(const struct read_row *row, int node, int nodes);
void read_fit(struct read_found *f);
void read_choose(struct read_found *f);

/* Whether by the model alone, nothing else being wrong, a stage has come to its end that day. */
bool read_is_due(const struct read_found *f, int stage);

/* The title of an explanation; that of nothing wrong names what is due. */
char *read_title(const struct read_found *f, const struct read_cause *c, char out[READ_WORDS]);

/* Within this ratio of the likeliest an explanation is as good. */
#define READ_ALIKE 3.0

/* Share of the doubt that a measurement must remove to be worth its trouble. */
#define READ_TELLS 0.05

/* Whether an explanation is as good as the likeliest. */
bool read_alike(const struct read_found *f, const struct read_cause *c);

/* Whether hardly any doubt is left; else the measurement that is worth its trouble and costs least, NULL if
 * there is none. */
bool read_settled(const struct read_found *f);
const struct read_next *read_best(const struct read_found *f);

/* The explanation that a measurement sets apart most from the likeliest, shares counted; NULL: none. */
const struct read_cause *read_rival(const struct read_found *f, enum look what);

/* Error of measuring a value [its unit]. */
double read_error(const struct read_found *f, enum look what, double value);

/* A value in its unit, as people write it. */
enum { READ_CELL = 48 };
char *read_value(enum look what, double value, char out[READ_CELL]);

/* The same of an error: a difference of two values. */
char *read_width(enum look what, double value, char out[READ_CELL]);

/* Its size in words, in a taste: "lets through 2.1 times the salt (1.8 to 2.4)"; "" if it has none. */
char *read_size(const struct read_cause *c, enum taste taste, char out[READ_WORDS]);

/* "fits well"; of misses over errors. */
const char *read_fits(const struct read_cause *c);

#endif
