/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * results: the folder that a run leaves.  It grows under a temporary name beside its place and is
 * renamed when whole, so there is never half of one.  Page: docs/results.md.
 */
#ifndef SIM_RESULTS_H
#define SIM_RESULTS_H

#include <stdbool.h>
#include <stdio.h>

#include "report.h"

enum { RESULTS_FILES_MAX = 128, RESULTS_PATH = 4096, RESULTS_NAME = 96 };

struct results {
    char final[RESULTS_PATH]; /* where it shall stand */
    char temporary[RESULTS_PATH];
    bool replaces;      /* an older results folder stands there and may be replaced */
    int parent, folder; /* file descriptors of the folder that holds both, and of the new one */
    int lock;           /* of the lock file beside them */
    int error;          /* errno of the first file that could not be written, 0 if none */
    char failed[RESULTS_NAME]; /* its name */
    int files;
    char name[RESULTS_FILES_MAX][RESULTS_NAME];
    FILE *file[RESULTS_FILES_MAX];
};

/* Makes the temporary folder.  An existing target is refused, unless `force` and it holds our
 * manifest and nothing else than the files that the manifest lists.  `words` gets the reason; after
 * success it tells of what a killed run left beside the target, or is empty. */
enum { RESULTS_WORDS = RESULTS_PATH + 256 };
enum status results_open(struct results *r, const char *target, bool force,
                         char words[RESULTS_WORDS]);

/* A new file for writing in the folder, NULL if it cannot be made.  Closed by results_flush. */
FILE *results_file(struct results *r, const char *name);

/* Notes a file in the folder that another program wrote ("figures/levels.svg"). */
void results_add(struct results *r, const char *name);

/* Notes every file that another program wrote in a subfolder, if there is one. */
void results_add_all(struct results *r, const char *subfolder);

/* Removes a subfolder that another program wrote in and that was not noted. */
void results_drop(struct results *r, const char *subfolder);

/* Flushes all files and checks that every byte arrived; closes them. */
enum status results_flush(struct results *r);

/* Of STATUS_IO: which file could not be written, and why; words are empty if it was none of these, or of another
 * status.  Returns the status, which is STATUS_MEMORY if that is why. */
enum status results_explain(const struct results *r, enum status status, char words[RESULTS_WORDS]);

/* Writes manifest.json (version, seed, a hash of each file) and renames the folder into its place.
 * After a failure nothing is left but the old folder, if there was one.  After success `words` is
 * empty, or tells what could not be removed of the old one. */
enum status results_commit(struct results *r, unsigned long seed, char words[RESULTS_WORDS]);

/* Removes the temporary folder and what is in it. */
void results_abandon(struct results *r);

#endif
