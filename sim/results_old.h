/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * results_old: looks at a results folder that is there already, and takes it away: only what its
 * own manifest lists, and never through a link.  Page: docs/results.md.
 */
#ifndef SIM_RESULTS_OLD_H
#define SIM_RESULTS_OLD_H

#include <jansson.h>
#include <stdbool.h>

#define RESULTS_OLD_PROGRAM "leat"

/* The manifest of an open folder, NULL if it holds none of ours; json_decref it. */
json_t *results_old_manifest(int folder);

/* Splits a name that a manifest lists into folder (figures or none) and file; false if it is not one that we
 * would write. */
bool results_old_believable(const char *path, bool *figure, const char **name);

/* Whether the folder `name` in `parent` holds our manifest and nothing else than the files that it
 * lists; if not, why gets the reason. */
enum { RESULTS_OLD_WORDS = 400 };
bool results_old_is(int parent, const char *name, char why[RESULTS_OLD_WORDS]);

/* Shows every file outside of figures/ that the manifest in an open folder lists, by name, with its hash ("" if
 * there is none); false if the folder holds no manifest of ours. */
bool results_old_each(int folder,
                      void (*see)(void *self, const char *name, const char *sha256), void *self);

/* Removes the files that its manifest lists, and the folder if nothing else is in it. */
bool results_old_remove(int parent, const char *name);

/* Removes a folder of our own making with all that is in it, folders below included. */
bool results_old_empty(int parent, const char *name);

#endif
