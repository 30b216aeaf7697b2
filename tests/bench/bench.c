/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * bench: what a simulated year costs, and a parcel in each stage.  Times depend on the machine; the
 * ratios to one exp() of the C library, measured in the same run, hardly do. bench SCENARIO
 */
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <sys/resource.h>
#include <time.h>

#include "sim/decimal.h"
#include "sim/hash.h"
#include "sim/recorder.h"
#include "sim/rinse_task.h"
#include "sim/scenario.h"
#include "sim/summary.h"

static double now(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static double exp_cost(void)
{
    enum { N = 4000000 };
    volatile double sink = 0.0;
    const double start = now();
    for (int i = 0; i < N; i++)
        sink = exp(1e-6 * i - 2.0);
    (void)sink;
    return (now() - start) / N;
}

static long memory_kib(void)
{
    struct rusage usage;
    getrusage(RUSAGE_SELF, &usage);
    return usage.ru_maxrss;
}

static void line(const char *what, double seconds, double unit)
{
    printf("%-44s %12.3f us %12.1f exp\n", what, 1e6 * seconds, seconds / unit);
}

/* A year with all observers writing to /dev/null: what `leat run --no-figures` does but for the
 * disk. */
static void bench_year(const struct scenario *s, double length, double unit)
{
    struct plan plan = s->plan;
    plan.length = length;
    struct recorder recorder = { .series = fopen("/dev/null", "w"),
                                 .events = fopen("/dev/null", "w"),
                                 .daily = fopen("/dev/null", "w"),
                                 .front = fopen("/dev/null", "w"),
                                 .wear = fopen("/dev/null", "w") };
    memcpy(recorder.start_date, plan.start_date, sizeof recorder.start_date);
    struct summary summary;
    summary_init(&summary);
    const struct observer observers[] = { { recorder_see, &recorder }, { summary_see, &summary } };
    const struct run_options options = { .observers = observers, .observer_count = 2 };
    struct run_figures figures;
    char words[RUN_WORDS];
    const double start = now();
    const enum status status = run_simulate(&s->plant, &plan, &options, &figures, words);
    const double took = now() - start;
    printf("%.0f days: %s, %.3f s; %ld steps, %ld rate calls, %ld events, %ld parcels\n",
           length / 86400.0, status_words(status), took, figures.steps, figures.calls,
           figures.events, figures.parcels);
    line("  the same", took, unit);
    printf("  memory, highest so far: %.1f MiB\n", (double)memory_kib() / 1024.0);
    fclose(recorder.series);
    fclose(recorder.events);
    fclose(recorder.daily);
    fclose(recorder.front);
    fclose(recorder.wear);
}

static void bench_evaluate(const struct scenario *s, double unit)
{
    enum { N = 20000 };
    static struct state state;
    struct settings set;
    struct signals sig;
    double dx[X_COUNT];
    settings_init(&set);
    plant_start(&s->plant, &state);
    for (int call = 0; call <= 1; call++) {
        set.call = call;
        const double start = now();
        for (int i = 0; i < N; i++)
            plant_evaluate(&s->plant, &set, &state, 600.0 * i, state.x, &sig, dx);
        line(call ? "plant_evaluate, making water" : "plant_evaluate, at rest", (now() - start) / N,
             unit);
    }
}

/* Parcels of the plant's own size, fresh to old. */
static void bench_stages(const struct scenario *s, double unit)
{
    enum { N = 600 };
    double spent[STAGES_MAX] = { 0.0 };
    static struct state state;
    plant_start(&s->plant, &state);
    for (int i = 0; i < N; i++) {
        const struct feed_now feed = feed_at(&s->plant.feed, 0.0);
        struct parcel water = { 20e-3, 1800.0, feed.temperature, { 0 } };
        memcpy(water.c, feed.c, sizeof water.c);
        for (int k = 0; k < s->plant.stages; k++) {
            const struct stage *stage = &s->plant.train[k];
            struct stage_exits exits = { 0 };
            const double start = now();
            const struct stage_passage how = { .permeate_volume = 5e-3 };
            stage->kind->carry(&stage->params, &state.stage[k], &water, &how, &exits);
            spent[k] += now() - start;
        }
    }
    for (int k = 0; k < s->plant.stages; k++) {
        char what[96];
        snprintf(what, sizeof what, "a parcel through: %s", s->plant.train[k].name);
        line(what, spent[k] / N, unit);
        if (s->plant.train[k].kind == &stage_resin)
            line("  of it, a cell", spent[k] / N / s->plant.train[k].params.resin.cells, unit);
    }
}

/* What of a year is the simulation, and what the hash of its series: without observers, and one
 * SHA-256 of as many bytes as the demonstration writes. */
static void bench_parts(const struct scenario *s, double unit)
{
    enum { SERIES = 5600000 };
    static char bytes[SERIES];
    const struct run_options alone = { 0 };
    struct run_figures figures;
    char words[RUN_WORDS], text[HASH_TEXT];
    double start = now();
    run_simulate(&s->plant, &s->plan, &alone, &figures, words);
    line("the run, nobody looks", now() - start, unit);
    start = now();
    hash_bytes(bytes, sizeof bytes, text);
    line("SHA-256 of 5.6 MB", now() - start, unit);
    char cell[DECIMAL_SIZE];
    start = now();
    for (int i = 0; i < 1000000; i++)
        decimal_write(cell, 1e-3 * i + 0.1234, 4);
    line("a million numbers into text", now() - start, unit);
}

static double wall(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* Years of a rinse on one thread and on two: on two free cores the ratio is near 2. */
static void bench_threads(const struct scenario *s)
{
    enum { N = 16 };
    static struct rinse_case c;
    static struct rinse_task task[N];
    double took[2];
    if (s->plant.membrane < 0 ||
        rinse_year_prepare(&c, &s->plant, &s->plan, 365.0 * 86400.0, NULL) != STATUS_OK)
        return;
    for (int i = 0; i < N; i++)
        task[i] = (struct rinse_task){ .c = &c, .programme = rinse_year_none(&s->plant.rinse) };
    for (int jobs = 1; jobs <= 2; jobs++) {
        const struct rinse_options o = { .jobs = jobs };
        const double start = wall();
        rinse_task_all(task, N, &o);
        took[jobs - 1] = wall() - start;
    }
    printf("%d years of a rinse: %.2f s on one thread, %.2f on two, ratio %.2f\n", N, took[0],
           took[1], took[0] / took[1]);
}

int main(int argc, char *argv[])
{
    if (argc != 2)
        return fprintf(stderr, "usage: bench SCENARIO\n"), EX_USAGE;
    static struct scenario s;
    struct report *report = report_create();
    if (scenario_load(argv[1], NULL, &s, report) != STATUS_OK)
        return report_print(report, stderr, false), EX_DATAERR;
    report_free(report);
    const double unit = exp_cost();
    printf("one exp(): %.2f ns\n", 1e9 * unit);
    bench_year(&s, s.plan.length, unit);
    bench_year(&s, 4.0 * s.plan.length, unit);
    bench_parts(&s, unit);
    bench_evaluate(&s, unit);
    bench_stages(&s, unit);
    bench_threads(&s);
    scenario_free(&s);
    return 0;
}
