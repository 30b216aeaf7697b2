/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * rinse_figure: the map as a picture, DIR/figures/rinse.svg.  Page: docs/rinse.md.
 */
#ifndef SIM_RINSE_FIGURE_H
#define SIM_RINSE_FIGURE_H

#include "rinse_find.h"

/* *trouble: what is wrong with gnuplot, or NULL; no failure. */
enum status rinse_figure(const char *dir, const struct rinse_found *f,
                         const volatile sig_atomic_t *stop, const char **trouble);

#endif
