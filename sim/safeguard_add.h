/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * safeguard_add: the further protections that a plant could get, each as a change of the plant.
 * Page: docs/overflow.md.
 */
#ifndef SIM_SAFEGUARD_ADD_H
#define SIM_SAFEGUARD_ADD_H

#include "overflow.h"
#include "phrase.h"

/* Adds one to `p` and says so in `words`; false, and nothing changed, where it is there already, does not
 * fit or is of no use.  `f`: what was found of the plant as it is. */
bool safeguard_add(enum safeguard_kind kind, struct plant *p, const struct overflow_found *f,
                   struct phrase *words);

#endif
