/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * any: a random scenario, written as people write them, from a seed.
 *
 * What may stand in a group comes from the tables of fields, which stages there are from the list
 * of kinds: a new key, stage kind or part is in it by itself.  Here is only what a table does not
 * say: which values must fit each other, and which group needs which part.  Most of what comes out
 * is valid; some is not, and must then be refused by a complaint.
 */
#ifndef TESTS_ANY_H
#define TESTS_ANY_H

#include "any_text.h"

void any_make(unsigned long seed, struct any_text *out);

#endif
