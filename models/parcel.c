/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * parcel: exact mixing of a parcel into a well-mixed vessel.  Page: docs/parcel.md.
 *
 * Over one unit of time water comes in at qi, leaves at qo and evaporates at ql, all steady:
 *   V(t) = V0 + (qi - qo - ql) t,   dm/dt = qi c - qo m/V.
 * Of what was there the share phi stays, of what came in the share psi.
 */
#include "parcel.h"

#include <float.h>
#include <math.h>

/* Mean of 1/V between two volumes, one over their logarithmic mean; infinite from empty. */
static double mean_inverse(double before, double after, double growth)
{
    if (before == 0.0)
        return INFINITY;

    const double x = growth / before;
    if (fabs(x) < 1e-8)
        return (1.0 - 0.5 * x) / before;
    return (fabs(x) < 0.5 ? log1p(x) : log(after / before)) / growth;
}

struct shares {
    double held, held_left; /* phi and 1 - phi: of what the vessel held */
    double came, came_left; /* psi and 1 - psi: of what came in */
};

/* r is the mean of 1/V, d = qi - ql: psi = V1 (1 - exp(-d r))/d, near d = 0 V1 r (1 - d r/2). */
static struct shares mixed(double before, double after, double in, double out, double lost)
{
    const double r = mean_inverse(before, after, in - out - lost);
    const double d = in - lost;
    const double psi =
        fabs(d * r) < 1e-8 ? after * r * (1.0 - 0.5 * d * r) : after * -expm1(-d * r) / d;

    return (struct shares){ exp(-out * r), -expm1(-out * r), psi, fmax(1.0 - psi, 0.0) };
}

static struct shares shares(double before, double after, double in, double out, double lost)
{
    if (out <= 0.0)
        return (struct shares){ 1.0, 0.0, 1.0, 0.0 };
    if (after == 0.0)
        return (struct shares){ 0.0, 1.0, 0.0, 1.0 };
    return mixed(before, after, in, out, lost);
}

/* The volume that remains; what is within rounding of nothing is nothing. */
static double volume_after(double before, double in, double out, double lost)
{
    const double after = before + (in - out - lost);

    return after > 8.0 * DBL_EPSILON * (before + in) ? after : 0.0;
}

void vessel_mix(struct vessel *v, const struct parcel *in, double out, double lost,
                double leaving[SPECIES_COUNT])
{
    const double after = volume_after(v->volume, in->volume, out, lost);
    const struct shares s = shares(v->volume, after, in->volume, out, lost);

    for (int i = 0; i < SPECIES_COUNT; i++) {
        const double held = v->amount[i], came = in->volume * in->c[i];
        const double left = held * s.held_left + came * s.came_left;
        const double kept = held * s.held + came * s.came;
        /* the smaller one as it is, the other by difference: nothing is lost to rounding */
        v->amount[i] = left < kept ? held + came - left : kept;
        leaving[i] = left < kept ? left : held + came - kept;
    }
    v->volume = after;
}
