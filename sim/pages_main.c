/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * pages_main: the program leat_pages, which the build runs: writes leat.1 and leat.bash into a
 * folder.  It is not installed. leat_pages FOLDER DATE
 */
#include <stdio.h>
#include <string.h>

#include "command.h"
#include "pages.h"
#include "text.h"

volatile sig_atomic_t command_stop; /* the verbs are linked in, none is run */

enum { PATH_ROOM = 4096 };

static FILE *open_in(const char *folder, const char *name)
{
    char path[PATH_ROOM] = "";
    FILE *out = text_append(path, sizeof path, "%s/%s", folder, name) ? fopen(path, "w") : NULL;
    if (!out)
        perror(path);
    return out;
}

static enum status close_out(FILE *out)
{
    const bool bad = ferror(out) != 0;
    return fclose(out) != 0 || bad ? STATUS_IO : STATUS_OK;
}

static enum status write_pages(const char *folder, const char *date)
{
    FILE *out = open_in(folder, "leat.1");
    if (!out)
        return STATUS_NO_OUTPUT;
    pages_man(out, date);
    TRY(close_out(out));
    out = open_in(folder, "leat.bash");
    if (!out)
        return STATUS_NO_OUTPUT;
    pages_bash(out);
    return close_out(out);
}

int main(int argc, char *argv[])
{
    if (argc != 3) {
        fputs("usage: leat_pages FOLDER DATE\n", stderr);
        return status_exit(STATUS_USAGE);
    }
    return status_exit(write_pages(argv[1], argv[2]));
}
