/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Fuzz target: changes of the command line (sim/scenario_set.c), a line a change, put into a plain
 * scenario.
 */
#include <stdlib.h>
#include <string.h>

#include "fuzz.h"
#include "sim/scenario.h"

static const char BASE[] =
    "feed = { meter = \"245 ppm\"; pressure = \"50 psi\"; };\n"
    "train = ( \"sediment 5 um\", { part = \"membrane 75 gal/day\"; name = \"ro\"; },\n"
    "          \"mixed bed 10 in\" );\n"
    "storage = { diameter = \"50 cm\"; height = \"80 cm\"; shuts_at = \"70 cm\";\n"
    "            shutoff = [ \"level switches\" ]; };\n"
    "served = { surface = \"1.1 m2\"; volume = \"400 L\"; water = \"25 degC\"; };\n"
    "draws = ( { take = \"30 L\"; every = \"1 day\"; } );\n"
    "clock = { length = \"2 days\"; };\n";

enum { SETS_MOST = 16 };

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    const char *sets[SETS_MOST + 1] = { NULL };
    char *text = fuzz_text(data, size), *at = text, *line;
    int count = 0;
    while (count < SETS_MOST && (line = fuzz_line(&at)) != NULL)
        sets[count++] = line;
    struct scenario *s = calloc(1, sizeof *s);
    struct report *report = report_create();
    fuzz_write("set.cfg", BASE, sizeof BASE - 1);
    const enum status status = scenario_load(fuzz_path("set.cfg"), sets, s, report);
    fuzz_demand((status == STATUS_OK) == (report_count(report, SEVERITY_ERROR) == 0),
                "what is refused is complained of");
    fuzz_look_at_report(report);
    report_free(report);
    if (status == STATUS_OK) {
        double t;
        char words[SCENARIO_WORDS] = "";
        for (int i = 0; i < count; i++)
            fuzz_demand(scenario_when(s, sets[i], &t, words) || words[0] != '\0',
                        "what is no moment is refused in words");
        scenario_free(s);
    }
    free(s);
    free(text);
    return 0;
}
