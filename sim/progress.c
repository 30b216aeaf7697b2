/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * progress: see progress.h.  The clock steers only what is shown, never what is computed.
 */
#include "progress.h"

#include <stdio.h>
#include <time.h>

#include "screen.h"

static const double PAUSE = 0.1; /* s between updates */
static const double FIRST = 0.5; /* s before the first: short runs show nothing */

enum { WIDTH = 40 };

static double now(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

void progress_begin(struct progress *p, bool wanted)
{
    *p = (struct progress){ .on = wanted && screen_overwrites(stderr), .first = -1.0 };
    if (p->on)
        p->began = p->shown = now();
}

void progress_show(void *self, double share)
{
    struct progress *p = self;
    if (!p->on)
        return;
    const double t = now(), gone = t - p->began;
    if (p->first < 0.0)
        p->first = share;
    if (t - p->shown < PAUSE || gone < FIRST)
        return;
    char left[SCREEN_CELL] = "?";
    if (share > p->first)
        screen_span(gone * (1.0 - share) / (share - p->first), left);
    char words[2 * SCREEN_CELL];
    snprintf(words, sizeof words, "%3.0f %% done, %s left", 100.0 * share, left);
    fprintf(stderr, "\r%-*s", WIDTH, words);
    fflush(stderr);
    p->shown = t;
}

void progress_end(struct progress *p)
{
    if (p->on)
        fprintf(stderr, "\r%*s\r", WIDTH, "");
    p->on = false;
}

void progress_stage_show(void *self, double share)
{
    const struct progress_stage *p = self;
    if (p->progress)
        p->progress(p->self, p->from + (p->to - p->from) * share);
}

void progress_stage_next(struct progress_stage *p, double cost, double later)
{
    p->from = p->to;
    if (cost > 0.0)
        p->to += (1.0 - p->to) * cost / (cost + later);
}
