/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Fuzz target: the scan of a scenario's text before the parser of its syntax (sim/source_scan.c).
 * What the scan lets pass the parser must take, and find as many settings as the scan marked; so no
 * fault of the parser behind it is met by a file of the user.
 */
#include <stdlib.h>
#include <string.h>

#include "fuzz.h"
#include "sim/tree.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct report *report = report_create();
    struct source *source = NULL;
    struct node *root = NULL;
    fuzz_write("scan.cfg", data, size);
    const enum status status = source_read(fuzz_path("scan.cfg"), report, &source);
    fuzz_demand(status == STATUS_OK || status == STATUS_SCENARIO, "a text is sound or refused");
    const int errors = report_count(report, SEVERITY_ERROR);
    fuzz_demand((status == STATUS_OK) == (errors == 0), "what is refused is complained of");
    if (status == STATUS_OK) {
        fuzz_demand(tree_parse(source, report, &root) == STATUS_OK,
                    "what the scan lets pass the parser takes");
        fuzz_demand(root != NULL, "and gives as a tree");
    }
    fuzz_look_at_report(report);
    tree_free(root);
    source_free(source);
    report_free(report);
    return 0;
}
