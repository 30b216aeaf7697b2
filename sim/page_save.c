/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * page_save: a page appears whole or not at all.  Page: docs/page.md.
 *
 * It is written under a name that nobody can guess beside its place, made anew and through no link,
 * written through to the disk, and then gets its name in one step.
 */
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "page.h"
#include "text.h"

static enum status refuse(const char *target, const char *why, enum status status,
                          char words[PAGE_WORDS])
{
    char shown[RESULTS_PATH];
    words[0] = '\0';
    text_append(words, PAGE_WORDS, "%s: %s", text_escape(target, shown, sizeof shown), why);
    return status;
}

/* What stands there may stay, be replaced, or forbids it. */
static enum status look(const char *target, bool force, char words[PAGE_WORDS])
{
    struct stat there;
    if (lstat(target, &there) != 0)
        return errno == ENOENT ? STATUS_OK
                               : refuse(target, strerror(errno), STATUS_NO_OUTPUT, words);
    const char *why = S_ISLNK(there.st_mode)    ? "is a link; links are never replaced"
                      : S_ISDIR(there.st_mode)  ? "is a folder; give the page a name of its own"
                      : !S_ISREG(there.st_mode) ? "is no plain file"
                      : !force
                          ? "is there already; --force replaces it, --output chooses another name"
                          : NULL;
    return why ? refuse(target, why, STATUS_NO_OUTPUT, words) : STATUS_OK;
}

static bool put_bytes(int fd, const char *bytes, size_t size)
{
    while (size > 0) {
        const ssize_t n = write(fd, bytes, size);
        if (n < 0 && errno == EINTR)
            continue;
        if (n <= 0)
            return false;
        bytes += n;
        size -= (size_t)n;
    }
    return true;
}

/* mkostemp made the file for the owner alone; others may read a page as the user's mask says. */
static bool settle(int fd)
{
    const mode_t mask = umask(0);
    umask(mask);
    return fchmod(fd, 0666 & ~mask) == 0 && fsync(fd) == 0;
}

/* Without force a file that came meanwhile is not replaced. */
static bool give_name(const char *temporary, const char *target, bool force)
{
    if (force)
        return rename(temporary, target) == 0;
    return link(temporary, target) == 0 && unlink(temporary) == 0;
}

enum status page_save(const char *target, bool force, const char *bytes, size_t size,
                      char words[PAGE_WORDS])
{
    char temporary[RESULTS_PATH] = "";
    const char *slash = strrchr(target, '/');
    const int folder = slash ? (int)(slash - target) + 1 : 0;
    words[0] = '\0';
    TRY(look(target, force, words));
    if (!text_append(temporary, sizeof temporary, "%.*s.%.40s.XXXXXX", folder, target,
                     target + folder))
        return refuse(target, "the name is too long", STATUS_NO_OUTPUT, words);
    const int fd = mkostemp(temporary, O_CLOEXEC);
    if (fd < 0)
        return refuse(target, strerror(errno), STATUS_NO_OUTPUT, words);
    int error = put_bytes(fd, bytes, size) && settle(fd) ? 0 : errno;
    if (close(fd) != 0 && error == 0)
        error = errno;
    if (error == 0 && !give_name(temporary, target, force))
        error = errno;
    if (error == 0)
        return STATUS_OK;
    unlink(temporary);
    return refuse(target, strerror(error), STATUS_IO, words);
}
