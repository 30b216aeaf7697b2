/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * memory: see memory.h.  The flag is of the whole process, as memory is; threads may set it.
 */
#include "memory.h"

#include <jansson.h>
#include <stdatomic.h>
#include <stdlib.h>

static atomic_bool ran_out;

static void *allocate(size_t size)
{
    void *block = malloc(size);
    if (!block)
        memory_ran_out();
    return block;
}

void memory_watch(void)
{
    json_set_alloc_funcs(allocate, free);
}

void memory_ran_out(void)
{
    ran_out = true;
}

bool memory_is_short(void)
{
    return ran_out;
}
