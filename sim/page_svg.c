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

enum passes {
    PASS_PLAIN, /* letters, digits and signs of numbers, paths and colours */
    PASS_PAINT, /* the same, or url(#NAME) */
    PASS_ID,
    PASS_REFERENCE, /* #NAME */
    PASS_BITMAP,    /* #NAME, or a bitmap that lies in the reference itself */
    PASS_STYLE,     /* fill and stroke, which become attributes */
    LEFT_OUT
};

static const char *const elements[] = { "svg",     "g",        "defs",    "circle",
                                        "path",    "rect",     "use",     "polygon",
                                        "line",    "text",     "pattern", "polyline",
                                        "ellipse", "clipPath", "tspan",   NULL };
/* With all that is in them. */
static const char *const dropped[] = { "title", "desc", "filter", NULL };

static const char *const plain[] = { "x",
                                     "y",
                                     "x1",
                                     "y1",
                                     "x2",
                                     "y2",
                                     "cx",
                                     "cy",
                                     "r",
                                     "rx",
                                     "ry",
                                     "d",
                                     "points",
                                     "width",
                                     "height",
                                     "transform",
                                     "color",
                                     "opacity",
                                     "fill-opacity",
                                     "stroke-width",
                                     "stroke-opacity",
                                     "stroke-linecap",
                                     "stroke-linejoin",
                                     "stroke-dasharray",
                                     "shape-rendering",
                                     "preserveAspectRatio",
                                     "patternUnits",
                                     "font-family",
                                     "font-size",
                                     "font-weight",
                                     "font-style",
                                     "text-anchor",
                                     "dx",
                                     "dy",
                                     NULL };

static const struct {
    const char *name;
    enum passes passes;
} attributes[] = {
    { "fill", PASS_PAINT }, { "stroke", PASS_PAINT },         { "clip-path", PASS_PAINT },
    { "id", PASS_ID },      { "xlink:href", PASS_REFERENCE }, { "style", PASS_STYLE },
    { "class", LEFT_OUT },  { "filter", LEFT_OUT },           { "xml:space", LEFT_OUT }
};

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

/* ---- values -----------------------------------------------------------------------------------
 */

static bool is_name(const char *text, size_t n)
{
    static const char good[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789_-.";
    return n > 0 && strspn(text, good) >= n;
}

static bool is_plain(const char *text)
{
    static const char good[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789"
                               "_-.,+%#() \t\n";
    const char *open = strchr(text, '(');
    return strspn(text, good) == strlen(text) && strcasestr(text, "url") == NULL &&
           (open == NULL || strstr(text, "rgb") == text || strncmp(text, "translate", 9) == 0 ||
            strncmp(text, "rotate", 6) == 0 || strncmp(text, "scale", 5) == 0 ||
            strncmp(text, "matrix", 6) == 0);
}

/* "url(#NAME)", with or without quotes. */
static bool is_paint(const char *text, const char **name, size_t *n)
{
    if (strncmp(text, "url(#", 5) != 0)
        return false;
    *name = text + 5;
    *n = strcspn(*name, ")");
    return (*name)[*n] == ')' && (*name)[*n + 1] == '\0' && is_name(*name, *n);
}

static bool is_bitmap(const char *text)
{
    static const char start[] = "data:image/png;base64,";
    static const char good[] =
        "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/=\n";
    const size_t n = sizeof start - 1;
    return strncmp(text, start, n) == 0 && strspn(text + n, good) == strlen(text + n);
}

/* ---- writing ----------------------------------------------------------------------------------
 */

static void put_attribute(struct reading *r, const char *name, const char *value)
{
    fprintf(r->out, " %s=\"", name);
    page_text(r->out, value);
    fputc('"', r->out);
}

/* before NAME after, with the figure's own beginning of names */
static void put_named(struct reading *r, const char *key, const char *before, const char *name,
                      size_t n)
{
    const bool url = before[0] == 'u';
    fprintf(r->out, " %s=\"%s%s-%.*s%s\"", key, before, r->picture->id, (int)n, name,
            url ? ")" : "");
}

/* "fill:none; stroke:rgb(1,2,3)" as two attributes, for a policy forbids the one. */
static void put_style(struct reading *r, const char *style)
{
    static const char *const known[] = { "fill", "stroke", NULL };
    char copy[256], *rest = NULL;
    if (!text_copy(copy, sizeof copy, style))
        refuse(r, "a style", style);
    for (char *p = strtok_r(copy, ";", &rest); p && !r->refused; p = strtok_r(NULL, ";", &rest)) {
        p += strspn(p, " ");
        char *colon = strchr(p, ':');
        if (colon)
            *colon = '\0';
        if (!colon || !one_of(p, known) || !is_plain(colon + 1))
            refuse(r, "a style", style);
        else
            put_attribute(r, p, colon + 1);
    }
}

static enum passes passes_of(const char *element, const char *name, bool *known)
{
    *known = true;
    if (strncmp(name, "xmlns", 5) == 0)
        return LEFT_OUT;
    if (strcmp(element, "image") == 0 && strcmp(name, "xlink:href") == 0)
        return PASS_BITMAP;
    if (one_of(name, plain))
        return PASS_PLAIN;
    for (size_t i = 0; i < sizeof attributes / sizeof *attributes; i++)
        if (strcmp(attributes[i].name, name) == 0)
            return attributes[i].passes;
    *known = false;
    return LEFT_OUT;
}

static void pass(struct reading *r, const char *element, const char *name, const char *value)
{
    bool known;
    const char *inner;
    size_t n;
    const enum passes passes = passes_of(element, name, &known);
    if (!known)
        refuse(r, "an attribute", name);
    else if (passes == PASS_STYLE)
        put_style(r, value);
    else if (passes == PASS_ID && is_name(value, strlen(value)))
        put_named(r, "id", "", value, strlen(value));
    else if (passes == PASS_REFERENCE && value[0] == '#' && is_name(value + 1, strlen(value + 1)))
        put_named(r, "href", "#", value + 1, strlen(value + 1));
    else if (passes == PASS_PAINT && is_paint(value, &inner, &n))
        put_named(r, name, "url(#", inner, n);
    else if (passes == PASS_BITMAP && is_bitmap(value)) {
        put_attribute(r, "href", value);
        *r->bitmap = true;
    } else if ((passes == PASS_PLAIN || passes == PASS_PAINT) && is_plain(value))
        put_attribute(r, name, value);
    else if (passes != LEFT_OUT)
        refuse(r, name, value);
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
    fprintf(r->out, "<%s", name);
    for (; *list != NULL && !r->refused; list += 2)
        pass(r, name, list[0], list[1]);
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
