/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * source_scan: walks through the text of a scenario, key by key, and marks every setting.
 *
 * What a parser of this syntax would accept in silence is refused here: integers that do not fit 32
 * bits, numbers that overflow, a text followed by a text (a forgotten comma joins them), a key
 * twice.
 */
#include <ctype.h>
#include <errno.h>
#include <limits.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "source_inner.h"
#include "text.h"
#include "units.h"

enum token { TOKEN_END, TOKEN_NAME, TOKEN_NUMBER, TOKEN_TEXT, TOKEN_MARK, TOKEN_BAD };

/* Where the next token may be what. */
enum expect { EXPECT_KEY, EXPECT_EQUALS, EXPECT_VALUE, EXPECT_FIRST, EXPECT_END };

struct frame {
    char open; /* { ( [ ; 0 for the file */
    int mark;  /* whose value it is; -1 for the file */
    int last;  /* last mark in it */
    int keys;
    int kind;           /* of the values of an array, see check_array; 0 if empty */
    struct place place; /* of the bracket */
};

struct scan {
    struct source *source;
    struct report *report;
    size_t at;   /* next byte */
    int line;    /* index of its line */
    size_t from; /* present token */
    int from_line;
    struct frame frame[SOURCE_NESTING_MAX + 1];
    int depth;
    struct place key; /* of a name that waits for its value */
    size_t name, name_length;
    bool failed;
};

static struct place place_of(const struct scan *s)
{
    const struct source_line *l = &s->source->lines[s->from_line];
    const size_t before = s->from - l->start, width = s->at - s->from;
    return (struct place){ .file = l->file,
                           .line = l->number,
                           .column = text_columns(s->source->text + l->start, before) + 1,
                           .width = text_columns(s->source->text + s->from, width) };
}

static void wrong(struct scan *s, struct place place, const char *cure, const char *words)
{
    s->failed = true;
    source_complain(s->source, s->report, SEVERITY_ERROR, place, cure, "%s", words);
}

/* ---- tokens ---------------------------------------------------------------------------------- */

static void advance(struct scan *s, size_t n)
{
    for (; n > 0; n--)
        if (s->source->text[s->at++] == '\n' && s->line + 1 < s->source->line_count)
            s->line++;
}

/* Blanks and comments; both are closed, see source.c. */
static void skip_blanks(struct scan *s)
{
    for (;;) {
        const char *p = s->source->text + s->at;
        if (*p == '#' || (p[0] == '/' && p[1] == '/'))
            advance(s, strcspn(p, "\n"));
        else if (p[0] == '/' && p[1] == '*')
            advance(s, (size_t)(strstr(p + 2, "*/") - p) + 2);
        else if (*p != '\0' && strchr(" \t\r\n", *p) != NULL)
            advance(s, 1);
        else
            return;
    }
}

/* The place of an escape in the present text whose character is no plain one; width 0 if there is
 * none.  The parser would cut the text at \x00 in silence; others would reach terminals and files.
 */
static struct place bad_escape(const struct scan *s)
{
    const char *text = s->source->text;
    struct place place = place_of(s);
    for (size_t i = s->from; i + 1 < s->at; i++) {
        if (text[i] != '\\')
            continue;
        const char escaped = text[i + 1];
        const bool hex = escaped == 'x' && isxdigit((unsigned char)text[i + 2]) &&
                         isxdigit((unsigned char)text[i + 3]);
        const char digits[] = { text[i + 2], text[i + 2] == '\0' ? '\0' : text[i + 3], '\0' };
        const long number = hex ? strtol(digits, NULL, 16) : ' ';
        if (number < 0x20 || number >= 0x7f || strchr("abfnrtv", escaped) != NULL) {
            place.column += text_columns(text + s->from, i - s->from);
            place.width = hex ? 4 : 2;
            return place;
        }
        i++;
    }
    place.width = 0;
    return place;
}

