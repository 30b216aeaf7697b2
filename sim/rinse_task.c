/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * rinse_task: see rinse_task.h.
 */
#include "rinse_task.h"

enum { EXPECTED = 380 }; /* years of one answer, about */

static void one(struct rinse_task *t, const struct rinse_options *o)
{
    if (!o->stop || !*o->stop)
        t->year = rinse_year_of(t->c, &t->programme, o->stop);
    if (o->progress) {
#ifdef _OPENMP
#pragma omp critical
#endif
        o->progress(o->progress_self, (double)++*o->done / EXPECTED);
    }
}

/* The long ones of a batch stand anywhere in it: each thread takes the next that is left. */
static void work(struct rinse_task task[], int n, const struct rinse_options *o)
{
    if (o->jobs > 0) {
#ifdef _OPENMP
#pragma omp parallel for schedule(dynamic, 1) num_threads(o->jobs)
#endif
        for (int i = 0; i < n; i++)
            one(&task[i], o);
    } else {
#ifdef _OPENMP
#pragma omp parallel for schedule(dynamic, 1)
#endif
        for (int i = 0; i < n; i++)
            one(&task[i], o);
    }
}

enum status rinse_task_all(struct rinse_task task[], int n, const struct rinse_options *options)
{
    work(task, n, options);
    if (options->stop && *options->stop)
        return STATUS_INTERRUPTED;
    for (int i = 0; i < n; i++)
        TRY(task[i].year.status);
    return STATUS_OK;
}
