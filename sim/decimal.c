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
#include <string.h>

/* The whole number nearest to a positive x, halves up: llround without its call. */
static uint64_t nearest(double x)
{
    const uint64_t below = (uint64_t)x;
    return below + (x - (double)below >= 0.5);
}

char *decimal_write(char out[DECIMAL_SIZE], double value, int places)
{
    static const double SCALE[] = { 1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9 };
    static const uint64_t WHOLE[] = { 1,      10,      100,      1000,      10000,
                                      100000, 1000000, 10000000, 100000000, 1000000000 };
    if (isnan(value))
        return out;
    if (!(fabs(value) < 1e9))
        return out + snprintf(out, DECIMAL_SIZE, "%.9g", value);

    const uint64_t digits = nearest(fabs(value) * SCALE[places]);
    uint32_t whole = (uint32_t)fabs(value); /* quicker than a division */
    uint32_t rest = (uint32_t)(digits - whole * WHOLE[places]);
    if (rest >= WHOLE[places]) { /* rounded up */
        rest -= (uint32_t)WHOLE[places];
        whole++;
    }
    if (value < 0.0 && digits > 0)
        *out++ = '-';

    char reversed[DECIMAL_SIZE];
    int n = 0;
    for (; whole > 0 || n == 0; whole /= 10)
        reversed[n++] = (char)('0' + whole % 10);
    while (n > 0)
        *out++ = reversed[--n];
    if (rest == 0)
        return out;

    *out = '.';
    for (int k = places; k > 0; k--, rest /= 10)
        out[k] = (char)('0' + rest % 10);
    while (out[places] == '0')
        places--;
    return out + places + 1;
}

char *decimal_write_kept(struct decimal_kept *k, char out[DECIMAL_SIZE], double value, int places)
{
    if (!(value == k->value && k->length > 0)) {
        k->value = value;
        k->length = (int)(decimal_write(k->text, value, places) - k->text);
    }
    memcpy(out, k->text, sizeof k->text);
    return out + k->length;
}
