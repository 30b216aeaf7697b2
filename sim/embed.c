/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * embed: looking up a text file that was compiled in.  The arrays themselves are made by the build
 * (plots/embed.cmake) from plots/ and scenarios/.
 */
#include "embed.h"

#include <string.h>

const struct embedded *embed_find(const struct embedded list[], const char *name)
{
    for (const struct embedded *e = list; e->name; e++)
        if (strcmp(e->name, name) == 0)
            return e;
    return NULL;
}
