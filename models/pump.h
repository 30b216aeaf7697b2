/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * pump: small booster, dP = dP0 (1 - Q/Q0), capped by its bypass; inlet cut-out.
 * Page: docs/pump.md.
 */
#ifndef MODELS_PUMP_H
#define MODELS_PUMP_H

struct pump {
    double shut_head;           /* dP0 [Pa] at no flow */
    double open_flow;           /* Q0 [m3/s] at no head */
    double bypass;              /* highest outlet pressure [Pa] that its bypass allows */
    double cut_out;             /* lowest inlet pressure [Pa] at which it runs */
    double efficiency;          /* hydraulic over electric power above idle */
    double idle_power;          /* W drawn at no head */
};

/* Head [Pa] at a flow [m3/s] and an inlet pressure [Pa]; 0 if the inlet is below its cut-out.
 * Never negative: past Q0, and above the bypass pressure, water runs through. */
double pump_head(const struct pump *p, double flow, double inlet_pressure);

/* Electric power [W] of a pump that runs, at a flow and head. */
double pump_power(const struct pump *p, double flow, double head);

#endif
