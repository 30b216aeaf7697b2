/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * embed: text files that are compiled in, so that the program needs no folder of its own: plot
 * scripts (plots/), scenarios (scenarios/), words and style of a report.  The arrays are made by the
 * build.
 */
#ifndef SIM_EMBED_H
#define SIM_EMBED_H

#include <stddef.h>

struct embedded {
    const char *name;           /* file name without folder */
    const char *text;           /* ends with NUL, not counted */
    size_t size;
};

extern const struct embedded embedded_plots[];      /* ended by a NULL name */
extern const struct embedded embedded_scenarios[];
extern const struct embedded embedded_pages[];

const struct embedded *embed_find(const struct embedded list[], const char *name); /* or NULL */

#endif
