/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * command_life: when each consumable ends, and why.  Page: docs/life.md.
 */
#include "command.h"

#include <stdlib.h>

#include "lives.h"
#include "progress.h"
#include "render.h"
#include "resolved.h"
#include "screen.h"

static enum status complain(const char *words, enum status status)
{
    fprintf(stderr, "leat life: %s\n", words[0] ? words : status_words(status));
    return status;
}

/* ---- telling ----------------------------------------------------------------------------------
 */

static enum status tell(const struct lives *l, const struct options *o)
{
    if (o->format == FORMAT_JSON)
        return command_tell_json(lives_json(l));
    char file[4096];
    lives_print(l, stdout);
    if (o->output)
        printf("\nResults: %s/\n", screen_argument(o->output, file, sizeof file));
    putchar('\n');
    command_say_run(o->operand);
    putchar('\n');
    return STATUS_OK;
}

/* ---- the folder -------------------------------------------------------------------------------
 */

static enum status draw(struct results *r)
{
    struct drawing d = { .stop = &command_stop };
    TRY(render_figures(r->temporary, &d));
    command_drawn("life", r, &d);
    return STATUS_OK;
}

static enum status write_words(const struct lives *l, struct results *r)
{
    FILE *f = results_file(r, "life.txt");
    if (!f)
        return STATUS_IO;
    lives_print(l, f);
    return STATUS_OK;
}

static enum status fill(const struct lives *l, const struct options *o, struct results *r,
                        char words[RESULTS_WORDS])
{
    enum status status = lives_files(l, r);
    if (status == STATUS_OK)
        status = write_words(l, r);
    if (status == STATUS_OK)
        status = resolved_keep(l->scenario, r);
    if (status == STATUS_OK)
        status = results_flush(r);
    if (status == STATUS_OK)
        status = draw(r);
    return command_close_folder(r, status, o->seed, words);
}

static enum status find_and_tell(const struct scenario *s, const struct options *o,
                                 struct results *r)
{
    struct lives *l = calloc(1, sizeof *l);
    if (!l) {
        if (r)
            results_abandon(r);
        return STATUS_MEMORY;
    }
    struct progress progress;
    progress_begin(&progress, !o->quiet);
    const struct lives_options options = { .samples = o->samples ? o->samples : LIVES_SAMPLES,
                                           .seed = o->seed,
                                           .file = o->operand,
                                           .sets = o->sets,
                                           .crew = { .jobs = o->jobs,
                                                     .progress = progress_show,
                                                     .progress_self = &progress,
                                                     .stop = &command_stop } };
    char words[RESULTS_WORDS] = "";
    enum status status = lives_find(l, s, &options);
    progress_end(&progress);
    if (r && status == STATUS_OK)
        status = fill(l, o, r, words);
    else if (r)
        results_abandon(r);
    if (words[0] != '\0')
        complain(words, status);
    if (status == STATUS_OK)
        status = tell(l, o);
    lives_free(l);
    free(l);
    return status;
}

/* The folder is made before the work is done. */
static enum status answer(const struct scenario *s, const struct options *o)
{
    if (!o->output)
        return find_and_tell(s, o, NULL);
    struct results *r = calloc(1, sizeof *r);
    if (!r)
        return STATUS_MEMORY;
    enum status status = command_open_folder("life", o->output, o->force, r);
    if (status == STATUS_OK)
        status = find_and_tell(s, o, r);
    free(r);
    return status;
}

static enum status answer_or_complain(const struct scenario *s, const struct options *o)
{
    const enum status status = answer(s, o);
    return status == STATUS_OK ? status : complain("", status);
}

enum status command_life(const struct options *o)
{
    return command_with_scenario(o, "life", answer_or_complain);
}
