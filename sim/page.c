/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * page: puts the page together: head, policy, contents, a section for each folder, and what holds
 * for all.  Page: docs/page.md.
 */
#include "page.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "embed.h"
#include "memory.h"
#include "screen.h"
#include "text.h"
#include "units.h"

static const char STYLE[] = "page.css";

/* ---- the frame --------------------------------------------------------------------------------
 */

/* Every style sheet, script, picture and form is forbidden, but for our one style sheet and, if
 * there is one, bitmaps that lie in the page. */
static void put_policy(const struct page *p, FILE *out, const struct embedded *style)
{
    char hash[PAGE_HASH];
    page_policy_hash(style->text, style->size, hash);
    fprintf(out,
            "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src "
            "'%s'; %s"
            "base-uri 'none'; form-action 'none'\" />\n",
            hash, p->bitmap ? "img-src data:; " : "");
}

static const char *title_of(const struct page_part *part)
{
    return part->title[0] ? part->title : "A scenario without a title";
}

static void put_head(const struct page *p, FILE *out, const struct page_part *part)
{
    const struct embedded *style = embed_find(embedded_pages, STYLE);
    fputs("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\" />\n", out);
    put_policy(p, out, style);
    fputs("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\" />\n"
          "<meta name=\"color-scheme\" content=\"light dark\" />\n"
          "<meta name=\"referrer\" content=\"no-referrer\" />\n<title>",
          out);
    page_text(out, title_of(part));
    fputs(": report of a simulation</title>\n<style>", out);
    fwrite(style->text, 1, style->size, out);
    fputs("</style>\n</head>\n<body>\n<a class=\"skip\" href=\"#main\">Skip to the report</a>\n",
          out);
}

/* "365 days from 2026-01-01" */
static void put_span(FILE *out, const struct page_part *part)
{
    char span[SCREEN_CELL];
    if (isfinite(part->length) && part->length > 0.0 && part->start[0] != '\0') {
        fprintf(out, "%s from ", screen_span(part->length, span));
        page_text(out, part->start);
        fputs(". ", out);
    }
}

static void put_masthead(FILE *out, const struct page_part *part)
{
    const char *version = json_string_value(json_object_get(part->manifest, "version"));
    fputs("<header>\n<p class=\"kind\">Report of a simulation</p>\n<h1>", out);
    page_text(out, title_of(part));
    fputs("</h1>\n<p>", out);
    put_span(out, part);
    fputs("Simulated with leat ", out);
    page_text(out, version ? version : "of an unknown version");
    fputs(". Nothing on this page was measured.</p>\n</header>\n", out);
}

/* Several sections of one verb are numbered. */
static void put_heading(FILE *out, const struct page_part *const parts[], int i)
{
    int before = 0, all = 0;
    char shown[4 * RESULTS_NAME];
    for (int k = 0; parts[k] != NULL; k++)
        if (parts[k]->kind == parts[i]->kind) {
            all++;
            before += k < i;
        }
    page_text(out, parts[i]->kind->heading);
    if (all > 1) {
        snprintf(shown, sizeof shown, " (%d)", before + 1);
        page_text(out, shown);
    }
}

static const struct {
    const char *id, *heading;
} closing[] = { { "values", "What was assumed" },
                { "trust", "How sure is this" },
                { "cautions", "Cautions" },
                { "words", "Words" },
                { "making", "How this was made" } };
enum { CLOSING = sizeof closing / sizeof *closing };

static void put_contents(FILE *out, const struct page_part *const parts[], int count)
{
    fputs("<nav aria-label=\"Contents\">\n<ul>\n", out);
    for (int i = 0; i < count; i++) {
        fprintf(out, "<li><a href=\"#s%d\">", i + 1);
        put_heading(out, parts, i);
        fputs("</a></li>\n", out);
    }
    for (int i = 0; i < CLOSING; i++)
        fprintf(out, "<li><a href=\"#%s\">%s</a></li>\n", closing[i].id, closing[i].heading);
    fputs("</ul>\n</nav>\n", out);
}

/* ---- sections ---------------------------------------------------------------------------------
 */

