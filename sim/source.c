/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * source: the text of a scenario with its included files put in, and the map of its lines.
 *
 * Files are put together line by line.  Comments and texts are followed so that @include counts
 * only where it is a directive, and so that neither runs past the end of its file.
 */
#include "source.h"

#include <errno.h>
#include <limits.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include "file.h"
#include "source_inner.h"
#include "text.h"

enum { WORDS_MAX = 512, LINE_COPY = 1024 };

/* Where a file stands in the reading: one for each open include. */
struct part {
    const struct part *includer; /* NULL for the scenario itself */
    const char *shown;           /* name in complaints */
    char *real;                  /* resolved path */
    const char *bytes;
    size_t size;
    int depth;
};

struct reading {
    struct source *source;
    struct report *report;
};

void *source_grow(void *array, int count, int *room, size_t element)
{
    if (count < *room)
        return array;
    const int wanted = *room == 0 ? 64 : 2 * *room;
    void *grown = realloc(array, (size_t)wanted * element);
    if (grown != NULL)
        *room = wanted;
    return grown;
}

void source_free(struct source *s)
{
    if (s == NULL)
        return;
    for (int i = 0; i < s->file_count; i++)
        free(s->files[i]);
    free(s->folder);
    free(s->marks);
    free(s->lines);
    free(s->text);
    free(s);
}

const char *source_text(const struct source *s, size_t *size)
{
    *size = s->size;
    return s->text;
}

const struct mark *source_marks(const struct source *s, int *count)
{
    *count = s->mark_count;
    return s->marks;
}

const char *source_folder(const struct source *s)
{
    return s->folder == NULL ? "" : s->folder;
}

struct place source_place(const struct source *s, int line)
{
    if (s->line_count == 0)
        return (struct place){ .file = s->files[0] }; /* an empty file has no line */
    const int last = line > s->line_count ? s->line_count : line;
    const struct source_line *l = &s->lines[last < 1 ? 0 : last - 1];
    return (struct place){ .file = l->file, .line = l->number };
}

/* Copies the line that a place names; false if there is none. */
static bool copy_line(const struct source *s, struct place place, char *out, size_t room)
{
    for (int i = 0; i < s->line_count; i++) {
        if (s->lines[i].file != place.file || s->lines[i].number != place.line)
            continue;
        const char *from = s->text + s->lines[i].start;
        const size_t n = strcspn(from, "\r\n");
        snprintf(out, room, "%.*s", (int)(n < room ? n : room - 1), from);
        return true;
    }
    return false;
}

void source_complain(const struct source *s, struct report *report, enum severity severity,
                     struct place place, const char *cure, const char *format, ...)
{
    char words[WORDS_MAX], line[LINE_COPY];
    va_list args;
    va_start(args, format);
    vsnprintf(words, sizeof words, format, args);
    va_end(args);
    const bool found = s != NULL && place.file != NULL && copy_line(s, place, line, sizeof line);
    report_add(report, severity, place, found ? line : NULL, cure, "%s", words);
}

/* ---- lines ----------------------------------------------------------------------------------- */

static bool append_bytes(struct source *s, const char *bytes, size_t n)
{
    if (s->size + n + 1 > s->room) {
        const size_t room = 2 * s->room + n + 1024;
        char *text = realloc(s->text, room);
        if (text == NULL)
            return false;
        s->text = text;
        s->room = room;
    }
    memcpy(s->text + s->size, bytes, n);
    s->size += n;
    s->text[s->size] = '\0';
    return true;
}

static bool append_line(struct source *s, const char *file, int number, const char *line, size_t n)
{
    struct source_line *lines = source_grow(s->lines, s->line_count, &s->line_room, sizeof *lines);
    if (lines == NULL)
        return false;
    s->lines = lines;
    lines[s->line_count++] = (struct source_line){ file, number, s->size };
    return append_bytes(s, line, n) && append_bytes(s, "\n", 1);
}

/* Complains about a line that may not be in the text yet. */
static enum status refuse(const struct reading *r, struct place place, const char *line, size_t n,
                          const char *words)
{
    char copy[LINE_COPY];
    snprintf(copy, sizeof copy, "%.*s", (int)(n < LINE_COPY ? n : LINE_COPY - 1), line);
    report_add(r->report, SEVERITY_ERROR, place, copy, NULL, "%s", words);
    return STATUS_SCENARIO;
}

