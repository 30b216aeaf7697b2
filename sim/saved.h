/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * saved: a run that stopped on the way, as a file in its results folder, and how to go on with it:
 * the folder of the whole run then has the same bytes as if it had never stopped.  Page:
 * docs/results.md.
 *
 * The file is the memory of one build: another version, or another scenario, is refused.
 */
#ifndef SIM_SAVED_H
#define SIM_SAVED_H

#include "hash.h"
#include "recorder.h"
#include "scenario.h"
#include "summary.h"

#define SAVED_NAME "saved_run.bin"

struct saved {
    char program[32];         /* version and size of this struct: what can read it */
    char scenario[HASH_TEXT]; /* hash of the resolved scenario */
    struct run_saved run;
    struct summary summary;
    struct recorder_saved recorder;
};

/* Fills all but the run.  Out of memory: STATUS_MEMORY. */
enum status saved_fill(struct saved *s, const struct scenario *scenario,
                       const struct summary *summary, const struct recorder *recorder);

void saved_write(const struct saved *s, FILE *out);

/* Reads the one of a results folder for this scenario; words get the reason if it will not do:
 * STATUS_NO_INPUT, or STATUS_MEMORY. */
enum { SAVED_WORDS = RESULTS_WORDS };
enum status saved_read(struct saved *s, const char *folder, const struct scenario *scenario,
                       char words[SAVED_WORDS]);

#endif
