/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * command_report: one page from the folders of a run and of other verbs.  Page: docs/page.md.
 */
#include "command.h"

#include <stdlib.h>
#include <string.h>

#include "page.h"
#include "screen.h"
#include "text.h"

struct session {
    const struct options *options;
    struct page_part *part; /* as many as operands */
    const struct page_part
        *order[PAGE_PARTS_MAX + 1]; /* as they stand in the page, ended by NULL */
    int count;
    char target[RESULTS_PATH];
    char words[PAGE_WORDS];
};

static enum status complain(const char *words, enum status status)
{
    fprintf(stderr, "leat report: %s\n", words[0] ? words : status_words(status));
    return status;
}

/* ---- the name ---------------------------------------------------------------------------------
 */

/* "results/pond/" leaves "results/pond.html". */
static enum status choose_target(struct session *s)
{
    const char *given = s->options->output ? s->options->output : s->order[0]->folder;
    bool fits = text_copy(s->target, sizeof s->target, given);
    if (!s->options->output) {
        for (size_t n = strlen(s->target); n > 1 && s->target[n - 1] == '/'; n--)
            s->target[n - 1] = '\0';
        const char *slash = strrchr(s->target, '/');
        const char *base = slash ? slash + 1 : s->target;
        if (base[0] == '\0' || strcmp(base, ".") == 0 || strcmp(base, "..") == 0)
            return complain("that folder has no name of its own here: say -o FILE.html",
                            STATUS_USAGE);
        fits = text_append(s->target, sizeof s->target, ".html") && fits;
    }
    return fits ? STATUS_OK : complain("the name of the page is too long", STATUS_NO_OUTPUT);
}

/* ---- the folders ------------------------------------------------------------------------------
 */

static enum status read_parts(struct session *s)
{
    const struct options *o = s->options;
    if (o->operand_count > PAGE_PARTS_MAX)
        return complain("a page holds 16 folders at most", STATUS_USAGE);
    s->part = calloc((size_t)o->operand_count, sizeof *s->part);
    if (!s->part)
        return complain("", STATUS_MEMORY);
    for (; s->count < o->operand_count; s->count++) {
        const enum status status =
            page_folder_read(&s->part[s->count], o->operands[s->count], s->words);
        if (status != STATUS_OK)
            return complain(s->words, status);
    }
    return STATUS_OK;
}

/* The order of the page, whatever the order of the command line. */
static enum status sort_parts(struct session *s)
{
    int n = 0;
    for (const struct page_kind *k = page_kinds; k->verb; k++) {
        const int before = n;
        for (int i = 0; i < s->count; i++)
            if (s->part[i].kind == k)
                s->order[n++] = &s->part[i];
        if (n - before > 1 && !k->many) {
            snprintf(s->words, sizeof s->words, "two folders of leat %s; a page tells of one",
                     k->verb);
            return complain(s->words, STATUS_USAGE);
        }
    }
    return STATUS_OK;
}

/* ---- all --------------------------------------------------------------------------------------
 */

static void tell(const struct session *s, size_t size)
{
    char shown[RESULTS_PATH], argument[RESULTS_PATH];
    if (s->options->quiet)
        return;
    printf("Page: %s (%.1f MB, one file, no network)\n",
           text_escape(s->target, shown, sizeof shown), 1e-6 * (double)size);
    printf("Next: xdg-open %s\n", screen_argument(s->target, argument, sizeof argument));
}

static enum status make(struct session *s)
{
    char *bytes;
    size_t size;
    TRY(read_parts(s));
    TRY(sort_parts(s));
    TRY(choose_target(s));
    enum status status = page_write(s->order, s->count, &bytes, &size, s->words);
    if (status == STATUS_OK)
        status = page_save(s->target, s->options->force, bytes, size, s->words);
    free(bytes);
    if (status != STATUS_OK)
        return complain(s->words, status);
    tell(s, size);
    return STATUS_OK;
}

enum status command_report(const struct options *o)
{
    struct session *s = calloc(1, sizeof *s);
    if (!s)
        return complain("", STATUS_MEMORY);
    s->options = o;
    const enum status status = make(s);
    for (int i = 0; i < s->count; i++)
        page_folder_free(&s->part[i]);
    free(s->part);
    free(s);
    return status;
}
