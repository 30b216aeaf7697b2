/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * figure: the sheets of the figures that are drawn over time: levels, meters, production; and the
 * list of all figures.  Wear, cost, pulse and inputs have files of their own, figure_X.c.
 * Page: docs/figures.md.
 */
#ifndef SIM_FIGURE_H
#define SIM_FIGURE_H

#include "sheet.h"

struct figure {
    const char *name;                     /* of the script and the picture */
    enum status (*write)(struct sheet *); /* STATUS_NO_INPUT if there is nothing to draw */
    const char *missing;                  /* said then; NULL: it is left out without a word */
};

enum status figure_wear(struct sheet *s);
enum status figure_cost(struct sheet *s);
enum status figure_pulse(struct sheet *s);
enum status figure_inputs(struct sheet *s);

extern const struct figure figure_list[]; /* ended by a NULL name */

#endif
