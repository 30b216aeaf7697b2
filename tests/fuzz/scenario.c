/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Fuzz target: a whole scenario, as leat check reads it: text, included file, log of readings, and
 * what is printed of it.
 *
 * A line  ---- inner.cfg  or  ---- log.csv  begins the file of that name, which the text before it
 * may include or name as feed.log.
 */
#include <stdlib.h>
#include <string.h>

#include "fuzz.h"
#include "sim/glance.h"

static const char *const others[] = { "inner.cfg", "log.csv" };
static const char CUT[] = "---- ";

/* The name in a line that begins another file; NULL if it begins none. */
static const char *begins(const char *at, const char *end)
{
    const size_t intro = sizeof CUT - 1;
    if ((size_t)(end - at) <= intro || memcmp(at, CUT, intro) != 0)
        return NULL;
    for (size_t i = 0; i < sizeof others / sizeof others[0]; i++)
        if ((size_t)(end - at) - intro == strlen(others[i]) &&
            memcmp(at + intro, others[i], strlen(others[i])) == 0)
            return others[i];
    return NULL;
}

/* Writes the files of an input. */
static void spread(const char *text, size_t size)
{
    const char *name = "whole.cfg", *from = text, *all = text + size;
    for (size_t i = 0; i < sizeof others / sizeof others[0]; i++)
        fuzz_remove(others[i]);
    for (const char *at = text; at < all;) {
        const char *end = memchr(at, '\n', (size_t)(all - at));
        const char *stop = end ? end : all;
        const char *next = begins(at, stop);
        if (next) {
            fuzz_write(name, from, (size_t)(at - from));
            name = next;
            from = end ? end + 1 : all;
        }
        at = end ? end + 1 : all;
    }
    fuzz_write(name, from, (size_t)(all - from));
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    fuzz_silence();
    struct report *report = report_create();
    struct glance *g = calloc(1, sizeof *g);
    spread((const char *)data, size);
    const enum status status = scenario_load(fuzz_path("whole.cfg"), NULL, &g->scenario, report);
    fuzz_demand((status == STATUS_OK) == (report_count(report, SEVERITY_ERROR) == 0),
                "what is refused is complained of");
    fuzz_look_at_report(report);
    report_free(report);
    if (status == STATUS_OK) {
        glance_csv(g); /* of the values; what is computed of them takes seconds */
        scenario_free(&g->scenario);
    }
    free(g);
    return 0;
}
