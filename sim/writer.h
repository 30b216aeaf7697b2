/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * writer: writes groups of a scenario so that reading them gives back the same bits.
 */
#ifndef SIM_WRITER_H
#define SIM_WRITER_H

#include <stdio.h>

#include "models/cycle.h"
#include "models/field.h"

void writer_open(FILE *out, const char *name); /* name = { */
void writer_close(FILE *out);                  /* }; */

/* key = value;  for every field that is a finite number (not left out). */
void writer_fields(FILE *out, const struct field *fields, const void *base);

/* key = "number unit";  unless it is not finite. */
void writer_number(FILE *out, const char *key, enum dimension d, double si);

void writer_text(FILE *out, const char *key, const char *text);

/* Text in double quotes with escapes. */
void writer_quoted(FILE *out, const char *text);

/* A cycle in full; `mean` describes its key. */
void writer_cycle(FILE *out, const struct field *mean, const struct cycle *c);

#endif
