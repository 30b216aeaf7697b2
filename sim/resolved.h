/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * resolved: writes a scenario with everything said, in SI, so that loading it gives the same plant
 * and plan to the last bit.
 */
#ifndef SIM_RESOLVED_H
#define SIM_RESOLVED_H

#include <stdio.h>

#include "hash.h"
#include "results.h"
#include "scenario.h"

/* The name under which the log of readings must lie beside the file, if there is one. */
#define RESOLVED_LOG "feed_log.csv"

/* Errors of the stream are the caller's to check (ferror). */
void resolved_write(const struct scenario *s, FILE *out);
void resolved_write_log(const struct feed_log *log, FILE *out);

/* Both as files of a results folder: scenario.resolved.cfg and, if there is a log, that beside it. */
enum status resolved_keep(const struct scenario *s, struct results *r);

/* Two scenarios are the same if they are resolved to the same text, and log. */
enum status resolved_hash(const struct scenario *s, char out[HASH_TEXT]);

#endif
