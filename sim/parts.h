/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * parts: generic parts that a scenario names by a string.  Page: docs/scenario.md.
 */
#ifndef SIM_PARTS_H
#define SIM_PARTS_H

#include "models/stage.h"
#include "reader.h"

enum { PART_PRESETS = 10 };

struct part {
    const char *name; /* "membrane 75 gal/day" */
    const struct stage_kind *kind;
    const char *doc;
    struct preset preset[PART_PRESETS + 1]; /* what differs from the kind's defaults */
};

extern const struct part parts[]; /* ended by a NULL name */

const struct part *parts_find(const char *name); /* or NULL */

#endif
