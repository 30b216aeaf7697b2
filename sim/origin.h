/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * origin: values.csv of a results folder: every value of the scenario and where it came from.  Page:
 * docs/results.md.
 */
#ifndef SIM_ORIGIN_H
#define SIM_ORIGIN_H

#include <stdio.h>

#include "reader.h"

/* One row a value: path, value, origin (given, changed, part, default, computed) and words for it; where the
 * value's text is the program's, the quantity ("pressure") and the number in SI units.  `file` is
 * the scenario: its name stands in no row, for results name no place; that of an included file does, without
 * its folder.  Errors of the stream are the caller's to check. */
void origin_write(const struct values *values, const char *file, FILE *out);

#endif
