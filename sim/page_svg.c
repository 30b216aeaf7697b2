/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * page_svg: a figure on its way into a page.  Page: docs/page.md.  The only file that knows expat.
 *
 * The file is parsed as XML and written anew: elements and attributes that gnuplot uses pass, a few
 * are left out, anything else refuses the figure.  What is written cannot reach out of the page:
 * references point into the figure, and colours, paths and numbers hold no brackets but those of
 * rgb.
 */
#include <expat.h>
#include <string.h>

#include "page.h"
#include "text.h"

enum { DEEP_MAX = 64, NAME_ROOM = 80 };

static const char *const elements[] = { "svg",     "g",        "defs",    "circle",
                                        "path",    "rect",     "use",     "polygon",
                                        "line",    "text",     "pattern", "polyline",
                                        "ellipse", "clipPath", "tspan",   NULL };
/* With all that is in them. */
static const char *const dropped[] = { "title", "desc", "filter", NULL };

struct reading {
    XML_Parser parser;
    FILE *out;
    const struct page_picture *picture;
    int depth, skipping; /* elements open; of them in one that is left out */
    bool open, text;     /* a start tag without its end; in text */
    bool *bitmap;
    bool refused;
    char *why;
};

static void refuse(struct reading *r, const char *what, const char *name)
{
    char shown[NAME_ROOM];
    if (r->refused)
        return;
    r->refused = true;
    r->why[0] = '\0';
    text_append(r->why, PAGE_WORDS, "%s \"%s\", which no figure of this program has", what,
                text_escape(name, shown, sizeof shown));
    XML_StopParser(r->parser, XML_FALSE);
}

static bool one_of(const char *name, const char *const list[])
{
    for (int i = 0; list[i] != NULL; i++)
        if (strcmp(list[i], name) == 0)
            return true;
    return false;
}

static void close_tag(struct reading *r)
{
    if (r->open)
        fputc('>', r->out);
    r->open = false;
}

/* ---- the root ---------------------------------------------------------------------------------
 */

static const char *root_value(const char **list, const char *name)
{
    for (; *list != NULL; list += 2)
        if (strcmp(list[0], name) == 0)
            return list[1];
    return NULL;
}

static void put_root(struct reading *r, const char *name, const char **list)
{
    const char *box = root_value(list, "viewBox");
    for (const char **p = list; *p != NULL; p += 2)
        if (strncmp(p[0], "xmlns", 5) != 0 && strcmp(p[0], "viewBox") != 0 &&
            strcmp(p[0], "width") != 0 && strcmp(p[0], "height") != 0 &&
            strcmp(p[0], "version") != 0)
            refuse(r, "an attribute", p[0]);
    if (strcmp(name, "svg") != 0 || !box || strspn(box, "0123456789. ") != strlen(box))
        refuse(r, "a first element", name);
    if (r->refused)
        return;
    const char *id = r->picture->id;
    fprintf(r->out,
            "<svg role=\"img\" viewBox=\"%s\" aria-labelledby=\"%s-t %s-d\">\n<title id=\"%s-t\">",
            box, id, id, id);
    page_text(r->out, r->picture->title);
    fprintf(r->out, "</title>\n<desc id=\"%s-d\">", id);
    page_text(r->out, r->picture->description);
    fputs("</desc>\n", r->out);
}

/* ---- what the parser calls --------------------------------------------------------------------
 */

static void start(void *self, const char *name, const char **list)
{
    struct reading *r = self;
    if (r->refused)
        return;
    if (++r->depth > DEEP_MAX)
        refuse(r, "too deep an element", name);
    if (r->skipping > 0 || (r->depth > 1 && one_of(name, dropped))) {
        r->skipping++;
        return;
    }
    if (r->depth == 1) {
        put_root(r, name, list);
        return;
    }
    const bool known =
        one_of(name, elements + 1) || strcmp(name, "image") == 0; /* no root in a root */
    close_tag(r);
    if (!known) {
        refuse(r, "an element", name);
        return;
    }
    bool bitmap = false;
    fprintf(r->out, "<%s", name);
    for (; *list != NULL && !r->refused; list += 2) {
        const struct page_svg_attribute a = { r->picture->id, name, list[0], list[1] };
        if (!page_svg_pass(r->out, &a, &bitmap))
            refuse(r, list[0], list[1]);
        *r->bitmap |= bitmap;
    }
    r->open = true;
    r->text = strcmp(name, "text") == 0 || strcmp(name, "tspan") == 0;
}

static void end(void *self, const char *name)
{
    struct reading *r = self;
    if (r->refused)
        return;
    r->depth--;
    if (r->skipping > 0) {
        r->skipping--;
        return;
    }
    if (r->open)
        fputs("/>", r->out);
    else
        fprintf(r->out, "</%s>", name);
    r->open = r->text = false;
}

static void characters(void *self, const char *text, int size)
{
    struct reading *r = self;
    char piece[256];
    if (r->refused || r->skipping > 0)
        return;
    if (!r->text) { /* white space between elements */
        for (int i = 0; i < size; i++)
            if (!strchr(" \t\r\n", text[i]))
                refuse(r, "words outside of a text", "");
        return;
    }
    close_tag(r);
    while (size >
           0) { /* whole characters: the parser gives no halves, and a piece ends before one */
        int n = size < (int)sizeof piece - 1 ? size : (int)sizeof piece - 1;
        while (n < size && ((unsigned char)text[n] & 0xc0) == 0x80)
            n--;
        memcpy(piece, text, (size_t)n);
        piece[n] = '\0';
        page_text(r->out, piece);
        text += n;
        size -= n;
    }
}

static void doctype(void *self, const char *name, const char *system, const char *public,
                    int internal)
{
    (void)system, (void)public, (void)internal;
    refuse(self, "a document type", name);
}

static void instruction(void *self, const char *target, const char *data)
{
    (void)data;
    refuse(self, "an instruction", target);
}

bool page_svg(FILE *out, const char *svg, size_t size, const struct page_picture *p, bool *bitmap,
              char why[PAGE_WORDS])
{
    struct reading r = { .out = out, .picture = p, .bitmap = bitmap, .why = why };
    r.parser = XML_ParserCreate("UTF-8");
    if (!r.parser) {
        text_copy(why, PAGE_WORDS, "out of memory");
        return false;
    }
    XML_SetUserData(r.parser, &r);
    XML_SetElementHandler(r.parser, start, end);
    XML_SetCharacterDataHandler(r.parser, characters);
    XML_SetStartDoctypeDeclHandler(r.parser, doctype);
    XML_SetProcessingInstructionHandler(r.parser, instruction);
    const bool parsed =
        size <= PAGE_FILE_BYTES_MAX && XML_Parse(r.parser, svg, (int)size, 1) == XML_STATUS_OK;
    if (!parsed && !r.refused) {
        why[0] = '\0';
        text_append(why, PAGE_WORDS, "is no picture: %s in line %lu",
                    XML_ErrorString(XML_GetErrorCode(r.parser)),
                    XML_GetCurrentLineNumber(r.parser));
    }
    XML_ParserFree(r.parser);
    return parsed && !r.refused;
}
