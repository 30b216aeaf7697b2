/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * command_folder: what verbs that leave a folder share.  Page: docs/results.md.
 */
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

#include "command.h"
#include "render.h"
#include "results.h"
#include "screen.h"
#include "text.h"

enum { NAMES_TRIED = 100 };

enum status command_open_folder(const char *verb, const char *target, bool force, struct results *r)
{
    char words[RESULTS_WORDS];
    if (!target)
        return STATUS_OK;
    const enum status status = results_open(r, target, force, words);
    if (words[0] != '\0')
        fprintf(stderr, "leat %s: %s\n", verb, words);
    return status;
}

void command_drawn(const char *verb, struct results *r, struct drawing *d)
{
    if (d->stopped) { /* half a set of pictures is none */
        results_drop(r, "figures");
        fprintf(stderr,
                "leat %s: interrupted while drawing: the folder is whole, without pictures\n",
                verb);
        *d = (struct drawing){ .stopped = true };
    } else {
        results_add_all(r, "figures");
    }
    if (d->trouble)
        fprintf(stderr, "leat %s: %s\n", verb, d->trouble);
}

enum status command_close_folder(struct results *r, enum status status, unsigned long seed,
                                 char words[])
{
    words[0] = '\0';
    if (status == STATUS_OK)
        return results_commit(r, seed, words);
    status = results_explain(r, status, words);
    results_abandon(r);
    return status;
}

void command_tell_folder(const struct results *r, const struct drawing *d)
{
    char folder[RESULTS_PATH];
    text_escape(r->final, folder, sizeof folder);
    printf("\nResults: %s/\n", folder);
    if (d->drawn > 0)
        printf("Pictures: %s/figures/ (%d)\n", folder, d->drawn);
    if (d->note)
        printf("Pictures: %s\n", d->note);
}

/* "line/pond.cfg" leaves its results in "pond-results", where the person stands. */
void command_results_of(const char *file, char out[])
{
    const char *slash = strrchr(file, '/');
    const char *base = slash ? slash + 1 : file;
    const char *dot = strrchr(base, '.');
    const int length = dot && dot != base ? (int)(dot - base) : (int)strlen(base);
    out[0] = '\0';
    text_append(out, RESULTS_PATH, "%.*s-results", length, base);
}

void command_room(const char *name, char out[])
{
    struct stat there;
    text_copy(out, RESULTS_PATH, name);
    for (int n = 2; n < NAMES_TRIED && lstat(out, &there) == 0; n++) {
        out[0] = '\0';
        text_append(out, RESULTS_PATH, "%s-%d", name, n);
    }
}

void command_say_run(const char *file)
{
    char usual[RESULTS_PATH], room[RESULTS_PATH], quoted[RESULTS_PATH];
    printf("Next: leat run %s", screen_argument(file, quoted, sizeof quoted));
    command_results_of(file, usual);
    command_room(usual, room);
    if (strcmp(room, usual) != 0)
        printf(" -o %s", screen_argument(room, quoted, sizeof quoted));
}
