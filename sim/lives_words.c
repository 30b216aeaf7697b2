/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * lives_words: names, dates and numbers of the answer of `life`, as people read them.
 */
#include <math.h>

#include "amount.h"
#include "date.h"
#include "lives_inner.h"
#include "text.h"

const char *lives_name(const struct lives *l, int k)
{
    return l->scenario->plant.train[k].name;
}

void lives_say(FILE *out, const char *words)
{
    fputs("  ", out);
    screen_wrap(out, 2, 2, words);
}

char *lives_date(const struct lives *l, double t, char out[SCREEN_CELL])
{
    double began;
    char date[32];
    out[0] = '\0';
    if (!date_parse(l->scenario->plan.start_date, &began))
        return out;
    if (!isfinite(t)) {
        snprintf(out, SCREEN_CELL, "later");
        return out;
    }
    snprintf(out, SCREEN_CELL, "%.10s", date_format(began + t, date, sizeof date));
    return out;
}

char *lives_number(double x, char out[SCREEN_CELL])
{
    snprintf(out, SCREEN_CELL, isfinite(x) ? "%.0f" : "longer", x);
    return out;
}

char *lives_water(double litres, char out[SCREEN_CELL])
{
    return isfinite(litres) ? amount_bare(AMOUNT_WATER, litres, 0, out) : lives_number(litres, out);
}

const char *lives_water_head(void)
{
    return units_taste() == TASTE_METRIC ? "litres" : amount_unit(AMOUNT_WATER);
}

char *lives_percent(double share, char out[SCREEN_CELL])
{
    const double shown = 100.0 * share;
    snprintf(out, SCREEN_CELL,
             fabs(shown) < 0.05   ? "0 %%"
             : fabs(shown) < 9.95 ? "%.1f %%"
                                  : "%.0f %%",
             shown);
    return out;
}
