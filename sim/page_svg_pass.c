/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * page_svg_pass: which attributes of a figure pass, and how.  Page: docs/page.md.
 *
 * What is written cannot reach out of the page: references point into the figure, and colours,
 * paths and numbers hold no addresses.
 */
#include <string.h>

#include "page.h"
#include "text.h"

enum passes {
    PASS_PLAIN, /* letters, digits and signs of numbers, paths and colours */
    PASS_PAINT, /* the same, or url(#NAME) */
    PASS_ID,
    PASS_REFERENCE, /* #NAME */
    PASS_BITMAP,    /* a bitmap that lies in the reference itself */
    PASS_STYLE,     /* fill and stroke, which become attributes */
    LEFT_OUT,
    UNKNOWN
};

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

static bool put_attribute(FILE *out, const char *name, const char *value)
{
    fprintf(out, " %s=\"", name);
    page_text(out, value);
    fputc('"', out);
    return true;
}

/* before NAME after, with the figure's own beginning of names */
static bool put_named(FILE *out, const char *id, const char *const around[2], const char *name,
                      size_t n)
{
    fprintf(out, " %s%s-%.*s%s\"", around[0], id, (int)n, name, around[1]);
    return true;
}

/* "fill:none; stroke:rgb(1,2,3)" as two attributes, for a policy forbids the one. */
static bool put_style(FILE *out, const char *style)
{
    static const char *const known[] = { "fill", "stroke", NULL };
    char copy[256], *rest = NULL;
    if (!text_copy(copy, sizeof copy, style))
        return false;
    for (char *p = strtok_r(copy, ";", &rest); p; p = strtok_r(NULL, ";", &rest)) {
        p += strspn(p, " ");
        char *colon = strchr(p, ':');
        if (!colon || !is_plain(colon + 1))
            return false;
        *colon = '\0';
        if (!one_of(p, known))
            return false;
        put_attribute(out, p, colon + 1);
    }
    return true;
}

static bool put_paint(FILE *out, const char *id, const char *key, const char *value)
{
    char before[64];
    const char *name, *around[2] = { before, ")" };
    size_t n;
    if (!is_paint(value, &name, &n))
        return is_plain(value) && put_attribute(out, key, value);
    snprintf(before, sizeof before, "%s=\"url(#", key);
    return put_named(out, id, around, name, n);
}

static bool put_bitmap(FILE *out, const char *value, bool *bitmap)
{
    *bitmap = is_bitmap(value);
    return *bitmap && put_attribute(out, "href", value);
}

static enum passes passes_of(const char *element, const char *name)
{
    if (strncmp(name, "xmlns", 5) == 0)
        return LEFT_OUT;
    if (strcmp(element, "image") == 0 && strcmp(name, "xlink:href") == 0)
        return PASS_BITMAP;
    if (one_of(name, plain))
        return PASS_PLAIN;
    for (size_t i = 0; i < sizeof attributes / sizeof *attributes; i++)
        if (strcmp(attributes[i].name, name) == 0)
            return attributes[i].passes;
    return UNKNOWN;
}

bool page_svg_pass(FILE *out, const struct page_svg_attribute *a, bool *bitmap)
{
    static const char *const id[] = { "id=\"", "" }, *const reference[] = { "href=\"#", "" };
    const char *value = a->value;
    switch (passes_of(a->element, a->name)) {
    case PASS_PLAIN:
        return is_plain(value) && put_attribute(out, a->name, value);
    case PASS_PAINT:
        return put_paint(out, a->id, a->name, value);
    case PASS_ID:
        return is_name(value, strlen(value)) && put_named(out, a->id, id, value, strlen(value));
    case PASS_REFERENCE:
        return value[0] == '#' && is_name(value + 1, strlen(value + 1)) &&
               put_named(out, a->id, reference, value + 1, strlen(value + 1));
    case PASS_BITMAP:
        return put_bitmap(out, value, bitmap);
    case PASS_STYLE:
        return put_style(out, value);
    case LEFT_OUT:
        return true;
    case UNKNOWN:
        break;
    }
    return false;
}
