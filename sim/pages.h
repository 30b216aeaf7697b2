/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * pages: the manual page and the completion of the shell, made from the tables of verbs, options, statuses and
 * scenarios, so that they cannot differ from the program.  Page: docs/commands.md.
 */
#ifndef SIM_PAGES_H
#define SIM_PAGES_H

#include <stdio.h>

/* leat(1), in the man macros; the date ("2026-11-29") stands in its head. */
void pages_man(FILE *out, const char *date);

/* The completion for bash, a script that is sourced. */
void pages_bash(FILE *out);

#endif
