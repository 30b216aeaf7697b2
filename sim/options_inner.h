/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * options_inner: what the files share that read a command line: which options there are
 * (options_list.c), what each may say (options_values.c), and argp, which takes the line apart (options.c).
 */
#ifndef SIM_OPTIONS_INNER_H
#define SIM_OPTIONS_INNER_H

#include "options.h"

/* A short option has its letter for a key. */
enum {
    KEY_FORCE = 256,
    KEY_NO_FIGURES,
    KEY_TERMINAL,
    KEY_SET,
    KEY_SEED,
    KEY_FORMAT,
    KEY_FROM,
    KEY_LIST,
    KEY_UNTIL,
    KEY_RESUME,
    KEY_JOBS,
    KEY_TRIPLES,
    KEY_SAFEGUARDS,
    KEY_KEEP,
    KEY_SHARD,
    KEY_SPAN,
    KEY_LEAVING,
    KEY_YEARS,
    KEY_FLOW,
    KEY_DRAIN,
    KEY_PRESSURE,
    KEY_TEMPERATURE,
    KEY_ALSO,
    KEY_AT,
    KEY_COMPARE,
    KEY_ONLY,
    KEY_EXPLAIN,
    KEY_SAMPLES,
    KEY_VARY,
    KEY_SAMPLE,
    KEY_TO,
    KEY_EVENTS,
    KEY_POINTS,
    KEY_UNITS,
    KEY_ANIMATE,
    KEY_FRAMES,
    KEY_NO_COLOR,
    KEY_USAGE
};

/* ---- options_list.c ---- */

struct options_option {
    const char *name;     /* "output" */
    int key;
    const char *argument; /* "DIR"; NULL if it takes none */
    const char *doc;
    int group;            /* of the help */
};

enum { OPTIONS_MOST = 80 };

/* Those that a verb takes, in the order of its help; returns how many. */
int options_taken(const struct verb *v, const struct options_option *taken[OPTIONS_MOST]);

/* All that the argument of an option may be, with blanks between; NULL if that is no list. */
const char *options_values_of(const struct verb *v, int key);

/* ---- options_values.c ---- */

struct options_reading {
    const struct verb *verb;
    struct options *out;
    bool no_color;
};

enum { OPTIONS_WORDS = 256 };

/* Takes an option with its argument (NULL: none); *known: whether there is one of this key.  False: `words` say
 * what is wrong. */
bool options_take(struct options_reading *r, int key, const char *text, char words[OPTIONS_WORDS],
                  bool *known);
bool options_take_operand(struct options_reading *r, const char *text, char words[OPTIONS_WORDS]);

/* Whether all that was said goes together; false: `words` say what does not. */
bool options_fit(const struct options_reading *r, char words[OPTIONS_WORDS]);

#endif