static void check_text(struct scan *s)
{
    const struct place place = bad_escape(s);
    if (place.width > 0)
        wrong(s, place, "letters outside ASCII may be written as they are",
              "this escape is no plain character");
}

static size_t text_length(const char *p)
{
    size_t n = 1;
    while (p[n] != '"')
        n += p[n] == '\\' ? 2 : 1;
    return n + 1;
}

static enum token next(struct scan *s)
{
    skip_blanks(s);
    s->from = s->at;
    s->from_line = s->line;
    const char *p = s->source->text + s->at;
    if (*p == '\0')
        return TOKEN_END;
    if (*p == '"') {
        advance(s, text_length(p));
        return TOKEN_TEXT;
    }
    size_t n = 0;
    const bool number = isdigit((unsigned char)*p) || strchr("+-.", *p) != NULL;
    while (isalnum((unsigned char)p[n]) || (p[n] != '\0' && strchr("_-*", p[n]) != NULL) ||
           (number && p[n] != '\0' && strchr("+.", p[n]) != NULL))
        n++;
    if (n > 0) {
        advance(s, n);
        if (*p == '_') /* the parser takes no name that begins so */
            return TOKEN_BAD;
        return number ? TOKEN_NUMBER : TOKEN_NAME;
    }
    do
        n++;
    while (((unsigned char)p[n] & 0xc0) == 0x80);
    advance(s, n);
    return strchr("={}()[];:,", *p) != NULL ? TOKEN_MARK : TOKEN_BAD;
}

/* ---- numbers --------------------------------------------------------------------------------- */

static void check_integer(struct scan *s, const char *word, int base)
{
    char *end;
    errno = 0;
    const long long value = strtoll(word, &end, base);
    if (end == word || (*end != '\0' && strspn(end, "L") != strlen(end)))
        wrong(s, place_of(s), "a value with a unit is a text: write it in double quotes",
              "this is not a number");
    else if (errno != 0 || value > INT_MAX || value < INT_MIN)
        wrong(s, place_of(s), "at most 2147483647; with a decimal point it may be larger",
              "this whole number is too large");
}

static void check_number(struct scan *s)
{
    char word[64];
    const size_t n = s->at - s->from;
    snprintf(word, sizeof word, "%.*s", (int)(n < 63 ? n : 63), s->source->text + s->from);
    if (n >= sizeof word) {
        wrong(s, place_of(s), NULL, "this number has too many digits");
        return;
    }
    if (word[0] == '0' && (word[1] == 'x' || word[1] == 'X')) {
        check_integer(s, word, 16);
        return;
    }
    if (word[strcspn(word, ".eE")] == '\0') {
        check_integer(s, word, 10);
        return;
    }
    double value;
    const char *end = word;
    if (units_number(word, &value, &end) && *end == '\0')
        return;
    if (end != word && *end == '\0')
        wrong(s, place_of(s), NULL, "this number is too large or too small");
    else
        wrong(s, place_of(s), "a value with a unit is a text: write it in double quotes",
              "this is not a number");
}

/* ---- settings -------------------------------------------------------------------------------- */

static bool same_name(const struct scan *s, const struct mark *m)
{
    return m->name_length == s->name_length &&
           memcmp(s->source->text + m->name, s->source->text + s->name, s->name_length) == 0;
}

static void check_key(struct scan *s, struct frame *f)
{
    if (++f->keys == SOURCE_KEYS_MAX + 1)
        wrong(s, s->key, NULL, "more than 1000 keys in one group");
    if (f->keys > SOURCE_KEYS_MAX)
        return;
    for (int i = f->last; i >= 0; i = s->source->marks[i].previous) {
        const struct mark *m = &s->source->marks[i];
        if (!same_name(s, m))
            continue;
        s->failed = true;
        source_complain(s->source, s->report, SEVERITY_ERROR, s->key, NULL,
                        "\"%.*s\" is given twice; first at %s:%d:%d", (int)s->name_length,
                        s->source->text + s->name, m->key.file, m->key.line, m->key.column);
        return;
    }
}

