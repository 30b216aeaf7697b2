/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Fuzz target: what --vary says (sim/vary.c).  Every value of a sweep is a text that --set takes.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "fuzz.h"
#include "sim/vary.h"

static void look(const char *text, bool sampled)
{
    static struct vary v;
    char words[VARY_WORDS] = "";
    if (!vary_parse(text, sampled, &v, words)) {
        fuzz_demand(words[0] != '\0', "what is refused is refused in words");
        return;
    }
    fuzz_demand(v.key[0] != '\0' && v.count <= VARY_POINTS, "there is a key, and room");
    fuzz_demand(v.count >= 2 || (v.range && sampled), "a sweep has two values");
    for (int i = 0; i < v.count; i++) {
        fuzz_demand(v.point[i].word[0] != '\0', "a value is a text");
        fuzz_demand(!v.numbers || isfinite(v.point[i].number), "a number is finite");
        fuzz_demand(!v.range || i == 0 || v.point[i].number >= v.point[i - 1].number,
                    "a range is in order");
    }
    if (!v.range)
        return;
    struct vary_point p;
    for (double share = 0.0; share <= 1.0; share += 0.25) {
        vary_at(&v, share, &p);
        fuzz_demand(isfinite(p.number), "a number within a range is finite");
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char *text = fuzz_text(data, size);
    look(text, false);
    look(text, true);
    free(text);
    return 0;
}
