/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * rows: CSV lines, cut in place.  Page: docs/figures.md.
 *
 * Takes what the engine writes: commas, fields in double quotes with doubled quotes inside, no line
 * feeds in a field.
 */
#include "rows.h"

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "memory.h"

static atomic_bool failed;

bool rows_failed(void)
{
    return failed;
}

/* A table that cannot be read would pass for one that is not there, or that is short. */
static void note(bool bad)
{
    if (errno == ENOMEM)
        memory_ran_out();
    else if (bad)
        failed = true;
}

bool rows_open(struct rows *c, int dir, const char *name)
{
    struct stat info;
    const int file = openat(dir, name, O_RDONLY | O_CLOEXEC | O_NONBLOCK);

    *c = (struct rows){ .file = NULL };
    if (file < 0) {
        note(errno != ENOENT);
        return false;
    }
    errno = 0;
    if (fstat(file, &info) != 0 || !S_ISREG(info.st_mode) || !(c->file = fdopen(file, "r"))) {
        note(errno != 0);
        close(file);
        return false;
    }
    return true;
}

void rows_close(struct rows *c)
{
    if (c->file)
        fclose(c->file);
    free(c->line);
    *c = (struct rows){ .file = NULL };
}

/* Takes a field off the line and returns what follows its comma, or NULL at the end. */
static char *take_field(char *at, char **field)
{
    if (*at != '"') {
        *field = at;
        at += strcspn(at, ",");
    } else {
        char *to = at;
        *field = at++;
        while (*at && (*at != '"' || at[1] == '"')) {
            at += *at == '"'; /* a doubled quote is one */
            *to++ = *at++;
        }
        at += *at == '"';
        const size_t rest = strcspn(at, ",");
        at += rest;
        if (to != at) {
            const char end = *at;
            *to = '\0';
            return end ? at + 1 : NULL;
        }
    }
    if (!*at)
        return NULL;
    *at = '\0';
    return at + 1;
}

bool rows_next(struct rows *c)
{
    errno = 0;
    const ssize_t length = getline(&c->line, &c->capacity, c->file);
    note(length < 0 && ferror(c->file));

    c->fields = 0;
    c->comment = NULL;
    if (length < 0)
        return false;
    if (memchr(c->line, '\0', (size_t)length) != NULL)
        return true; /* a damaged line has no fields: a number would end in its middle */
    c->line[strcspn(c->line, "\r\n")] = '\0';
    if (c->line[0] == '#') {
        c->comment = c->line + 1;
        return true;
    }
    for (char *at = c->line[0] ? c->line : NULL; at && c->fields < ROWS_FIELDS_MAX;)
        at = take_field(at, &c->field[c->fields++]);
    return true;
}

void rows_columns(const struct rows *c, const char *const name[], int names, int column[])
{
    for (int i = 0; i < names; i++) {
        column[i] = -1;
        for (int j = 0; j < c->fields && column[i] < 0; j++)
            if (strcmp(c->field[j], name[i]) == 0)
                column[i] = j;
    }
}

bool rows_header(struct rows *c, const char *const name[], int names, int column[])
{
    do
        if (!rows_next(c))
            return false;
    while (c->fields == 0);

    c->columns = c->fields;
    rows_columns(c, name, names, column);
    return true;
}

double rows_number(const struct rows *c, int column)
{
    const bool cut = c->fields < c->columns && column == c->fields - 1;
    if (column < 0 || column >= c->fields || cut)
        return NAN;

    char *end;
    const double value = strtod(c->field[column], &end);
    return end == c->field[column] || !isfinite(value) ? NAN : value;
}
