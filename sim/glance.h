/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * glance: a scenario at a glance, as `check` shows it: values and where they come from, the feed as
 * completed, what stops the water, what is made and needed, how long cartridges last, cautions. All
 * to stdout.
 */
#ifndef SIM_GLANCE_H
#define SIM_GLANCE_H

#include "scenario.h"
#include "sizing.h"

struct glance {
    struct scenario scenario;
    struct sizing sizing;
};

void glance_print(const struct glance *g, bool values); /* 80 columns; values: list every one */
void glance_csv(const struct glance *g);
void glance_json(const struct glance *g);

/* Where a value came from, in words; why a cartridge ends. */
void glance_origin(const struct value *v, char out[], size_t size);
const char *glance_end(const struct stage *s, enum sizing_end why);

#endif
