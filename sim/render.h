/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * render: figures of a results folder, drawn by gnuplot as a separate process.  Page:
 * docs/figures.md.
 *
 * No user text ever becomes script: scripts are constant (plots/), user text goes in data columns
 * and is drawn without markup; no shell; clean environment; what came out is checked, not the exit
 * status.
 */
#ifndef SIM_RENDER_H
#define SIM_RENDER_H

#include <signal.h>
#include <stdbool.h>
#include <stdio.h>

#include "report.h"

struct figure;
struct sheet;

struct drawing {
    const struct figure *figures;      /* which; NULL: those of a run */
    const void *source;                /* what they draw, if it does not stand in files */
    const volatile sig_atomic_t *stop; /* not 0 any more: draw no further; NULL: never */
    bool stopped;
    int drawn;           /* pictures made */
    const char *trouble; /* what is wrong with gnuplot, a constant text, or NULL */
    const char *note;    /* which figure has no data, or NULL */
};

/* Draws every figure into DIR/figures/ from the CSV files in DIR, with the scripts and thinned data
 * that made it beside it.  A missing or failing gnuplot is no error of the run: STATUS_OK with
 * trouble. */
enum status render_figures(const char *dir, struct drawing *d);

/* For a figure that is drawn in a way of its own: DIR and DIR/figures for its sheet; its script, compiled in, false if
 * there is none. */
enum status render_open(const char *dir, struct sheet *s);
bool render_script(struct sheet *s, const char *script);
void render_close(struct sheet *s);

/* Draws the figures as text, `columns` wide, to out. */
enum status render_terminal(const char *dir, int columns, FILE *out, struct drawing *d);

#endif