/* Whether both tell of the same scenario, to the last bit. */
static bool same_scenario(const struct page_part *a, const struct page_part *b)
{
    const struct page_file *x = page_folder_file(a, "scenario.resolved.cfg");
    const struct page_file *y = page_folder_file(b, "scenario.resolved.cfg");
    return x && y && x->size == y->size && memcmp(x->bytes, y->bytes, x->size) == 0;
}

static void put_other(struct page *p, const struct page_part *const parts[], int i)
{
    if (i == 0 || same_scenario(parts[0], parts[i]))
        return;
    fputs("<p class=\"warn\"><strong>Another scenario.</strong> This section was not made from the "
          "values of the "
          "first one",
          p->out);
    if (strcmp(parts[i]->title, parts[0]->title) != 0) {
        fputs(", but from ", p->out);
        page_text(p->out, title_of(parts[i]));
    }
    fputs(".</p>\n", p->out);
}

/* What was printed and drawn stays as it was; tables are made here. */
static void put_taste(struct page *p, const struct page_part *part)
{
    static const char *const names[] = { [TASTE_METRIC] = "metric", [TASTE_US] = "in US units" };
    const char *shown = json_string_value(json_object_get(part->manifest, "shown_in"));
    const bool us = shown && strcmp(shown, units_taste_name(TASTE_US)) == 0;
    const enum taste theirs = us ? TASTE_US : TASTE_METRIC;
    if (theirs != units_taste())
        fprintf(p->out,
                "<p class=\"warn\"><strong>Other units.</strong> Words and pictures that stand in "
                "this folder are %s, the tables here are %s.</p>\n",
                names[theirs], names[units_taste()]);
}

static void put_stopped(struct page *p, const struct page_part *part)
{
    const char *status = json_string_value(json_object_get(part->json, "status"));
    if (status && strcmp(status, "complete") != 0)
        fputs("<p class=\"warn\"><strong>Not to the end.</strong> This run was stopped early; what "
              "would have come "
              "later is not in here.</p>\n",
              p->out);
}

static void put_broken(struct page *p, const struct page_part *part)
{
    if (json_integer_value(json_object_get(part->json, "limits_broken")) > 0)
        fputs("<p class=\"warn\"><strong>A limit of the scenario was broken.</strong> The answer "
              "says "
              "which, under Limits.</p>\n",
              p->out);
}

static bool put_section(struct page *p, const struct page_part *const parts[], int i)
{
    const struct page_part *part = parts[i];
    const bool run = part->kind == &page_kinds[0];
    fprintf(p->out, "<section id=\"s%d\" aria-labelledby=\"s%d-h\">\n<h2 id=\"s%d-h\">", i + 1,
            i + 1, i + 1);
    put_heading(p->out, parts, i);
    fputs("</h2>\n", p->out);
    put_other(p, parts, i);
    put_taste(p, part);
    put_stopped(p, part);
    put_broken(p, part);
    fputs("<h3>The question</h3>\n<p class=\"question\">", p->out);
    page_text(p->out, part->kind->question);
    fputs("</p>\n<h3>The answer in words</h3>\n", p->out);
    page_answer(p, part);
    for (const struct page_table *t = part->kind->tables; t->file; t++)
        page_csv(p, part, t);
    page_printed(p, part);
    if (run) {
        page_replacements(p, part);
        page_cost(p, part);
    }
    if (page_folder_has_figures(part))
        fputs("<h3>Figures</h3>\n", p->out);
    if (!page_figures(p, part, i + 1))
        return false;
    if (run) {
        page_events(p, part);
        page_balance(p, part);
    }
    fputs("</section>\n", p->out);
    return true;
}

/* ---- how it was made --------------------------------------------------------------------------
 */

static void making_row(struct page *p, const struct page_part *part)
{
    const json_t *m = part->manifest;
    char seed[SCREEN_CELL];
    const char *version = json_string_value(json_object_get(m, "version"));
    const char *compiler = json_string_value(json_object_get(m, "compiler"));
    snprintf(seed, sizeof seed, "%" JSON_INTEGER_FORMAT,
             json_integer_value(json_object_get(m, "seed")));
    const char *cells[] = { part->kind->heading,      part->kind->verb,
                            version ? version : "",   seed,
                            compiler ? compiler : "", part->fingerprint };
    page_table_row(p, cells, 6, "lllrll");
}

