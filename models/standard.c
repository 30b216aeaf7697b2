/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * standard: Qs = Qa (NDPs TCFs)/(NDPa TCFa);
 * SPs = SPa (Qa/Qs)(STCFs/STCFa)(Cfbs/Cfba)(Cfa/Cfs).  Page: docs/standard.md, with the same
 * symbols.
 *
 * Assumes a rejection so high that the passage is in inverse proportion to the flux, no leaks, and
 * a driving pressure above zero.
 */
#include "standard.h"

#include <math.h>

double standard_brine(double feed, double recovery)
{
    const double y = fmin(recovery, 1.0 - 1e-9);

    return fabs(y) > 1e-12 ? -feed * log1p(-y) / y : feed;
}

double standard_osmotic(double concentration, double temperature)
{
    return 1e3 * 0.2654 * (1e3 * concentration) * (temperature + 273.15) / (1000.0 - concentration);
}

double standard_driving(const struct standard_point *at)
{
    return at->pressure - 0.5 * at->loss - at->permeate_pressure -
           (at->brine_osmotic - at->permeate_osmotic);
}

double standard_flow(double flow, const struct standard_point *actual,
                     const struct standard_point *standard)
{
    const double of_actual = standard_driving(actual) * actual->factor;

    return flow * standard_driving(standard) * standard->factor / of_actual;
}

double standard_passage(double passage, const struct standard_point *actual,
                        const struct standard_point *standard)
{
    const double flow = standard_flow(1.0, actual, standard); /* Qs/Qa */
    const double salt = standard->salt_factor / actual->salt_factor;

    return passage * salt / flow * (standard->brine / actual->brine) *
           (actual->feed / standard->feed);
}
