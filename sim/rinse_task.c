/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * rinse_task: see rinse_task.h.
 */
#include "rinse_task.h"

#include "crew.h"

enum { EXPECTED = 380 }; /* years of one answer, about */

struct batch {
    struct rinse_task *task;
    const struct rinse_options *options;
};

static void work(void *self, long i)
{
    const struct batch *b = self;
    struct rinse_task *t = &b->task[i];
    t->year = rinse_year_of(t->c, &t->programme, b->options->stop);
}

/* An answer is many batches: their shares are of no use. */
static void count(void *self, double share)
{
    const struct batch *b = self;
    const struct rinse_options *o = b->options;
    (void)share;
    if (o->progress)
        o->progress(o->progress_self, (double)++*o->done / EXPECTED);
}

enum status rinse_task_all(struct rinse_task task[], int n, const struct rinse_options *options)
{
    struct batch batch = { task, options };
    const struct crew crew = {
        .jobs = options->jobs, .progress = count, .progress_self = &batch, .stop = options->stop
    };
    if (!crew_all(&crew, n, work, &batch))
        return STATUS_INTERRUPTED;
    for (int i = 0; i < n; i++)
        TRY(task[i].year.status);
    return STATUS_OK;
}
