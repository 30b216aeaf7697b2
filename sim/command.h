/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * command: one function a verb, one file a function.  Results go to stdout, talk to stderr.
 * Page: docs/commands.md.
 */
#ifndef SIM_COMMAND_H
#define SIM_COMMAND_H

#include <signal.h>

#include "cases.h"
#include "options.h"

enum status command_new(const struct options *o);
enum status command_keys(const struct options *o);
enum status command_check(const struct options *o);
enum status command_run(const struct options *o);
enum status command_overflow(const struct options *o);
enum status command_gather(const struct options *o);

/* The answer of leat overflow, with results kept in a store, or known from there; NULL: none. */
enum status command_overflow_of(const struct scenario *s, const struct options *o,
                                struct cases *cases);

/* The options that change it, as text for the store, and back; false if the text is none. */
void command_overflow_write(const struct options *o, char out[CASES_OPTIONS]);
bool command_overflow_read(struct options *o, const char *text);

/* The number of the signal that asked to stop, 0 as long as none did; set by main's handler. */
extern volatile sig_atomic_t command_stop;

#endif
