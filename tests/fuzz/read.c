/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Fuzz target: readings of meters as typed (sim/read_text.c): the first line as
 * FEED,PERMEATE,PRODUCT, each line after it as --also.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "fuzz.h"
#include "sim/read.h"

static void look(bool fine, const struct read_given *given, const char *words)
{
    fuzz_demand(fine || words[0] != '\0', "what is refused is refused in words");
    for (int k = 0; fine && k < LOOK_COUNT; k++)
        fuzz_demand(!isinf(given->value[k]), "a reading is finite");
    read_anything(given);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    const struct meter meter = { .factor = 5.0, .resolution = 1e-3 };
    struct read_given given;
    char *text = fuzz_text(data, size), *at = text, *line = fuzz_line(&at), words[READ_WORDS] = "";
    if (line) {
        look(read_meters(&meter, line, &given, words), &given, words);
        for (int i = 0; i < READ_METERS; i++)
            fuzz_demand(given.digit[i] >= 0.0, "a last digit has a size");
    }
    while (line && (line = fuzz_line(&at)) != NULL) {
        words[0] = '\0';
        look(read_also(&meter, line, &given, words), &given, words);
    }
    free(text);
    return 0;
}
