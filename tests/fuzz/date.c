/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Fuzz target: dates (sim/date.c).  What is read is a date that exists and comes back from what is
 * written of it.
 */
#include <stdlib.h>
#include <string.h>

#include "fuzz.h"
#include "sim/date.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char *text = fuzz_text(data, size);
    double seconds, again;
    char out[40];
    const bool alike = date_looks_like(text);
    if (date_parse(text, &seconds)) {
        fuzz_demand(alike, "a date looks like one");
        date_format(seconds, out, sizeof out);
        fuzz_demand(strncmp(out, text, strcspn(text, "Z")) == 0, "nothing of a date is changed");
        fuzz_demand(date_parse(out, &again) && again == seconds, "what is written is read again");
        const double day = date_day_of_year(seconds);
        fuzz_demand(day >= 0.0 && day < 366.0, "a year has its days");
    }
    free(text);
    return 0;
}
