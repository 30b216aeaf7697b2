/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Fuzz target: the manifest of a results folder that is there already (sim/results_old.c).  The
 * input is the manifest.  Whatever it says, nothing outside its folder is touched, and what it does
 * not list stays.
 */
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "fuzz.h"
#include "sim/results_old.h"

static const char *const within[] = { "old", "old/figures" };
static const char *const files[] = { "old/series.csv", "old/figures/levels.svg", "kept.txt",
                                     "old/stranger" };

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char why[RESULTS_OLD_WORDS] = "";
    const int parent = open(fuzz_folder(), O_RDONLY | O_DIRECTORY);
    for (size_t i = 0; i < sizeof within / sizeof within[0]; i++)
        mkdir(fuzz_path(within[i]), 0777);
    for (size_t i = 0; i < sizeof files / sizeof files[0]; i++)
        fuzz_write(files[i], "x", 1);
    fuzz_write("old/manifest.json", data, size);
    const bool listed = results_old_is(parent, "old", why); /* the stranger may be listed, too */
    fuzz_demand(listed || why[0] != '\0', "what is refused is refused in words");
    fuzz_demand_printable(why, strlen(why));
    const bool gone = results_old_remove(parent, "old");
    fuzz_demand(access(fuzz_path("kept.txt"), F_OK) == 0, "nothing outside is touched");
    fuzz_demand(listed || access(fuzz_path("old"), F_OK) == 0 || gone, "a folder does not vanish");
    if (!gone)
        results_old_empty(parent, "old");
    close(parent);
    return 0;
}
