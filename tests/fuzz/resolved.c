/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Fuzz target: the resolved scenario.  What loads is written with everything said, loads again, and
 * is then written to the same bytes: nothing is lost, refused or changed on the way.
 */
#include <stdlib.h>
#include <string.h>

#include "fuzz.h"
#include "sim/resolved.h"
#include "sim/scenario.h"

struct text {
    char *bytes;
    size_t size;
};

static struct text resolve(const struct scenario *s)
{
    struct text t = { NULL, 0 };
    FILE *f = open_memstream(&t.bytes, &t.size);
    fuzz_demand(f != NULL, "there is memory");
    resolved_write(s, f);
    fuzz_demand(fclose(f) == 0, "there is memory");
    return t;
}

/* Loads a file; the complaints are printed if it must be sound and is not. */
static bool load(const char *name, struct scenario *s, bool must)
{
    struct report *report = report_create();
    const enum status status = scenario_load(fuzz_path(name), NULL, s, report);
    if (must && status != STATUS_OK)
        report_print(report, stderr, false);
    report_free(report);
    return status == STATUS_OK;
}

static void go_round(const struct scenario *first)
{
    struct scenario *second = calloc(1, sizeof *second);
    const struct text a = resolve(first);
    fuzz_write("resolved.cfg", a.bytes, a.size);
    fuzz_demand(load("resolved.cfg", second, true), "a resolved scenario is sound");
    const struct text b = resolve(second);
    if (a.size != b.size || memcmp(a.bytes, b.bytes, a.size) != 0)
        fprintf(stderr, "%s\n---- then\n%s\n", a.bytes, b.bytes);
    fuzz_demand(a.size == b.size && memcmp(a.bytes, b.bytes, a.size) == 0,
                "it is resolved to itself");
    scenario_free(second);
    free(second);
    free(a.bytes);
    free(b.bytes);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct scenario *first = calloc(1, sizeof *first);
    fuzz_write("first.cfg", data, size);
    if (load("first.cfg", first, false)) {
        go_round(first);
        scenario_free(first);
    }
    free(first);
    return 0;
}
