/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * options: the command line of a verb.  One table of options serves every verb; a verb says which
 * of them it takes.  Page: docs/commands.md.
 */
#ifndef SIM_OPTIONS_H
#define SIM_OPTIONS_H

#include <stdbool.h>

#include "report.h"
#include "units.h"

enum { SETS_MAX = 64, OPERANDS_MAX = 1024, ALSO_MAX = 16, VARIES_MAX = 8 };

enum format { FORMAT_TABLE, FORMAT_CSV, FORMAT_JSON };

struct options {
    const char *operand;            /* FILE or NAME; NULL if none was given */
    const char *operands[OPERANDS_MAX + 1]; /* all of them, ended by NULL, of a verb that takes many */
    int operand_count;
    const char *second;             /* what a verb takes behind it */
    const char *output;             /* folder; NULL: the verb's own choice */
    const char *from;               /* embedded scenario; NULL: the first; of show a moment */
    const char *to;                 /* of show: end of what is drawn; its begin is in from */
    const char *until;              /* moment at which a run stops; NULL: the end */
    const char *span, *leaving;     /* of away: how long, from when; NULL: not said */
    const char *resume;             /* results folder of a run that stopped; NULL: from the start */
    const char *keep;               /* folder in which results of cases are kept; NULL: none */
    const char *sets[SETS_MAX + 1]; /* "key=value", ended by NULL */
    int set_count;
    const char *flow, *drain, *pressure, *temperature, *at; /* of readings; NULL: not given */
    const char *compare;            /* second moment of along; NULL: none */
    const char *only;               /* of the worksheet of along, by titles; NULL: all */
    const char *also[ALSO_MAX];     /* "key=value" */
    int also_count;
    unsigned long seed;
    int jobs;                       /* threads; 0: as many as there are */
    long years;                     /* simulated with random faults; 0: none */
    int part, parts;                /* --shard; 0 of 0 if not given */
    int samples;                    /* 0: the verb's own choice */
    const char *varies[VARIES_MAX]; /* what --vary said */
    int vary_count;
    int sample;                     /* rows of a sweep; 0: a grid */
    int points;                     /* of a thinned series; 0: all rows */
    int frames;                     /* of a film; 0: the verb's own choice */
    bool triples, safeguards;
    enum format format;
    enum taste units;               /* of what people are shown */
    bool force, no_figures, terminal, list, quiet, explain, animate, events;
    bool color;    /* of what goes to stderr */
    bool answered; /* help or version was asked for and printed: nothing else to do */
};

/* Which options a verb takes. */
enum {
    TAKES_OUTPUT = 1 << 0,  /* --output, --force */
    TAKES_FIGURES = 1 << 1, /* --no-figures, --terminal */
    TAKES_SET = 1 << 2,
    TAKES_SEED = 1 << 3,
    TAKES_TABLE = 1 << 4, /* --format table, json */
    TAKES_CSV = 1 << 5,   /* --format csv as well */
    TAKES_NEW = 1 << 6,   /* --from, --list */
    TAKES_PIECES = 1 << 7, /* --until, --resume */
    TAKES_CASES = 1 << 8,  /* --jobs, --triples, --safeguards, --years, --keep, --resume, --shard */
    TAKES_AWAY = 1 << 9,   /* --span, --leaving, --jobs */
    TAKES_JOBS = 1 << 10,  /* --jobs alone */
    TAKES_READINGS = 1 << 11, /* --flow, --drain, --pressure, --temperature, --also, --at */
    TAKES_SAMPLES = 1 << 12, /* --jobs, --samples */
    TAKES_ALONG = 1 << 13, /* --at, --compare, --explain, --only */
    TAKES_FILM = 1 << 14,  /* --animate, --frames */
    TAKES_PAGE = 1 << 15,  /* --output of a file, --force */
    TAKES_SWEEP = 1 << 16 /* --vary, --sample, --jobs, --keep, --resume, --shard */,
    TAKES_SHOW = 1 << 18 /* --from, --to, --events, --points, --format table, csv */
};

struct verb {
    const char *name;
    const char *operand;  /* "FILE"; NULL if it takes none */
    const char *second;   /* "FEED,PERMEATE,PRODUCT"; NULL if there is none */
    const char *rest;     /* "[CHANNEL...]", which may follow; only with many; NULL if nothing may */
    const char *question; /* that it answers, in a line */
    const char *more;     /* end of its help: examples first */
    unsigned takes;
    bool many;             /* operands */
    bool leaves_results; /* a folder outlives a reader of stdout who has gone */
    enum status (*act)(const struct options *o);
};

/* Reads the command line after the verb (argv[0] is the verb).  Complaints go to stderr. */
enum status options_parse(const struct verb *v, int argc, char *argv[], struct options *o);

/* An option as a person sees it, for pages. */
struct options_words {
    const char *name;     /* "output" */
    char letter;          /* 'o'; 0 if it has none */
    const char *argument; /* "DIR"; NULL if it takes none */
    const char *doc;
    const char *values; /* all that the argument may be, with blanks between; NULL if that is not a list */
};

/* Shows every option that a verb takes, in the order of its help. */
void options_each(const struct verb *v, void (*see)(void *self, const struct options_words *w),
                  void *self);

/* What --version prints. */
void options_version(void);

#endif
