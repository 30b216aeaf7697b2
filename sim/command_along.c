/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * command_along: what does each part of the line do to the water?
 */
#include "command.h"

enum status command_along(const struct options *o)
{
    return command_with_scenario(o, "along", command_film);
}
