/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * memory: see memory.h.  The flag is of the whole process, as memory is; threads may set it.
 */
#include "memory.h"

#include <jansson.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>

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

/* ---- a stream into memory ---------------------------------------------------------------------
 */

struct growing {
    char **bytes;
    size_t *size, room; /* room: with the NUL behind them */
};

static ssize_t take(void *self, const char *bytes, size_t n)
{
    struct growing *g = self;
    if (*g->size + n >= g->room) {
        const size_t room = 2 * (*g->size + n) + 1;
        char *more = realloc(*g->bytes, room);
        if (!more) {
            memory_ran_out();
            return 0; /* an error of the stream */
        }
        *g->bytes = more;
        g->room = room;
    }
    memcpy(*g->bytes + *g->size, bytes, n);
    *g->size += n;
    (*g->bytes)[*g->size] = '\0';
    return (ssize_t)n;
}

static int done(void *self)
{
    free(self);
    return 0;
}

FILE *memory_stream(char **bytes, size_t *size)
{
    struct growing *g = malloc(sizeof *g);
    *bytes = calloc(1, 1);
    *size = 0;
    FILE *f = NULL;
    if (g && *bytes) {
        *g = (struct growing){ bytes, size, 1 };
        f = fopencookie(g, "w", (cookie_io_functions_t){ .write = take, .close = done });
    }
    if (f)
        return f;
    memory_ran_out();
    free(g);
    free(*bytes);
    *bytes = NULL;
    return NULL;
}