void page_making(struct page *p, const struct page_part *const parts[], int count)
{
    static const char *const heads[] = { "section",  "made by leat",
                                         "version",  "seed",
                                         "compiler", "fingerprint (SHA-256 of manifest.json)",
                                         NULL };
    fputs("<p>Every number on this page is from files that the program left; their hashes were "
          "compared before "
          "anything was believed. The same scenario, seed and program give the same bytes again, "
          "and this page the "
          "same bytes: there is no clock in it. The dates are those of the scenario.</p>\n",
          p->out);
    page_table_head(p, "What the sections were made from", heads, "lllrll");
    for (int i = 0; i < count; i++)
        making_row(p, parts[i]);
    page_table_end(p);
}

/* ---- all --------------------------------------------------------------------------------------
 */

static void open_closing(FILE *out, int i)
{
    fprintf(out, "<section id=\"%s\" aria-labelledby=\"%s-h\">\n<h2 id=\"%s-h\">%s</h2>\n",
            closing[i].id, closing[i].id, closing[i].id, closing[i].heading);
}

/* Those before the words. */
static void put_closing(struct page *p, const struct page_part *const parts[], int count)
{
    open_closing(p->out, 0);
    page_values(p, parts[0]);
    fputs("</section>\n", p->out);
    open_closing(p->out, 1);
    page_trust(p, parts, count);
    fputs("</section>\n", p->out);
    open_closing(p->out, 2);
    page_cautions(p);
    fputs("</section>\n", p->out);
}

static void put_end(struct page *p, const struct page_part *const parts[], int count,
                    const char *body)
{
    open_closing(p->out, 3);
    page_words(p, body);
    fputs("</section>\n", p->out);
    open_closing(p->out, 4);
    page_making(p, parts, count);
    fputs("</section>\n", p->out);
}

static void put_foot(FILE *out)
{
    fputs(
        "</main>\n<footer>\n<p>A simulation is no substitute for an independent physical "
        "safeguard. Local codes "
        "and licensed trades come first in plumbing and wiring.</p>\n</footer>\n</body>\n</html>\n",
        out);
}

/* The sections first: what stands in them decides what the head allows and which words are
 * explained. */
static enum status put_all(struct page *p, const struct page_part *const parts[], int count,
                           FILE *out)
{
    char *body = NULL;
    size_t size = 0;
    p->out = memory_stream(&body, &size);
    if (!p->out)
        return STATUS_MEMORY;
    bool fine = true;
    for (int i = 0; fine && i < count; i++)
        fine = put_section(p, parts, i);
    put_closing(p, parts, count);
    const bool closed = fclose(p->out) == 0;
    p->out = out;
    if (fine && closed) {
        put_head(p, out, parts[0]);
        put_masthead(out, parts[0]);
        put_contents(out, parts, count);
        fputs("<main id=\"main\" tabindex=\"-1\">\n", out);
        fwrite(body, 1, size, out);
        put_end(p, parts, count, body);
        put_foot(out);
    }
    free(body);
    return !closed ? STATUS_MEMORY : fine ? STATUS_OK : STATUS_NO_INPUT;
}

enum status page_write(const struct page_part *const parts[], int count, char **bytes, size_t *size,
                       char words[PAGE_WORDS])
{
    struct page *p = calloc(1, sizeof *p);
    *bytes = NULL;
    words[0] = '\0';
    FILE *out = p ? memory_stream(bytes, size) : NULL;
    enum status status = out ? put_all(p, parts, count, out) : STATUS_MEMORY;
    if ((out && fclose(out) != 0) || memory_is_short())
        status = STATUS_MEMORY;
    if (status != STATUS_OK) {
        text_copy(words, PAGE_WORDS, p && p->why[0] ? p->why : status_words(status));
        free(*bytes);
        *bytes = NULL;
    }
    free(p);
    return status;
}
