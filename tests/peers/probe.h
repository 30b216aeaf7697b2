/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What the two halves of the probe share: each takes the numbers of a question and answers with numbers.
 * The order of the numbers stands beside each function's body.
 */
#ifndef PROBE_H
#define PROBE_H

void probe_answer(double x);

void probe_membrane(const double *a);
void probe_passage(const double *a);
void probe_resin(const double *a);
void probe_carbon(const double *a);
void probe_sediment(const double *a);
void probe_wear(const double *a);

#endif
