/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Fuzz target: a run that stopped on the way (sim/saved.c).  A short run is stopped and kept; each
 * line of the input changes a few bytes of what was kept:
 *   @OFFSET=HEX      damage, which must be refused
 *   OFFSET=HEX       before the hash is made: bytes that somebody meant to be there
 *   NAME=HEX         the same of a member that is named below
 * What is accepted is gone on with for a while, unless somebody changed what is no plain number:
 * the hash guards against damage, not against malice (docs/results.md).
 */
#include <stdlib.h>
#include <string.h>

#include "fuzz.h"
#include "sim/saved.h"

static const char SCENARIO[] =
    "feed = { meter = \"245 ppm\"; pressure = \"50 psi\"; };\n"
    "train = ( \"sediment 5 um\", \"membrane 75 gal/day\", \"mixed bed 10 in\" );\n"
    "storage = { diameter = \"50 cm\"; height = \"80 cm\"; shuts_at = \"70 cm\";\n"
    "            shutoff = [ \"level switches\" ]; };\n"
    "served = { surface = \"1.1 m2\"; volume = \"400 L\"; water = \"25 degC\"; topoff = \"pump and "
    "float switch\"; };\n"
    "draws = ( { take = \"30 L\"; every = \"6 h\"; } );\n"
    "events = ( { at = \"12 h\"; what = \"power cut\"; }, { at = \"13 h\"; what = \"power "
    "back\"; } );\n"
    "clock = { length = \"2 days\"; };\n";

enum { LOOKS_MOST = 200 };

static struct scenario scenario;
static struct saved *kept;

static const struct {
    const char *name;
    size_t at;
    size_t size; /* of plain numbers that a run may go on with whatever they are; else 0 */
} members[] = {
    { "next_event", offsetof(struct saved, run.next_event), sizeof kept->run.next_event },
    { "next_sample", offsetof(struct saved, run.next_sample), sizeof kept->run.next_sample },
    { "t", offsetof(struct saved, run.state.t), sizeof kept->run.state.t },
    { "x", offsetof(struct saved, run.state.x), sizeof kept->run.state.x },
    { "step", offsetof(struct saved, run.step), sizeof kept->run.step },
    { "agenda", offsetof(struct saved, run.agenda), 0 },
    { "control", offsetof(struct saved, run.control), 0 },
    { "settings", offsetof(struct saved, run.settings), 0 },
    { "stage", offsetof(struct saved, run.state.stage), 0 },
    { "draws_running", offsetof(struct saved, run.draws_running), sizeof kept->run.draws_running },
    { "instant", offsetof(struct saved, run.instant), sizeof kept->run.instant },
    { "cuts", offsetof(struct saved, run.cuts), 0 },
    { "summary", offsetof(struct saved, summary), 0 },
    { "size", offsetof(struct saved, recorder.size), 0 },
    { "scenario", offsetof(struct saved, scenario), 0 },
    { "program", offsetof(struct saved, program), 0 },
};

static volatile sig_atomic_t stop;
static int looks;

static void begin(void)
{
    struct report *report = report_create();
    struct run_options options = { 0 };
    struct summary *summary = calloc(1, sizeof *summary);
    struct recorder recorder = { 0 };
    kept = calloc(1, sizeof *kept);
    fuzz_write("saved.cfg", SCENARIO, sizeof SCENARIO - 1);
    if (scenario_load(fuzz_path("saved.cfg"), NULL, &scenario, report) != STATUS_OK)
        report_print(report, stderr, false);
    report_free(report);
    struct run *run = run_create(&scenario.plant, &scenario.plan, &options);
    fuzz_demand(run != NULL && run_begin(run) == STATUS_OK, "a run can begin");
    fuzz_demand(run_until(run, 0.3 * 86400.0) == STATUS_OK, "a run can be stopped");
    run_save(run, &kept->run);
    summary_init(summary);
    recorder.series = recorder.events = recorder.daily = recorder.front = recorder.wear =
        fopen(fuzz_path("empty.csv"), "wb");
    fuzz_demand(saved_fill(kept, &scenario, summary, &recorder) == STATUS_OK, "it is kept");
    fclose(recorder.series);
    free(summary);
    run_free(run);
}

/* Changes bytes as a line says; false if a run may not go on with what came of it. */
static bool change(const char *line, struct saved *s)
{
    char *bytes = (char *)s;
    for (size_t i = 0; i < sizeof members / sizeof members[0]; i++) {
        const size_t n = strlen(members[i].name), at = members[i].at, size = members[i].size;
        if (strncmp(line, members[i].name, n) != 0 || line[n] != '=')
            continue;
        fuzz_hex(line + n + 1, bytes + at, size > 0 ? size : sizeof *s - at);
        return size > 0;
    }
    if (line[0] == '@')
        return true;
    fuzz_patch(line, bytes, sizeof *s);
    return false;
}

static void see(void *self, const struct glimpse *g)
{
    (void)self;
    (void)g;
    stop = ++looks >= LOOKS_MOST;
}

static void go_on(const struct saved *s)
{
    const struct observer o = { see, NULL };
    const struct run_options options = { .observers = &o, .observer_count = 1, .stop = &stop };
    struct run *run = run_create(&scenario.plant, &scenario.plan, &options);
    looks = 0;
    stop = 0;
    run_restore(run, &s->run);
    run_until(run, scenario.plan.length);
    run_end(run);
    run_free(run);
}

/* Whether a line says damage after the hash. */
static bool damage(char *text, char *bytes, size_t size)
{
    bool any = false;
    for (char *at = text, *line; (line = fuzz_line(&at)) != NULL;) {
        if (line[0] != '@')
            continue;
        char *before = malloc(size);
        memcpy(before, bytes, size);
        fuzz_patch(line + 1, bytes, size);
        any = any || memcmp(before, bytes, size) != 0;
        free(before);
    }
    return any;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (!kept)
        begin();
    char *text = fuzz_text(data, size), *copy = fuzz_text(data, size), words[SAVED_WORDS] = "";
    struct saved *s = malloc(sizeof *s), *again = malloc(sizeof *again);
    memcpy(s, kept, sizeof *s);
    bool plain = true;
    for (char *at = copy, *line; (line = fuzz_line(&at)) != NULL;)
        plain = change(line, s) && plain;
    char *bytes = NULL;
    size_t length = 0;
    FILE *f = open_memstream(&bytes, &length);
    saved_write(s, f);
    fclose(f);
    const bool damaged = damage(text, bytes, length);
    fuzz_write(SAVED_NAME, bytes, length);
    const enum status status = saved_read(again, fuzz_folder(), &scenario, words);
    fuzz_demand(status == STATUS_OK || words[0] != '\0', "what is refused is refused in words");
    fuzz_demand(status != STATUS_OK || !damaged, "damage is refused");
    if (status == STATUS_OK && plain)
        go_on(again);
    free(bytes);
    free(s);
    free(again);
    free(text);
    free(copy);
    return 0;
}
