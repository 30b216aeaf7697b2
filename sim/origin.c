/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * origin: see origin.h.  Page: docs/results.md.
 */
#include "origin.h"

#include "cell.h"

#include <string.h>

enum { WORDS = 300 };

static void place_words(const struct place *at, const char *file, char words[WORDS])
{
    const char *slash = at->file ? strrchr(at->file, '/') : NULL;
    const char *base = slash ? slash + 1 : at->file ? at->file : "";
    if (!at->file || strcmp(at->file, file) == 0)
        snprintf(words, WORDS, "line %d of the scenario", at->line);
    else
        snprintf(words, WORDS, "line %d of %s", at->line, base);
}

static const char *origin_of(const struct value *v)
{
    switch (v->origin) {
    case ORIGIN_FILE:
        return "given";
    case ORIGIN_COMMAND_LINE:
        return "changed";
    case ORIGIN_PART:
        return "part";
    case ORIGIN_DEFAULT:
        return "default";
    case ORIGIN_COMPUTED:
        return "computed";
    }
    return "";
}

void origin_write(const struct values *values, const char *file, FILE *out)
{
    fputs("path,value,origin,words,quantity,SI\n", out);
    for (int i = 0; i < values->count; i++) {
        const struct value *v = &values->list[i];
        char words[WORDS] = "";
        if (v->origin == ORIGIN_FILE)
            place_words(&v->place, file, words);
        cell_text(out, v->path);
        fputc(',', out);
        cell_text(out, v->text);
        fprintf(out, ",%s,", origin_of(v));
        cell_text(out, words[0] != '\0'                   ? words
                       : v->origin == ORIGIN_COMMAND_LINE ? "by --set"
                                                          : v->source);
        if (v->ours) /* nobody's own words: a page may show it in other units */
            fprintf(out, ",%s,%.9g\n", units_dimension_name(v->dimension), v->si);
        else
            fputs(",,\n", out);
    }
}
