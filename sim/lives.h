/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * lives: when each consumable of a scenario ends, with the range that comes of what is not well known, and
 * on which of it the answer hangs: all that `leat life` finds out.  Page: docs/life.md.
 */
#ifndef SIM_LIVES_H
#define SIM_LIVES_H

#include <jansson.h>

#include "crew.h"
#include "doubt.h"
#include "helps.h"
#include "indices.h"
#include "life.h"
#include "load.h"
#include "results.h"

/* Half of the samples are A, half B (indices.h); half of the rows of these judge the inputs. */
enum { LIVES_SAMPLES = 256 };

/* Of one quantity: one time in ten it is below low, and above high; INFINITY: beyond the horizon.  Each
 * bound is known to lie in its own range with 90 % confidence (-INFINITY, INFINITY: too few samples). */
struct lives_range {
    double low, median, high;
    double low_least, low_most, high_least, high_most;
};

struct lives_stage {
    struct lives_range t;       /* s since it was put in */
    struct lives_range litres;  /* of product */
    double first;               /* share of the samples in which it ends before all others */
};

struct lives_input {
    const struct doubt *doubt;
    struct sobol_index index;
    bool shortens;              /* more of it, less life */
};

struct lives {
    const struct scenario *scenario;
    double horizon;             /* s that were looked at */
    struct tape tape;           /* of the year as given */
    struct life base;           /* with every value as given */
    struct doubts doubts;
    int samples, unsound;       /* of them: given spreads that made no sound scenario */
    struct lives_stage stage[STAGES_MAX];
    int first;                  /* stage that ends first by its median, or -1 */
    int judged;                 /* stage whose life the inputs are judged by */
    struct lives_input input[DOUBTS_MAX]; /* the one that matters most first */
    double change;              /* largest change of a total index when half of the samples are left out */
    int rows;                   /* runs for each of the inputs */
    long runs;
    struct load load;           /* on the resin, if there is any */
    struct helps helps;
};

struct lives_options {
    int samples;
    unsigned long seed;
    const char *file;           /* to read it again from */
    const char *const *sets;
    struct crew crew;
};

/* lives_free it whatever comes back. */
enum status lives_find(struct lives *l, const struct scenario *s, const struct lives_options *o);
void lives_free(struct lives *l);

void lives_print(const struct lives *l, FILE *out);
json_t *lives_json(const struct lives *l); /* NULL: out of memory */

/* Leaves lives.csv, load.csv, helps.csv and inputs.csv. */
enum status lives_files(const struct lives *l, struct results *r);

#endif
