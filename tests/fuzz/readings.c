/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Fuzz target: the log of readings (sim/readings.c).  The input is the file.  What is read is in
 * order of time, and the same again from what is written of it.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "fuzz.h"
#include "sim/readings.h"
#include "sim/resolved.h"

static const struct readings_setting setting = { .start = 1.7e9, .conductivity = 0.05 };

static struct feed_log *load(const struct source *source, const char *name, struct report *report)
{
    struct node n = { .type = NODE_TEXT };
    struct reader r = { .source = source, .report = report, .meter_factor = 5.0 };
    return readings_load(&r, &n, name, &setting);
}

static void compare(const double *a, const double *b, int rows)
{
    fuzz_demand((a == NULL) == (b == NULL), "no column is lost");
    fuzz_demand(a == NULL || memcmp(a, b, (size_t)rows * sizeof *a) == 0, "to the last bit");
    for (int i = 0; a && i < rows; i++)
        fuzz_demand(isfinite(a[i]), "readings are finite");
}

static void go_round(const struct source *source, const struct feed_log *log)
{
    FILE *f = fopen(fuzz_path("again.csv"), "wb");
    fuzz_demand(f != NULL, "a file can be made");
    resolved_write_log(log, f);
    fclose(f);
    struct report *report = report_create();
    struct feed_log *again = load(source, "again.csv", report);
    if (!again)
        report_print(report, stderr, false);
    fuzz_demand(again != NULL, "what is written is read again");
    fuzz_demand(again->rows == log->rows, "row by row");
    compare(log->at, again->at, log->rows);
    compare(log->temperature, again->temperature, log->rows);
    compare(log->pressure, again->pressure, log->rows);
    compare(log->strength, again->strength, log->rows);
    for (int i = 1; i < log->rows; i++)
        fuzz_demand(log->at[i] > log->at[i - 1], "rows are in order of time");
    free(again);
    report_free(report);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct source *source; /* only its folder counts */
    struct report *report = report_create();
    if (!source) {
        fuzz_write("beside.cfg", "", 0);
        source_read(fuzz_path("beside.cfg"), report, &source);
    }
    fuzz_write("log.csv", data, size);
    struct feed_log *log = load(source, "log.csv", report);
    fuzz_demand((log != NULL) == (report_count(report, SEVERITY_ERROR) == 0),
                "what is refused is complained of");
    if (log)
        go_round(source, log);
    free(log);
    fuzz_look_at_report(report);
    report_free(report);
    return 0;
}
