/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * gnuplot: runs the plotting program as a separate process on a constant script in a folder of
 * ours: found on PATH by us, no shell, no start-up file, a clean environment, limits and a timeout.
 * Page: docs/figures.md.
 */
#ifndef SIM_GNUPLOT_H
#define SIM_GNUPLOT_H

#include <signal.h>
#include <stddef.h>
#include <stdio.h>

enum gnuplot_outcome {
    GNUPLOT_FINE,
    GNUPLOT_MISSING, /* not on PATH */
    GNUPLOT_FAILED,  /* could not be started, exit status, or killed by a limit */
    GNUPLOT_HUNG,    /* killed after the timeout */
    GNUPLOT_LIED,    /* exit status 0 without a whole picture */
    GNUPLOT_STOPPED  /* killed, as it was asked for */
};

/* Absolute path of the program; GNUPLOT_MISSING if no absolute folder of PATH has it. */
enum gnuplot_outcome gnuplot_find(char *path, size_t size);

/* Runs a script in the open folder; what it prints goes to `out`, without control characters but
 * line feeds, or nowhere if NULL.  Stopped as soon as *stop is not 0; NULL: never. */
enum gnuplot_outcome gnuplot_run(const char *path, int folder, const char *script, FILE *out,
                                 const volatile sig_atomic_t *stop);

/* Frames of a picture (.svg: one; .gif) that is there and whole, else 0. */
int gnuplot_frames(int folder, const char *picture);

/* The same as gnuplot_run, then checks that `picture` is there and whole; removes it if not. */
enum gnuplot_outcome gnuplot_draw(const char *path, int folder, const char *script,
                                  const char *picture, const volatile sig_atomic_t *stop);

/* What went wrong, in words; NULL for GNUPLOT_FINE. */
const char *gnuplot_words(enum gnuplot_outcome outcome);

#endif
