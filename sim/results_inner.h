/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * results_inner: what the files share that write a folder of results: its files (results.c), its place
 * (results_place.c) and its list (results_manifest.c).
 */
#ifndef SIM_RESULTS_INNER_H
#define SIM_RESULTS_INNER_H

#include "results.h"

/* Remembers the first file that could not be written; error: its errno, 0 if that is not known. */
void results_fail(struct results *r, const char *name, int error);

/* Writes manifest.json, which closes all files. */
enum status results_write_manifest(struct results *r, unsigned long seed);

/* ---- results_place.c ---- */

/* The last name in the path; everything before it is the parent. */
const char *results_base(const char *path);

/* Readable as the user's mask says, and on the disk. */
enum status results_settle(struct results *r);

/* Renames the whole folder into its place; words: see results_commit. */
enum status results_place(struct results *r, char words[RESULTS_WORDS]);

/* The lock and the open folders. */
void results_close_all(struct results *r);

#endif
