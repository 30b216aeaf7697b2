/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * changes: see changes.h.
 */
#include "changes.h"

void changes_add(struct changes *c, const char *kind, const char *part, const char *words)
{
    if (c->count < CHANGES_MAX)
        c->change[c->count++] = (struct change){ kind, part, words };
}
