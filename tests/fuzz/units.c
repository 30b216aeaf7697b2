/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Fuzz target: numbers with units (sim/units.c).  The first letter of the input chooses the
 * dimension, a to z.  What is read is finite, and comes back to the last bit from what is written
 * of it.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "fuzz.h"
#include "sim/units.h"

static void look(const char *text, enum dimension d, const struct units_hint *hint)
{
    struct quantity q, again;
    struct units_error error;
    char out[128];
    if (!units_parse(text, d, hint, &q, &error)) {
        fuzz_demand(error.what[0] != '\0', "what is refused is refused in words");
        return;
    }
    fuzz_demand(isfinite(q.si) && isfinite(q.factor) && q.factor != 0.0, "a quantity is finite");
    units_format(q.si, d, out, sizeof out);
    units_format_like(q.si, &q, out, sizeof out);
    units_exact(q.si, d, out, sizeof out);
    fuzz_demand(units_parse(out, d, hint, &again, &error), "what is written is read again");
    fuzz_demand(again.si == q.si, "to the last bit");
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    const struct units_hint none = { NULL, 0.0 };
    const struct units_hint calcium = { units_substance("calcium"), 6.4 };
    if (size == 0)
        return 0;
    char *text = fuzz_text(data + 1, size - 1);
    const enum dimension d = (enum dimension)((data[0] + 256 - 'a') % 256 % DIM_ALL);
    double number;
    const char *end = NULL;
    if (units_number(text, &number, &end))
        fuzz_demand(isfinite(number) && end > text, "a number is finite and has digits");
    look(text, d, &none);
    look(text, d, &calcium);
    free(text);
    return 0;
}
