/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * command: one function a verb, one file a function.  Results go to stdout, talk to stderr.
 * Page: docs/commands.md.
 */
#ifndef SIM_COMMAND_H
#define SIM_COMMAND_H

#include <signal.h>

#include "options.h"

enum status command_new(const struct options *o);
enum status command_keys(const struct options *o);
enum status command_check(const struct options *o);
enum status command_run(const struct options *o);
enum status command_overflow(const struct options *o);
enum status command_away(const struct options *o);
enum status command_life(const struct options *o);
enum status command_sweep(const struct options *o);

/* The number of the signal that asked to stop, 0 as long as none did; set by main's handler. */
extern volatile sig_atomic_t command_stop;

#endif
