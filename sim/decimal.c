/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * decimal: see decimal.h.  Integer arithmetic: five times as fast as printf, which would take
 * longer than the simulated year itself (docs/decisions.md).
 */
#include "decimal.h"

#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>

char *decimal_write(char out[DECIMAL_SIZE], double value, int places)
{
    static const double SCALE[] = { 1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9 };
    if (isnan(value))
        return out;
    if (!(fabs(value) < 1e9))
        return out + snprintf(out, DECIMAL_SIZE, "%.9g", value);

    uint64_t digits = (uint64_t)llround(fabs(value) * SCALE[places]);
    while (places > 0 && digits % 10 == 0) {
        digits /= 10;
        places--;
    }
    char reversed[DECIMAL_SIZE];
    int n = 0;
    const bool negative = value < 0.0 && digits > 0;
    do {
        reversed[n++] = (char)('0' + digits % 10);
        digits /= 10;
        if (n == places)
            reversed[n++] = '.';
    } while (digits > 0 || (places > 0 && n <= places + 1));
    if (negative)
        *out++ = '-';
    while (n > 0)
        *out++ = reversed[--n];
    return out;
}
