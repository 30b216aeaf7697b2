/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * page_text: every foreign text goes through here on its way into a page.  Page: docs/page.md.
 */
#include <ctype.h>
#include <stdlib.h>
#include <string.h>

#include "page.h"
#include "text.h"

/* ---- escaping ---------------------------------------------------------------------------------
 */

static const char *entity(char c)
{
    return c == '&'    ? "&amp;"
           : c == '<'  ? "&lt;"
           : c == '>'  ? "&gt;"
           : c == '"'  ? "&quot;"
           : c == '\'' ? "&#39;"
                       : NULL;
}

/* Bytes of the character at p; 0 if it is none. */
static size_t length_of(const char *p, size_t left)
{
    const unsigned char c = (unsigned char)*p;
    const size_t n = c < 0x80 ? 1 : c >= 0xf0 ? 4 : c >= 0xe0 ? 3 : 2;
    size_t bad;
    return n <= left && text_is_utf8(p, n, &bad) ? n : 0;
}

/* U+FFFE, U+FFFF and their like of higher planes, U+FDD0 to U+FDEF: HTML has no such characters. */
static bool is_noncharacter(const char *p, size_t n)
{
    const unsigned char *u = (const unsigned char *)p;
    if (n == 3 && u[0] == 0xef && u[1] == 0xb7)
        return u[2] >= 0x90 && u[2] <= 0xaf;
    return n >= 3 && u[n - 1] >= 0xbe && u[n - 2] == 0xbf &&
           (n == 3 ? u[0] == 0xef : (u[1] & 0x0f) == 0x0f);
}

/* Writes one character, returns its bytes. */
static size_t put_character(FILE *out, const char *p, size_t left)
{
    const size_t n = length_of(p, left);
    const long control = text_control(p, left);
    if (n == 0 || is_noncharacter(p, n)) {
        fprintf(out, "\\x%02x", (unsigned char)*p);
        return 1;
    }
    if (*p == '\n' || *p == '\t')
        fputc(*p, out);
    else if (control != TEXT_PLAIN)
        fprintf(out, control < 0x100 ? "\\x%02lx" : "\\u%04lx", (unsigned long)control);
    else if (entity(*p))
        fputs(entity(*p), out);
    else
        fwrite(p, 1, n, out);
    return n;
}

static void put_bytes(FILE *out, const char *text, size_t size)
{
    for (size_t i = 0; i < size;)
        i += put_character(out, text + i, size - i);
}

void page_text(FILE *out, const char *text)
{
    if (text)
        put_bytes(out, text, strlen(text));
}

static bool is_number(const char *text)
{
    char *end;
    strtod(text, &end);
    return end != text && *end == '\0';
}

void page_cell(FILE *out, const char *text)
{
    if (text && text[0] != '\0' && strchr("=+-@\t\r", text[0]) && !is_number(text))
        fputs("&#39;", out);
    page_text(out, text);
}

/* ---- prose ------------------------------------------------------------------------------------
 */

/* Length of what stands between two marks at p, 0 if the second is missing. */
static size_t between(const char *p, size_t left, const char *mark)
{
    const size_t m = strlen(mark);
    if (left < 2 * m || strncmp(p, mark, m) != 0)
        return 0;
    const char *end = memmem(p + m, left - m, mark, m);
    return end ? (size_t)(end - p) - m : 0;
}

/* "[words](place)": the place is another file and stays out. */
static size_t link_words(const char *p, size_t left, size_t *all)
{
    const char *close = *p == '[' ? memchr(p, ']', left) : NULL;
    if (!close || close + 1 >= p + left || close[1] != '(')
        return 0;
    const char *end = memchr(close, ')', left - (size_t)(close - p));
    *all = end ? (size_t)(end - p) + 1 : 0;
    return end ? (size_t)(close - p) - 1 : 0;
}

void page_prose(FILE *out, const char *text, size_t size)
{
    static const struct {
        const char *mark, *open, *close;
    } marks[] = { { "**", "<strong>", "</strong>" },
                  { "*", "<em>", "</em>" },
                  { "`", "<code>", "</code>" } };
    for (size_t i = 0; i < size;) {
        size_t n = 0, all = 0;
        for (int k = 0; k < 3 && n == 0; k++)
            if ((n = between(text + i, size - i, marks[k].mark)) > 0) {
                const size_t m = strlen(marks[k].mark);
                fputs(marks[k].open, out);
                put_bytes(out, text + i + m, n);
                fputs(marks[k].close, out);
                i += n + 2 * m;
            }
        if (n == 0 && (n = link_words(text + i, size - i, &all)) > 0) {
            put_bytes(out, text + i + 1, n);
            i += all;
        } else if (n == 0) {
            i += put_character(out, text + i, size - i);
        }
    }
}

/* ---- the policy -------------------------------------------------------------------------------
 */

static int nibble(char c)
{
    return isdigit((unsigned char)c) ? c - '0' : c - 'a' + 10;
}

void page_policy_hash(const void *bytes, size_t size, char out[PAGE_HASH])
{
    static const char digits[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    enum { RAW = (HASH_TEXT - 1) / 2 };
    unsigned char raw[RAW + 2] = { 0 };
    char hex[HASH_TEXT];
    hash_bytes(bytes, size, hex);
    for (int i = 0; i < RAW; i++)
        raw[i] = (unsigned char)(nibble(hex[2 * i]) << 4 | nibble(hex[2 * i + 1]));
    int n = snprintf(out, PAGE_HASH, "sha256-");
    for (int i = 0; i < RAW; i += 3) {
        const unsigned word = (unsigned)raw[i] << 16 | (unsigned)raw[i + 1] << 8 | raw[i + 2];
        for (int k = 0; k < 4; k++)
            out[n++] = digits[word >> (18 - 6 * k) & 63];
    }
    out[n - 1] = '='; /* 32 bytes leave one digit over */
    out[n] = '\0';
}
