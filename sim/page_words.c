/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * page_words: the cautions, all of them, and the terms that a page uses, from the pages in docs/
 * that are compiled in.  Page: docs/page.md.
 */
#include <ctype.h>
#include <stdlib.h>
#include <string.h>

#include "embed.h"
#include "memory.h"
#include "page.h"

enum { TERM = 80 };

/* The next paragraph that is no heading, its bytes in *size; NULL at the end. */
static const char *next_paragraph(const char **at, size_t *size)
{
    for (;;) {
        *at += strspn(*at, "\n");
        if (**at == '\0')
            return NULL;
        const char *start = *at, *end = strstr(start, "\n\n");
        *size = end ? (size_t)(end - start) : strlen(start);
        *at = start + *size;
        while (*size > 0 && start[*size - 1] == '\n')
            --*size;
        if (start[0] != '#')
            return start;
    }
}

void page_cautions(struct page *p)
{
    const struct embedded *page = embed_find(embedded_pages, "cautions.md");
    const char *at = page ? page->text : "", *text;
    size_t size;
    while ((text = next_paragraph(&at, &size)) != NULL) {
        fputs("<p>", p->out);
        page_prose(p->out, text, size);
        fputs("</p>\n", p->out);
    }
}

/* ---- words ------------------------------------------------------------------------------------
 */

/* The words of a page without its tags, in small letters. */
static char *without_tags(const char *body)
{
    char *out = memory_zeroed(strlen(body) + 1);
    size_t n = 0;
    bool tag = false;
    for (const char *p = body; out && *p != '\0'; p++) {
        if (*p == '<' || *p == '>')
            tag = *p == '<';
        if (!tag)
            out[n++] = *p == '>' ? ' ' : (char)tolower((unsigned char)*p);
    }
    if (out)
        out[n] = '\0';
    return out;
}

static bool is_letter(char c)
{
    return isalnum((unsigned char)c);
}

/* Whether a word stands in the text, alone or with an s. */
static bool is_used(const char *text, const char *word)
{
    const size_t n = strlen(word);
    for (const char *p = text; n > 0 && (p = strstr(p, word)) != NULL; p++)
        if ((p == text || !is_letter(p[-1])) &&
            (!is_letter(p[n]) || (p[n] == 's' && !is_letter(p[n + 1]))))
            return true;
    return false;
}

/* "**Chloramine, chlorine.** What ..." is used if any of its words is; what stands in brackets is
 * none. */
static bool is_term_used(const char *text, const char *entry, size_t size)
{
    const char *end = memmem(entry, size, ".**", 3);
    char term[TERM], *rest = NULL;
    if (strncmp(entry, "**", 2) != 0 || !end || end - entry >= TERM)
        return false;
    snprintf(term, sizeof term, "%.*s", (int)(end - entry - 2), entry + 2);
    term[strcspn(term, "(")] = '\0';
    for (char *p = term; *p != '\0'; p++)
        *p = (char)tolower((unsigned char)*p);
    for (char *word = strtok_r(term, ",", &rest); word; word = strtok_r(NULL, ",", &rest)) {
        word += strspn(word, " ");
        for (size_t n = strlen(word); n > 0 && word[n - 1] == ' '; n--)
            word[n - 1] = '\0';
        if (is_used(text, word))
            return true;
    }
    return false;
}

void page_words(struct page *p, const char *body)
{
    const struct embedded *page = embed_find(embedded_pages, "glossary.md");
    const char *at = page ? page->text : "", *entry;
    char *text = without_tags(body);
    size_t size;
    if (!text)
        return;
    fputs("<dl class=\"words\">\n", p->out);
    while ((entry = next_paragraph(&at, &size)) != NULL) {
        if (!is_term_used(text, entry, size))
            continue;
        const char *end = memmem(entry, size, ".**", 3);
        fputs("<dt>", p->out);
        page_prose(p->out, entry + 2, (size_t)(end - entry) - 2);
        fputs("</dt><dd>", p->out);
        end += 3;
        end += *end == ' ' || *end == '\n';
        page_prose(p->out, end, size - (size_t)(end - entry));
        fputs("</dd>\n", p->out);
    }
    fputs("</dl>\n", p->out);
    free(text);
}
