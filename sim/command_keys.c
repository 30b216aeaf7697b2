/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * command_keys: every key that a scenario may have, from the same tables that read it.
 * Page: docs/keys.md, which is its output.
 */
#include "command.h"
#include "manual.h"

enum status command_keys(const struct options *o)
{
    manual_write(stdout);
    if (!o->quiet)
        fputs("Next: leat new NAME\n", stderr);
    return STATUS_OK;
}
