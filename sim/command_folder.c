/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * command_folder: what verbs that leave a folder share.  Page: docs/results.md.
 */
#include <stdio.h>

#include "command.h"
#include "render.h"
#include "results.h"
#include "text.h"

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
