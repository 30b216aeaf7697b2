/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * stage: the list of stage kinds and look-up by name.  Page: docs/architecture.md.
 * A new kind is one file with its row, its members in the unions of stage.h, and one line here.
 */
#include "stage.h"

#include <stddef.h>
#include <string.h>

const struct stage_kind *const stage_kinds[] = {
    &stage_sediment, &stage_carbon, &stage_pump, &stage_membrane, &stage_resin, NULL,
};

const struct stage_kind *stage_kind_named(const char *name)
{
    for (int i = 0; stage_kinds[i]; i++)
        if (strcmp(stage_kinds[i]->name, name) == 0)
            return stage_kinds[i];
    return NULL;
}
