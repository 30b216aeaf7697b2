/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * sheet_taste: columns of the results, which are metric, in the units that people asked for.  The
 * end of a column's name tells what it holds.  Page: docs/figures.md.
 */
#include <stdlib.h>
#include <string.h>

#include "amount.h"
#include "sheet.h"

/* The unit of a column in the taste; factor 1 and an empty name if it has none that changes. */
static struct amount_unit unit_of(const char *column)
{
    size_t stem;
    const enum amount kind = amount_of_column(column, &stem);
    return kind == AMOUNT_COUNT ? (struct amount_unit){ .name = "", .factor = 1.0 }
                                : amount_unit_in(units_taste(), kind);
}

const char *sheet_unit(const char *column)
{
    const char *name = unit_of(column).name;
    return strcmp(name, "degC") == 0 ? "°C" : strcmp(name, "degF") == 0 ? "°F" : name;
}

double sheet_scale(const char *column)
{
    return unit_of(column).factor;
}

double sheet_shown(const char *column, double value)
{
    const struct amount_unit u = unit_of(column);
    return value * u.factor + u.offset;
}

void sheet_taste(struct thinned *t, const char *const name[])
{
    for (int i = 1; i < t->columns; i++) {
        const struct amount_unit u = unit_of(name[i]);
        if (u.factor == 1.0 && u.offset == 0.0)
            continue;
        for (int bin = 0; bin < t->bins; bin++) {
            struct thin_bin *b = &t->bin[i * t->bins + bin];
            b->low = b->low * u.factor + u.offset;
            b->high = b->high * u.factor + u.offset;
            b->last = b->last * u.factor + u.offset;
            b->sum = b->sum * u.factor + b->count * u.offset;
        }
    }
}

char *sheet_column(const char *name, char *out, size_t size)
{
    size_t stem;
    const enum amount kind = amount_of_column(name, &stem);
    snprintf(out, size, "%s", name);
    if (kind == AMOUNT_COUNT || units_taste() == TASTE_METRIC)
        return out;
    snprintf(out, size, "%.*s%s", (int)stem, name, amount_unit(kind));
    for (char *c = out; *c; c++)
        if (*c == '/')
            *c = '_';
    return out;
}
