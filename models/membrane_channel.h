/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * membrane_channel: the feed channel of one element at one temperature, shared by the files of the
 * membrane and by the plant, which looks for an operating point in it.  Page: docs/membrane.md, with the same symbols.
 */
#ifndef MODELS_MEMBRANE_CHANNEL_H
#define MODELS_MEMBRANE_CHANNEL_H

#include "membrane.h"

static const double D_NACL = 1.61e-9; /* m2/s at 25 degC */

/* Logarithms of the three forms of k, and of the loss along the path, at a channel flow of 1 m3/s
 * and for NaCl: with them a segment needs one exponential for each. */
struct film {
    double spacer;              /* ln k of Schock & Miquel, grows as 0.875 ln q + 0.75 ln D */
    double entry;               /* ln k of the laminar entry, as 1/3 ln q + 2/3 ln D */
    double still;               /* ln k of diffusion across half the channel, as ln D */
    double loss;                /* ln dP, as 1.7 ln q */
};

/* What stays the same along the channel. */
struct channel {
    int segments;
    double area;                /* of a segment [m2] */
    double flow;                /* into the channel [m3/s] */
    double A;                   /* at temperature [m/(s Pa)] */
    double B;                   /* of NaCl at temperature [m/s] */
    double leak;                /* share */
    double osmotic;             /* pi over osmolarity [Pa m3/mol] */
    struct film film;
};

struct channel membrane_channel(const struct membrane *m, double flow, double osmolarity,
                                const struct fluid *water);

/* Pressure lost along the whole channel [Pa] at a flow. */
double membrane_channel_drop(const struct film *f, double flow);

/* 1/k [s/m] at ln of the channel flow, ln_d = ln(D/D of NaCl). */
double membrane_channel_hold(const struct film *f, double ln_q, double ln_d);

/* cp/cb of a solute at flux J: B E/(J + B E), with E = exp(J/k). */
double membrane_passage(double J, double per_k, double B);

/* Walks down the channel and returns the permeate flow [m3/s]; flux[segments] [m/s].  `driving`
 * [Pa] is inlet less permeate pressure. */
double membrane_march(const struct channel *ch, double driving, double osmolarity, double flux[]);

#endif
