/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * restrictor: the fixed loss on the concentrate, one power law for every make of it:
 * Qc = open Q0 (dP/dP0)^n (mu0/mu)^p, with mu0 at 25 degC.  Page: docs/restrictor.md.
 *
 * Assumes: one exponent over the whole range; a kink takes its share of the flow at any pressure.
 */
#include "restrictor.h"

#include <math.h>

#include "water.h"

static const double VISCOSITY_25 = 8.899968e-4; /* Pa s, water_viscosity(25) */

/* ln of (mu0/mu)^p */
static double ln_thinness(const struct restrictor *r, const struct fluid *water)
{
    return r->viscosity_exponent * log(VISCOSITY_25 / water->viscosity);
}

double restrictor_flow(const struct restrictor *r, double pressure, const struct fluid *water,
                       double open)
{
    if (!(pressure > 0.0) || !(open > 0.0))
        return 0.0;
    return open * r->flow * exp(r->exponent * log(pressure / r->pressure) + ln_thinness(r, water));
}

double restrictor_pressure(const struct restrictor *r, double flow, const struct fluid *water,
                           double open)
{
    if (!(flow > 0.0))
        return 0.0;
    if (!(open > 0.0) || !(r->flow > 0.0))
        return INFINITY;
    return r->pressure * exp((log(flow / (open * r->flow)) - ln_thinness(r, water)) / r->exponent);
}
