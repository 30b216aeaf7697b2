/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * cases_gather: the stores of all parts as one, see docs/campaigns.md.
 */
#include <stdlib.h>
#include <string.h>

#include "cases_inner.h"
#include "text.h"

static enum status say(char words[CASES_WORDS], const struct cases_file *f, const char *why)
{
    char shown[RESULTS_PATH];
    snprintf(words, CASES_WORDS, "%s: %s", text_escape(f->folder, shown, sizeof shown), why);
    return STATUS_NO_INPUT;
}

/* All but which part it is must be the same as in `wanted`. */
static enum status like(const struct cases_file *f, struct cases_header *wanted,
                        char words[CASES_WORDS])
{
    char why[CASES_WORDS];
    wanted->part = f->header.part;
    const char *objected = cases_objection(&f->header, wanted, why);
    if (objected)
        return say(words, f, objected);
    if (f->header.part < 1 || f->header.part > f->header.parts || f->header.parts > CASES_PARTS_MAX)
        return say(words, f, "it is damaged");
    return STATUS_OK;
}

static enum status twice(const struct cases_file *f, const struct cases_file *g,
                         char words[CASES_WORDS])
{
    char why[RESULTS_PATH + 64] = "", shown[RESULTS_PATH];
    text_append(why, sizeof why, "is part %d of %d, and so is %s", f->header.part, f->header.parts,
                text_escape(g->folder, shown, sizeof shown));
    return say(words, f, why);
}

static enum status missing(const bool there[], int parts, char words[CASES_WORDS])
{
    char list[CASES_WORDS / 2] = "";
    int n = 0;
    for (int p = 1; p <= parts; p++)
        if (!there[p])
            text_append(list, sizeof list, "%s%d", n++ > 0 ? ", " : "", p);
    if (n == 0)
        return STATUS_OK;
    snprintf(words, CASES_WORDS, "part%s %s of %d %s missing", n == 1 ? "" : "s", list, parts,
             n == 1 ? "is" : "are");
    return STATUS_NO_INPUT;
}

static enum status complete(const struct cases *k, char words[CASES_WORDS])
{
    bool there[CASES_PARTS_MAX + 1] = { false };
    for (int i = 0; i < k->files; i++) {
        const struct cases_file *f = &k->file[i];
        for (int j = 0; there[f->header.part] && j < i; j++)
            if (k->file[j].header.part == f->header.part)
                return twice(f, &k->file[j], words);
        there[f->header.part] = true;
    }
    TRY(missing(there, k->file[0].header.parts, words));
    for (int i = 0; i < k->files; i++)
        if (!k->file[i].finished)
            return say(words, &k->file[i],
                       "is not finished, or damaged: the same command as before, with --resume, "
                       "goes on with it");
    return STATUS_OK;
}

static enum status read_all(struct cases *k, const char *const folders[], int count,
                            char words[CASES_WORDS])
{
    struct cases_header wanted;
    for (int i = 0; i < count; i++) {
        k->files = i + 1;
        TRY(cases_file_read(&k->file[i], folders[i], words));
        if (i == 0) { /* of this program: its file is looked at once, not for each part */
            wanted = k->file[0].header;
            cases_this_program(&wanted);
        }
        TRY(like(&k->file[i], &wanted, words));
    }
    return complete(k, words);
}

enum status cases_gather(struct cases **out, const char *const folders[], int count,
                         struct cases_of *of, char words[CASES_WORDS])
{
    struct cases *k = cases_create(count);
    snprintf(words, CASES_WORDS, "%s", status_words(STATUS_MEMORY));
    if (!k)
        return STATUS_MEMORY;
    const enum status status = read_all(k, folders, count, words);
    if (status != STATUS_OK) {
        cases_free(k);
        return status;
    }
    k->part = k->parts = 1;
    const struct cases_header *h = &k->file[0].header;
    *of = (struct cases_of){ .verb = h->verb, .file = h->file, .part = 1, .parts = 1 };
    memcpy(of->options, h->options, sizeof of->options);
    *out = k;
    return STATUS_OK;
}
