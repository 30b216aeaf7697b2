/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * restrictor: the fixed loss on the concentrate; Qc = Q0 (dP/dP0)^n (mu0/mu)^p.  Page:
 * docs/restrictor.md.
 */
#ifndef MODELS_RESTRICTOR_H
#define MODELS_RESTRICTOR_H

#include "water.h"

struct restrictor {
    double flow;                /* Q0 [m3/s] at ... */
    double pressure;            /* dP0 [Pa] and 25 degC */
    double exponent;            /* n: 1 laminar, 4/7 smooth turbulent, 1/2 orifice */
    double viscosity_exponent;  /* p: 1, 1/7, 0 */
};

/* Flow [m3/s] at a pressure difference [Pa] (0 if it is not positive); open 0..1 for a kinked line,
 * the share of the flow that it lets through. */
double restrictor_flow(const struct restrictor *r, double pressure, const struct fluid *water,
                       double open);

/* Pressure difference [Pa] that drives a flow [m3/s]; the inverse of the above.  0 for no flow,
 * INFINITY for a flow through a line that is shut. */
double restrictor_pressure(const struct restrictor *r, double flow, const struct fluid *water,
                           double open);

#endif
