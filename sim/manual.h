/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * manual: every key of a scenario and every generic part as tables, for docs/keys.md.
 */
#ifndef SIM_MANUAL_H
#define SIM_MANUAL_H

#include <stdio.h>

/* Writes the page; it follows from the field tables alone. */
void manual_write(FILE *out);

#endif
