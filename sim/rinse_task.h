/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * rinse_task: many years at once, on all threads.  Each stands for itself, so that what comes out does
 * not depend on how many threads there are.
 */
#ifndef SIM_RINSE_TASK_H
#define SIM_RINSE_TASK_H

#include "rinse_year.h"

struct rinse_options {
    double span;                /* s of a year; 0: 365 days */
    int jobs;                   /* threads; 0: as many as there are */
    void (*progress)(void *self, double share);
    void *progress_self;
    int *done;                  /* years so far; not NULL where there is progress */
    const volatile sig_atomic_t *stop;
};

struct rinse_task {
    const struct rinse_case *c;
    struct rinse programme;
    struct rinse_year year;     /* out */
};

/* STATUS_OK, STATUS_INTERRUPTED, or the first status in order that is not fine. */
enum status rinse_task_all(struct rinse_task task[], int n, const struct rinse_options *options);

#endif