/* Bytes that no scenario may hold. */
static enum status check_bytes(const struct reading *r, struct place place, const char *line,
                               size_t n)
{
    size_t bad;
    if (place.line == 1 && n >= 3 && memcmp(line, "\xef\xbb\xbf", 3) == 0) {
        place.column = 1;
        report_add(r->report, SEVERITY_ERROR, place, NULL, "save it as plain UTF-8",
                   "the file begins with a byte-order mark");
        return STATUS_SCENARIO;
    }
    if (!text_is_utf8(line, n, &bad)) {
        place.column = text_columns(line, bad) + 1;
        return refuse(r, place, line, n, "this is not UTF-8");
    }
    for (size_t i = 0; i < n; i++) {
        const bool blank = line[i] == '\t' || (line[i] == '\r' && i + 1 == n);
        const long number = blank ? TEXT_PLAIN : text_control(line + i, n - i);
        if (number == TEXT_PLAIN)
            continue;
        place.column = text_columns(line, i) + 1;
        char words[64];
        snprintf(words, sizeof words,
                 number < 0x80 ? "a control character (byte %ld)" : "a control character (U+%04lX)",
                 number);
        return refuse(r, place, line, n, words);
    }
    return STATUS_OK;
}

enum inside { INSIDE_NOTHING, INSIDE_COMMENT, INSIDE_TEXT };

/* Follows comments and texts through a line; *opened is where the open one began. */
static enum inside follow(enum inside state, const char *line, size_t n, size_t *opened)
{
    for (size_t i = 0; i < n; i++) {
        const char next = i + 1 < n ? line[i + 1] : '\0';
        if (state == INSIDE_COMMENT) {
            if (line[i] == '*' && next == '/') {
                state = INSIDE_NOTHING;
                i++;
            }
        } else if (state == INSIDE_TEXT) {
            if (line[i] == '\\')
                i++;
            else if (line[i] == '"')
                state = INSIDE_NOTHING;
        } else if (line[i] == '#' || (line[i] == '/' && next == '/')) {
            return state;
        } else if (line[i] == '"') {
            state = INSIDE_TEXT;
            *opened = i;
        } else if (line[i] == '/' && next == '*') {
            state = INSIDE_COMMENT;
            *opened = i++;
        }
    }
    return state;
}

/* ---- includes -------------------------------------------------------------------------------- */

static enum status add_part(const struct reading *r, const struct part *part);

/* The name in  @include "name"  or false if the line is no such directive; bad: one, but malformed.
 */
static bool find_include(const char *line, size_t n, struct place *place, char name[PATH_MAX],
                         bool *bad)
{
    size_t i = 0;
    while (i < n && (line[i] == ' ' || line[i] == '\t'))
        i++;
    static const char word[] = "@include";
    if (n - i < sizeof word - 1 || memcmp(line + i, word, sizeof word - 1) != 0)
        return false;
    place->column = (int)i + 1;
    i += sizeof word - 1;
    while (i < n && (line[i] == ' ' || line[i] == '\t'))
        i++;
    *bad = true;
    if (i == n || line[i] != '"')
        return true;
    const char *from = line + i + 1;
    const char *to = memchr(from, '"', n - i - 1);
    if (to == NULL || to == from || to - from >= PATH_MAX ||
        memchr(from, '\\', (size_t)(to - from)))
        return true;
    for (const char *p = to + 1; p < line + n; p++)
        if (strchr(" \t\r", *p) == NULL)
            return true;
    place->column = (int)(i + 1);
    place->width = text_columns(from, (size_t)(to - from)) + 2;
    snprintf(name, PATH_MAX, "%.*s", (int)(to - from), from);
    *bad = false;
    return true;
}

/* The file that `name` means beside the including file; NULL and words if it may not be read. */
static char *resolve_include(const struct reading *r, const struct part *part, const char *name,
                             const char **words)
{
    if (name[0] == '/') {
        *words = "an included file is named from the folder of the scenario, not from the root";
        return NULL;
    }
    char path[2 * PATH_MAX];
    const char *slash = strrchr(part->real, '/');
    snprintf(path, sizeof path, "%.*s/%s", (int)(slash - part->real), part->real, name);
    char *real = realpath(path, NULL);
    if (real == NULL) {
        *words = strerror(errno);
        return NULL;
    }
    if (!file_lies_below(r->source->folder, real)) {
        *words = "it lies outside the folder of the scenario";
        free(real);
        return NULL;
    }
    return real;
}

/* Name for complaints: beside the including file's own name. */
static char *shown_name(struct source *s, const char *includer, const char *name)
{
    const char *slash = strrchr(includer, '/');
    const int folder = slash == NULL ? 0 : (int)(slash - includer) + 1;
    char shown[2 * PATH_MAX];
    snprintf(shown, sizeof shown, "%.*s%s", folder, includer, name);
    char *copy = strdup(shown);
    if (copy != NULL)
        s->files[s->file_count++] = copy;
    return copy;
}

