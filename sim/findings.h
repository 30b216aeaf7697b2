/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * findings: what a run found, in the words of a person with a pressure gauge and a pocket meter.
 */
#ifndef SIM_FINDINGS_H
#define SIM_FINDINGS_H

#include <stdio.h>

#include "summary.h"

void findings_print(FILE *out, const struct summary *s, const struct plan *plan,
                    const struct plant *p);

#endif
