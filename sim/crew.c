/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * crew: see crew.h.
 */
#include "crew.h"

#include <stddef.h>
#ifdef _OPENMP
#include <omp.h>
#endif

static bool stopped(const struct crew *c)
{
    return c->stop && *c->stop;
}

bool crew_all(const struct crew *c, long n, void (*work)(void *self, long i), void *self)
{
    long done = 0;
#ifdef _OPENMP
    const int jobs = c->jobs > 0 ? c->jobs : omp_get_max_threads();
#pragma omp parallel for schedule(dynamic, 1) num_threads(jobs)
#endif
    for (long i = 0; i < n; i++) {
        if (stopped(c))
            continue;
        work(self, i);
#ifdef _OPENMP
#pragma omp critical
#endif
        {
            done++;
            if (c->progress)
                c->progress(c->progress_self, (double)done / (double)n);
        }
    }
    return !stopped(c);
}
