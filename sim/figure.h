/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * figure: the sheets of the figures that are drawn over time: levels, meters, production; and the
 * list of all figures.  Page: docs/figures.md.
 */
#ifndef SIM_FIGURE_H
#define SIM_FIGURE_H

#include "sheet.h"

struct figure {
    const char *name;                     /* of the script and the picture */
    enum status (*write)(struct sheet *); /* STATUS_NO_INPUT if there is nothing to draw */
    const char *missing;                  /* said then */
};

extern const struct figure figure_list[]; /* ended by a NULL name */

#endif
