/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * text: small helpers for words: nearest name, safe showing of foreign text.
 */
#include "text.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

enum { WORD_MAX = 64, FAR = 1000 };

static int least(int a, int b)
{
    return a < b ? a : b;
}

int text_distance(const char *a, const char *b)
{
    const size_t n = strlen(a), m = strlen(b);
    if (n >= WORD_MAX || m >= WORD_MAX)
        return FAR;
    int row[3][WORD_MAX]; /* of the last three letters of a */
    for (size_t j = 0; j <= m; j++)
        row[0][j] = (int)j;
    for (size_t i = 1; i <= n; i++) {
        int *now = row[i % 3];
        const int *last = row[(i + 2) % 3], *before = row[(i + 1) % 3];
        now[0] = (int)i;
        for (size_t j = 1; j <= m; j++) {
            now[j] = last[j - 1] + (a[i - 1] != b[j - 1]);
            now[j] = least(now[j], least(last[j], now[j - 1]) + 1);
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
                now[j] = least(now[j], before[j - 2] + 1);
        }
    }
    return row[n % 3][m];
}

struct nearest text_nearest_to(const char *word)
{
    /* a third of the letters may be wrong, but always two */
    const int length = (int)strnlen(word, WORD_MAX);
    const int limit = length / 3 > 2 ? length / 3 : 2;
    return (struct nearest){ .word = word, .distance = limit + 1 };
}

void text_nearest_try(struct nearest *n, const char *name)
{
    const bool same = strcasecmp(n->word, name) == 0; /* only the case is wrong */
    const int distance = same ? 0 : text_distance(n->word, name);
    if (distance < n->distance && distance < (int)strlen(name)) {
        n->distance = distance;
        n->name = name;
    }
}

/* Length of the well-formed character at p, or 0. */
static size_t character(const unsigned char *p, size_t left)
{
    if (p[0] < 0x80)
        return 1;
    const size_t n = p[0] >= 0xf0 ? 4 : p[0] >= 0xe0 ? 3 : 2;
    if (p[0] < 0xc2 || p[0] > 0xf4 || n > left)
        return 0;
    for (size_t i = 1; i < n; i++)
        if ((p[i] & 0xc0) != 0x80)
            return 0;
    const bool overlong = (p[0] == 0xe0 && p[1] < 0xa0) || (p[0] == 0xf0 && p[1] < 0x90);
    const bool outside = (p[0] == 0xed && p[1] > 0x9f) || (p[0] == 0xf4 && p[1] > 0x8f);
    return overlong || outside ? 0 : n;
}

bool text_is_utf8(const char *text, size_t size, size_t *bad)
{
    for (size_t i = 0; i < size;) {
        const size_t n = character((const unsigned char *)text + i, size - i);
        if (n == 0) {
            *bad = i;
            return false;
        }
        i += n;
    }
    return true;
}

int text_columns(const char *text, size_t n)
{
    int columns = 0;
    for (size_t i = 0; i < n; i++)
        columns += ((unsigned char)text[i] & 0xc0) != 0x80;
    return columns;
}

/* Number of a well-formed character. */
static long number_of(const unsigned char *p, size_t n)
{
    long number = n == 1 ? p[0] : p[0] & (0x7f >> n);
    for (size_t i = 1; i < n; i++)
        number = number << 6 | (p[i] & 0x3f);
    return number;
}

/* Controls of ASCII and Latin-1, ends of lines, and what turns the direction of writing: a terminal
 * obeys them, and a reader is deceived. */
static bool is_control(long number)
{
    static const long ranges[][2] = { { 0x00, 0x1f },     { 0x7f, 0x9f },     { 0x061c, 0x061c },
                                      { 0x200e, 0x200f }, { 0x2028, 0x202e }, { 0x2066, 0x2069 },
                                      { 0xfeff, 0xfeff } };
    for (size_t i = 0; i < sizeof ranges / sizeof *ranges; i++)
        if (number >= ranges[i][0] && number <= ranges[i][1])
            return true;
    return false;
}

long text_control(const char *text, size_t size)
{
    const unsigned char *p = (const unsigned char *)text;
    const size_t n = size > 0 ? character(p, size) : 0;
    const long number = n > 0 ? number_of(p, n) : TEXT_PLAIN;
    return n > 0 && is_control(number) ? number : TEXT_PLAIN;
}

/* Controls, and anything that is not UTF-8, are not shown. */
static bool is_safe(const unsigned char *p, size_t n)
{
    return n > 0 && !is_control(number_of(p, n));
}

char *text_escape(const char *text, char *out, size_t size)
{
    const unsigned char *p = (const unsigned char *)text;
    size_t left = strlen(text), used = 0;
    while (left > 0) {
        const size_t n = character(p, left);
        char piece[5] = { 0 };
        if (is_safe(p, n))
            memcpy(piece, p, n);
        else if (*p == '\n' || *p == '\t')
            memcpy(piece, *p == '\n' ? "\\n" : "\\t", 2);
        else
            snprintf(piece, sizeof piece, "\\x%02x", *p);
        const size_t length = strlen(piece);
        if (used + length + 1 > size)
            break;
        memcpy(out + used, piece, length);
        used += length;
        const size_t step = is_safe(p, n) ? n : 1;
        p += step;
        left -= step;
    }
    out[used] = '\0';
    return out;
}

bool text_append(char *out, size_t size, const char *format, ...)
{
    const size_t used = strlen(out);
    va_list args;
    va_start(args, format);
    const int n = vsnprintf(out + used, size - used, format, args);
    va_end(args);
    return n >= 0 && (size_t)n < size - used;
}

bool text_copy(char *out, size_t size, const char *text)
{
    const size_t n = strnlen(text, size);
    const bool fits = n < size;
    const size_t keep = fits ? n : size - 1;
    memmove(out, text, keep);
    out[keep] = '\0';
    return fits;
}
