/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * water RESOLVED.cfg: what the water of a scenario alone costs, nothing that is dissolved being
 * followed, nothing recorded but the events' count.  For peers.sh, beside two general solvers.
 */
#include <stdio.h>
#include <sysexits.h>
#include <time.h>

#include "sim/run.h"
#include "sim/scenario.h"

static double now(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

int main(int argc, char *argv[])
{
    if (argc != 2)
        return fprintf(stderr, "usage: water RESOLVED.cfg\n"), EX_USAGE;
    static struct scenario s;
    struct report *report = report_create();
    if (scenario_load(argv[1], NULL, &s, report) != STATUS_OK)
        return report_print(report, stderr, false), EX_DATAERR;
    report_free(report);
    s.plant.water_only = true;
    const struct run_options options = { 0 };
    struct run_figures figures;
    char words[RUN_WORDS];
    const double start = now();
    const enum status status = run_simulate(&s.plant, &s.plan, &options, &figures, words);
    printf("cost %.5f s %ld steps %ld calls, %s\n", now() - start, figures.steps, figures.calls,
           status_words(status));
    scenario_free(&s);
    return status == STATUS_OK ? 0 : EX_SOFTWARE;
}