static enum status include(const struct reading *r, const struct part *part, const char *name,
                           struct place place)
{
    struct source *s = r->source;
    const char *words = NULL;
    char *real = NULL, *bytes = NULL;
    size_t size = 0;
    errno = 0;
    if (part->depth >= SOURCE_INCLUDES_DEEP)
        words = "files include one another more than 10 deep";
    else if (s->file_count > SOURCE_INCLUDES_MAX)
        words = "more than 64 files are included";
    else if ((real = resolve_include(r, part, name, &words)) != NULL)
        bytes = file_read(real, SOURCE_BYTES_MAX, &size, &words);
    enum status status = STATUS_SCENARIO;
    const char *shown = bytes == NULL ? NULL : shown_name(s, part->shown, name);
    if (shown != NULL) {
        const struct part inner = { part, shown, real, bytes, size, part->depth + 1 };
        status = add_part(r, &inner);
    } else {
        if (errno == ENOMEM)
            report_lose(r->report);
        report_add(r->report, SEVERITY_ERROR, place, NULL, NULL, "cannot include \"%s\": %s", name,
                   words == NULL ? "out of memory" : words);
    }
    free(bytes);
    free(real);
    return status;
}

static enum status unclosed(const struct reading *r, enum inside state, struct place opened)
{
    source_complain(
        r->source, r->report, SEVERITY_ERROR, opened,
        state == INSIDE_TEXT
            ? "end it on the same line with \", or look for one that is missing before it"
            : "end it with */",
        state == INSIDE_TEXT ? "this text is not closed"
                             : "this comment is not closed before the file ends");
    return STATUS_SCENARIO;
}

/* One line of a file: an include, or text. */
static enum status add_line(const struct reading *r, const struct part *part, const char *line,
                            size_t n, struct place place, enum inside state)
{
    char name[PATH_MAX];
    bool bad = false;
    if (state == INSIDE_NOTHING && find_include(line, n, &place, name, &bad)) {
        if (!bad)
            return include(r, part, name, place);
        return refuse(r, place, line, n, "write @include \"file\" on a line of its own");
    }
    if (r->source->size + n > SOURCE_BYTES_MAX)
        return refuse(r, place, "", 0, "scenario and included files are together over 1 MiB");
    return append_line(r->source, part->shown, place.line, line, n) ? STATUS_OK : STATUS_MEMORY;
}

static enum status add_part(const struct reading *r, const struct part *part)
{
    enum inside state = INSIDE_NOTHING;
    struct place opened = { 0 };
    int number = 1;
    for (size_t at = 0; at < part->size; number++) {
        const char *line = part->bytes + at;
        const char *end = memchr(line, '\n', part->size - at);
        const size_t n = end == NULL ? part->size - at : (size_t)(end - line);
        const struct place place = { .file = part->shown, .line = number };
        TRY(check_bytes(r, place, line, n));
        TRY(add_line(r, part, line, n, place, state));
        size_t from = 0;
        const enum inside before = state;
        state = follow(state, line, n, &from);
        if (state != INSIDE_NOTHING && before == INSIDE_NOTHING) {
            opened = place;
            opened.column = text_columns(line, from) + 1;
            opened.width = 1 + (state == INSIDE_COMMENT);
        }
        if (state == INSIDE_TEXT)
            return unclosed(r, state, opened);
        at += n + 1;
    }
    return state == INSIDE_NOTHING ? STATUS_OK : unclosed(r, state, opened);
}

/* ---- the whole ------------------------------------------------------------------------------- */

static struct source *create(const char *name)
{
    struct source *s = calloc(1, sizeof *s);
    if (s == NULL)
        return NULL;
    s->files[0] = strdup(name);
    s->file_count = 1;
    if (s->files[0] == NULL || !append_bytes(s, "", 0)) {
        source_free(s);
        return NULL;
    }
    return s;
}

static enum status fill(struct source *s, const struct part *part, struct report *report)
{
    const struct reading reading = { s, report };
    TRY(add_part(&reading, part));
    return source_find_marks(s, report);
}

enum status source_read(const char *path, struct report *report, struct source **out)
{
    *out = NULL;
    const char *words = NULL;
    size_t size = 0;
    errno = 0;
    char *bytes = file_read(path, SOURCE_BYTES_MAX, &size, &words);
    if (bytes == NULL) {
        const bool memory = errno == ENOMEM;
        report_add(report, SEVERITY_ERROR, (struct place){ .file = path }, NULL, NULL,
                   "cannot be read: %s", words);
        return memory ? STATUS_MEMORY : STATUS_NO_INPUT;
    }
    struct source *s = create(path);
    char *real = realpath(path, NULL);
    enum status status = STATUS_MEMORY;
    if (s != NULL && real != NULL) {
        char *slash = strrchr(real, '/');
        s->folder = strndup(real, slash == real ? 1 : (size_t)(slash - real));
        const struct part part = { NULL, s->files[0], real, bytes, size, 0 };
        if (s->folder != NULL)
            status = fill(s, &part, report);
    }
    free(real);
    free(bytes);
    *out = s;
    return status;
}

enum status source_scan(const char *name, const char *text, struct report *report,
                        struct source **out)
{
    struct source *s = create(name);
    *out = s;
    if (s == NULL)
        return STATUS_MEMORY;
    /* as if already too deep: nothing can be included from here */
    char nowhere[] = "/";
    const struct part part = {
        NULL, s->files[0], nowhere, text, strlen(text), SOURCE_INCLUDES_DEEP
    };
    return fill(s, &part, report);
}
