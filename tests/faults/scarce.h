/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * scarce: what its two files share.  One run is split at each allocation that shall fail: a child, in a copy of the
 * folder, goes on with the failure, and the parent without, so that nothing is run twice up to there.
 */
#ifndef SCARCE_H
#define SCARCE_H

#include <stdatomic.h>
#include <stdbool.h>

/* Reads the numbers at which to split, from a file; NULL: none. */
void split_begin(const char *file);

/* At the n-th allocation: true in a child that is to fail from here on; *at is n then. */
bool split_at(long n, atomic_long *at);

/* Whether this is a child, and whether all that follows fails in it. */
bool split_is_child(void);
bool split_is_ever(void);

#endif
