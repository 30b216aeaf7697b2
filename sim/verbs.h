/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * verbs: what leat can be asked, one row a verb; help, man page and completion follow from it.  Page:
 * docs/commands.md.
 */
#ifndef SIM_VERBS_H
#define SIM_VERBS_H

#include "options.h"

extern const struct verb verbs[];       /* ended by a NULL name */
extern const char *const verbs_later[]; /* known, but not there yet, ended by NULL */

#endif