/* Marks the setting whose value begins at the present token. */
static bool add_mark(struct scan *s)
{
    struct source *source = s->source;
    struct mark *marks =
        source_grow(source->marks, source->mark_count, &source->mark_room, sizeof *marks);
    if (marks == NULL)
        return false;
    source->marks = marks;
    struct frame *f = &s->frame[s->depth];
    const bool named = f->open == '{' || f->open == 0;
    if (named)
        check_key(s, f);
    marks[source->mark_count] =
        (struct mark){ .value = place_of(s), .parent = f->mark, .previous = f->last };
    if (named) {
        marks[source->mark_count].key = s->key;
        marks[source->mark_count].name = s->name;
        marks[source->mark_count].name_length = s->name_length;
    }
    f->last = source->mark_count++;
    return true;
}

static enum expect inside(const struct scan *s)
{
    const char open = s->frame[s->depth].open;
    return open == '{' || open == 0 ? EXPECT_KEY : EXPECT_VALUE;
}

static bool open_frame(struct scan *s, char open)
{
    if (s->depth == SOURCE_NESTING_MAX) {
        wrong(s, place_of(s), NULL, "groups and lists are nested more than 20 deep");
        return false;
    }
    s->frame[++s->depth] = (struct frame){
        .open = open, .mark = s->source->mark_count - 1, .last = -1, .place = place_of(s)
    };
    return true;
}

static bool close_frame(struct scan *s, char close)
{
    const struct frame *f = &s->frame[s->depth];
    const char wanted = f->open == '{' ? '}' : f->open == '(' ? ')' : ']';
    if (f->open != 0 && close == wanted) {
        s->depth--;
        return true;
    }
    s->failed = true;
    if (f->open == 0)
        source_complain(s->source, s->report, SEVERITY_ERROR, place_of(s), NULL,
                        "this \"%c\" closes nothing", close);
    else
        source_complain(s->source, s->report, SEVERITY_ERROR, place_of(s), NULL,
                        "\"%c\" does not close the \"%c\" at %s:%d:%d", close, f->open,
                        f->place.file, f->place.line, f->place.column);
    return false;
}

static bool take_word_value(struct scan *s)
{
    const char *word = s->source->text + s->from;
    const size_t n = s->at - s->from;
    if ((n == 4 && strncasecmp(word, "true", 4) == 0) ||
        (n == 5 && strncasecmp(word, "false", 5) == 0))
        return add_mark(s);
    char cure[128];
    snprintf(cure, sizeof cure, "words stand in double quotes: \"%.*s\"", (int)(n < 60 ? n : 60),
             word);
    wrong(s, place_of(s), cure, "a value must be a text, a number, true, false, a group or a list");
    return false;
}

/* Arrays hold plain values of one kind: 1 texts, 2 words, 3 whole numbers, 4 other numbers. */
static bool check_array(struct scan *s, enum token token)
{
    struct frame *f = &s->frame[s->depth];
    if (f->open != '[')
        return true;
    const char *p = s->source->text + s->from;
    const bool whole = strcspn(p, ".eE") >= s->at - s->from;
    const int kind = token == TOKEN_TEXT     ? 1
                     : token == TOKEN_NAME   ? 2
                     : token != TOKEN_NUMBER ? 0
                     : whole                 ? 3
                                             : 4;
    if (kind != 0 && (f->kind == 0 || f->kind == kind)) {
        f->kind = kind;
        return true;
    }
    wrong(s, place_of(s), "a list in round brackets may mix them",
          "an array holds plain values of one kind");
    return false;
}

