/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * valve: float valve and tube of the product line, and friction factors.  Page: docs/valve.md.
 *   x = clamp((shuts_at - level)/PB, 0, 1),  dP = rho/2 (Q/(Cd x a))^2
 *   tube: dP = f (L/D) rho v^2/2, f = 64/Re below Re 2300, Swamee and Jain's above 4000,
 *   dP linear in Re between
 * Losses are odd, continuous and rising in the flow, because a root finder inverts them.
 * Assumes: a seat that acts as a sharp-edged orifice, smooth plastic tube, no bends.
 */
#include "valve.h"

#include <math.h>

#include "root.h"
#include "water.h"

static const double ORIFICE = 0.62;        /* Cd of a sharp-edged orifice, from memory */
static const double LEAST_OPENING = 1e-9;  /* keeps the loss of a shut valve finite */
static const double ROUGHNESS = 1.5e-6;    /* m, smooth plastic, from memory */
static const double RE_LAMINAR = 2300.0;   /* Reynolds number up to which f = 64/Re */
static const double RE_TURBULENT = 4000.0; /* and from which f is Swamee and Jain's */

static double clamp(double x, double low, double high)
{
    return fmin(fmax(x, low), high);
}

double float_valve_opening(const struct float_valve *v, double level, double stuck, double weep)
{
    const double fall = v->shuts_at - level;
    const double working = v->band > 0.0 ? fall / v->band : fall > 0.0;
    return clamp(fmax(stuck >= 0.0 ? stuck : clamp(working, 0.0, 1.0), weep), 0.0, 1.0);
}

static double seat_area(const struct float_valve *v)
{
    return M_PI * v->seat * v->seat / 4.0;
}

double float_valve_loss(const struct float_valve *v, double opening, double flow,
                        const struct fluid *water)
{
    const double w = flow / (ORIFICE * fmax(opening, LEAST_OPENING) * seat_area(v));
    return water->density / 2.0 * w * fabs(w);
}

double float_valve_flow(const struct float_valve *v, double opening, double pressure,
                        const struct fluid *water)
{
    const double w = sqrt(2.0 * fabs(pressure) / water->density);
    return copysign(ORIFICE * fmax(opening, 0.0) * seat_area(v) * w, pressure);
}

double friction_swamee_jain(double reynolds, double relative_roughness)
{
    const double l = log10(relative_roughness / 3.7 + 5.74 / pow(reynolds, 0.9));
    return 0.25 / (l * l);
}

/* Newton in x = 1/sqrt(f) on x + 2 log10(e/3.7 + 2.51 x/Re) = 0, which is rising and concave: from
 * any start the first step lands below the root and the others climb to it. */
double friction_colebrook(double reynolds, double relative_roughness)
{
    const double a = relative_roughness / 3.7, b = 2.51 / reynolds;
    double x = 1.0 / sqrt(friction_swamee_jain(reynolds, relative_roughness));
    for (int i = 0; i < 6; i++) {
        const double inside = a + b * x;
        x -= (x + 2.0 * log10(inside)) / (1.0 + 2.0 * b / (M_LN10 * inside));
    }
    return 1.0 / (x * x);
}

double tube_loss(double length, double bore, double flow, const struct fluid *water)
{
    const double rho = water->density, mu = water->viscosity;
    const double v = fabs(flow) / (M_PI * bore * bore / 4.0);
    const double re = rho * v * bore / mu;
    const double per_re = 32.0 * mu * mu / (rho * bore * bore * bore); /* Pa/m, dP/L = per_re Re */
    double loss = per_re * re;
    if (re > RE_LAMINAR) {
        /* f rho v^2/(2 D) = per_re f Re^2/64 */
        const double at = fmax(re, RE_TURBULENT);
        const double turbulent =
            per_re * friction_swamee_jain(at, ROUGHNESS / bore) * at * at / 64.0;
        const double share = fmin((re - RE_LAMINAR) / (RE_TURBULENT - RE_LAMINAR), 1.0);
        loss = per_re * RE_LAMINAR + share * (turbulent - per_re * RE_LAMINAR);
    }
    return copysign(loss * length, flow);
}

/* ---- a tube and its ends ---- */

struct tube_run {
    const struct tube *tube;
    const struct fluid *water;
    double pressure; /* Pa */
};

static double left_over(double flow, void *context)
{
    const struct tube_run *r = context;
    const double v = flow / (M_PI * r->tube->bore * r->tube->bore / 4.0);
    return r->pressure - tube_loss(r->tube->length, r->tube->bore, flow, r->water) -
           r->tube->ends * r->water->density / 2.0 * v * v;
}

double tube_flow(const struct tube *tube, double pressure, const struct fluid *water)
{
    if (!(pressure > 0.0))
        return 0.0;
    struct tube_run r = { tube, water, pressure };
    /* laminar friction alone: more than ever passes */
    const double d2 = tube->bore * tube->bore;
    const double most = M_PI * d2 * d2 * pressure / (128.0 * water->viscosity * tube->length);
    return root_falling(left_over, &r, 0.0, most, 1e-12);
}
