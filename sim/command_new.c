/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * command_new: copies a commented scenario that is compiled in.  Page: docs/commands.md.
 */
#include "command.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <unistd.h>

#include "embed.h"
#include "screen.h"
#include "text.h"

static const char ENDING[] = ".cfg";
static const char FIRST[] = "demo"; /* copied if none is asked for */

enum { PATH_ROOM = 4096, LINE_ROOM = 240 };

static bool ends_so(const char *name)
{
    const size_t n = strlen(name), m = strlen(ENDING);
    return n >= m && strcmp(name + n - m, ENDING) == 0;
}

/* Adds .cfg if it is not there; false if that is too long. */
static bool with_ending(const char *name, char out[PATH_ROOM])
{
    out[0] = '\0';
    return text_append(out, PATH_ROOM, "%s%s", name, ends_so(name) ? "" : ENDING);
}

/* What a scenario says of itself: its first line of comment that is no licence tag. */
static void first_words(const char *text, char out[LINE_ROOM])
{
    static const char MARKS[] = "#/* ";
    out[0] = '\0';
    while (out[0] == '\0' && *text != '\0' && strchr("#/*\n", *text)) {
        const size_t length = strcspn(text, "\n"), mark = strspn(text, MARKS);
        if (mark < length && strncmp(text + mark, "SPDX", 4) != 0)
            text_append(out, LINE_ROOM, "%.*s", (int)(length - mark), text + mark);
        text += length;
        text += *text == '\n';
    }
}

static enum status list_all(void)
{
    for (const struct embedded *e = embedded_scenarios; e->name; e++) {
        char name[SCREEN_CELL] = "", words[LINE_ROOM];
        const size_t length = strlen(e->name) - (ends_so(e->name) ? strlen(ENDING) : 0);
        text_append(name, sizeof name, "%-*.*s ", SCREEN_LABEL - 1, (int)length, e->name);
        first_words(e->text, words);
        screen_entry(stdout, name, "%s", words);
    }
    return STATUS_OK;
}

static const struct embedded *find(const char *from)
{
    char name[PATH_ROOM], shown[PATH_ROOM];
    const struct embedded *e =
        with_ending(from ? from : FIRST, name) ? embed_find(embedded_scenarios, name) : NULL;
    if (e)
        return e;
    if (!from && embedded_scenarios[0].name)
        return &embedded_scenarios[0];
    struct nearest near = text_nearest_to(name);
    for (e = embedded_scenarios; e->name; e++)
        text_nearest_try(&near, e->name);
    fprintf(stderr, "leat new: there is no scenario \"%s\"; ",
            text_escape(from ? from : FIRST, shown, sizeof shown));
    if (near.name)
        fprintf(stderr, "did you mean %.*s?\n", (int)(strlen(near.name) - strlen(ENDING)),
                near.name);
    else
        fputs("--list shows those there are\n", stderr);
    return NULL;
}

static bool write_all(int fd, const char *text, size_t size)
{
    while (size > 0) {
        const ssize_t n = write(fd, text, size);
        if (n < 0 && errno != EINTR)
            return false;
        if (n > 0) {
            text += n;
            size -= (size_t)n;
        }
    }
    return true;
}

static enum status complain(const char *path, const char *why, enum status status)
{
    char shown[PATH_ROOM];
    fprintf(stderr, "leat new: %s: %s\n", text_escape(path, shown, sizeof shown), why);
    return status;
}

/* Never overwrites: what a person has changed in a scenario is work. */
static enum status write_new(const char *path, const struct embedded *e)
{
    const int fd = open(path, O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, 0666);
    if (fd < 0 && errno == EEXIST)
        return complain(path, "is there already, and is left as it is", STATUS_NO_OUTPUT);
    if (fd < 0)
        return complain(path, strerror(errno), STATUS_NO_OUTPUT);
    int error = write_all(fd, e->text, e->size) && fsync(fd) == 0 ? 0 : errno;
    if (close(fd) != 0 && error == 0)
        error = errno;
    if (error == 0)
        return STATUS_OK;
    unlink(path);
    return complain(path, strerror(error), STATUS_IO);
}

enum status command_new(const struct options *o)
{
    if (o->list)
        return list_all();
    char path[PATH_ROOM], shown[PATH_ROOM];
    const char *slash = strrchr(o->operand, '/');
    if ((slash && slash[1] == '\0') || !with_ending(o->operand, path))
        return complain(o->operand, "is no name for a file", STATUS_USAGE);
    const struct embedded *e = find(o->from);
    if (!e)
        return STATUS_USAGE;
    TRY(write_new(path, e));
    if (!o->quiet) {
        char argument[PATH_ROOM];
        printf("%s is yours to change; leat keys lists every key that it may have.\n"
               "Next: leat check %s\n",
               text_escape(path, shown, sizeof shown),
               screen_argument(path, argument, sizeof argument));
    }
    return STATUS_OK;
}