/* A value; *expect is what may follow. */
static bool take_value(struct scan *s, enum token token, enum expect *expect)
{
    const char c = s->source->text[s->from];
    const bool opens = token == TOKEN_MARK && strchr("{([", c) != NULL;
    const bool closes = token == TOKEN_MARK && strchr("})]", c) != NULL;
    if (closes && *expect == EXPECT_FIRST) {
        *expect = EXPECT_END; /* an empty list */
        return close_frame(s, c);
    }
    const bool some = opens || token == TOKEN_NAME || token == TOKEN_NUMBER || token == TOKEN_TEXT;
    if (some && !check_array(s, token))
        return false;
    if (token == TOKEN_NAME) {
        *expect = EXPECT_END;
        return take_word_value(s);
    }
    if (!opens && token != TOKEN_NUMBER && token != TOKEN_TEXT) {
        wrong(s, token == TOKEN_END ? s->key : place_of(s), NULL,
              token == TOKEN_END ? "the file ends before the value" : "here a value must stand");
        return false;
    }
    if (token == TOKEN_NUMBER)
        check_number(s);
    if (token == TOKEN_TEXT)
        check_text(s);
    *expect = opens && c == '{' ? EXPECT_KEY : opens ? EXPECT_FIRST : EXPECT_END;
    return add_mark(s) && (!opens || open_frame(s, c));
}

static bool take_key(struct scan *s, enum token token, enum expect *expect)
{
    const char c = s->source->text[s->from];
    if (token == TOKEN_NAME) {
        s->key = place_of(s);
        s->name = s->from;
        s->name_length = s->at - s->from;
        *expect = EXPECT_EQUALS;
        return true;
    }
    if (token == TOKEN_MARK && strchr("})]", c) != NULL) {
        *expect = EXPECT_END;
        return close_frame(s, c);
    }
    if (c == '@')
        wrong(s, place_of(s), NULL, "@include stands at the beginning of a line of its own");
    else
        wrong(s, place_of(s), "a key is a word, such as pressure = \"50 psi\";",
              "here a key must stand");
    return false;
}

/* What follows a value: a stroke, a close, or in a group the next key. */
static bool take_end(struct scan *s, enum token token, enum expect *expect)
{
    const char c = s->source->text[s->from];
    if (token == TOKEN_MARK && strchr("})]", c) != NULL)
        return close_frame(s, c);
    *expect = inside(s);
    if (token == TOKEN_MARK && (c == ',' || (c == ';' && *expect == EXPECT_KEY)))
        return true;
    if (*expect == EXPECT_KEY && token == TOKEN_NAME)
        return take_key(s, token, expect);
    wrong(s, place_of(s), NULL,
          *expect == EXPECT_KEY ? "here a semicolon or a key must stand"
                                : "here a comma or the end of the list must stand");
    return false;
}

static bool take(struct scan *s, enum token token, enum expect *expect)
{
    if (*expect == EXPECT_KEY)
        return take_key(s, token, expect);
    if (*expect == EXPECT_VALUE || *expect == EXPECT_FIRST)
        return take_value(s, token, expect);
    if (*expect == EXPECT_END)
        return take_end(s, token, expect);
    *expect = EXPECT_VALUE;
    const char c = s->source->text[s->from];
    if (token == TOKEN_MARK && (c == '=' || c == ':'))
        return true;
    wrong(s, s->key, "write key = value;", "this key has no \"=\" after it");
    return false;
}

enum status source_find_marks(struct source *source, struct report *report)
{
    struct scan s = { .source = source, .report = report };
    s.frame[0] = (struct frame){ .mark = -1, .last = -1 };
    enum expect expect = EXPECT_KEY;
    enum token token;
    if (source->line_count == 0)
        return STATUS_OK;
    while ((token = next(&s)) != TOKEN_END) {
        if (!take(&s, token, &expect))
            return s.failed ? STATUS_SCENARIO : STATUS_MEMORY;
    }
    if (s.depth > 0) {
        char words[64];
        snprintf(words, sizeof words, "this \"%c\" is not closed", s.frame[s.depth].open);
        wrong(&s, s.frame[s.depth].place, NULL, words);
    } else if (expect == EXPECT_EQUALS || expect == EXPECT_VALUE) {
        wrong(&s, s.key, "write key = value;", "the file ends before the value");
    }
    return s.failed ? STATUS_SCENARIO : STATUS_OK;
}
