/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * carbonate: measures of the carbonates at a given [H+].  Page: docs/completion.md.
 */
#include "carbonate.h"

#include <math.h>

double carbonate_share(const struct carbonate *x, int form)
{
    const double k1 = x->k->k1, k2 = x->k->k2, h = x->h;
    const double part[] = { h * h, k1 * h, k1 * k2 };

    return part[form] / (part[0] + part[1] + part[2]);
}

double carbonate_other_alkalinity(const struct carbonate *x)
{
    const struct equilibria *k = x->k;

    return k->kw / x->h - x->h + x->silica * k->ksi / (k->ksi + x->h) +
           x->ammonia * k->knh4 / (k->knh4 + x->h);
}

/* What one mol of carbon adds to a measure. */
static double per_carbon(const struct carbonate *x, enum measure m)
{
    switch (m) {
    case BY_ALKALINITY:
        return carbonate_share(x, 1) + 2.0 * carbonate_share(x, 2);
    case BY_BICARBONATE:
        return carbonate_share(x, 1);
    case BY_DIOXIDE:
        return carbonate_share(x, 0);
    case BY_CARBON:
    case MEASURES:
        break;
    }
    return 1.0;
}

double carbonate_for(const struct carbonate *x, enum measure m, double value)
{
    const double rest = m == BY_ALKALINITY ? carbonate_other_alkalinity(x) : 0.0;

    return fmax(0.0, (value - rest) / per_carbon(x, m));
}

double carbonate_measure(const struct carbonate *x, enum measure m, double carbon)
{
    return per_carbon(x, m) * carbon + (m == BY_ALKALINITY ? carbonate_other_alkalinity(x) : 0.0);
}

double carbonate_hydrogen(const struct equilibria *k, double ph)
{
    return 1e3 * pow(10.0, -ph) / k->g1;
}
