/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * later: keys and words of a scenario that are planned, but not in this version.
 */
#ifndef SIM_LATER_H
#define SIM_LATER_H

#include <stdbool.h>

bool later_key(const char *group, const char *key);
bool later_word(const char *key, const char *word);

#endif
