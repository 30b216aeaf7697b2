/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * results_place: the place of a folder of results: its name and its lock before it is written, and
 * its way there when it is whole.  The lock is a file beside the target; it is held from
 * results_open to the end and removed while it is held.
 */
#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include "results_inner.h"
#include "results_old.h"
#include "text.h"

enum {
    LOCK_TRIES = 8,
    TAIL = 6,       /* letters that mkdtemp makes up */
    BASE_MAX = 200, /* leaves room for what our own names add */
};

/* ---- names ------------------------------------------------------------------------------------
 */

const char *results_base(const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash ? slash + 1 : path;
}

/* What stands before the base, ".": nothing does. */
static void parent_of(const char *path, char out[RESULTS_PATH])
{
    const size_t n = (size_t)(results_base(path) - path);
    snprintf(out, RESULTS_PATH, "%.*s", n > 0 ? (int)n : 1, n > 0 ? path : ".");
}

static enum status refuse(char words[RESULTS_WORDS], const char *path, const char *why)
{
    char shown[RESULTS_PATH];
    text_escape(path, shown, sizeof shown);
    words[0] = '\0';
    text_append(words, RESULTS_WORDS, "%s: %s", shown, why);
    return STATUS_NO_OUTPUT;
}

static enum status set_names(struct results *r, const char *target, char words[RESULTS_WORDS])
{
    bool fits = text_copy(r->final, sizeof r->final, target);
    for (size_t n = strlen(r->final); n > 1 && r->final[n - 1] == '/'; n--)
        r->final[n - 1] = '\0';
    const char *base = results_base(r->final);
    if (*base == '\0' || strcmp(base, ".") == 0 || strcmp(base, "..") == 0)
        return refuse(words, target,
                      "give the results a folder of their own, such as results/first");
    char parent[RESULTS_PATH];
    parent_of(r->final, parent);
    const char *slash = base == r->final ? "/" : "";
    fits = text_append(r->temporary, sizeof r->temporary, "%s%s.%s.XXXXXX", parent, slash, base) &&
           fits;
    if (!fits || strlen(base) > BASE_MAX)
        return refuse(words, "the name of the results folder", "is too long");
    return STATUS_OK;
}

static enum status open_parent(struct results *r, char words[RESULTS_WORDS])
{
    char parent[RESULTS_PATH];
    parent_of(r->final, parent);
    r->parent = open(parent, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (r->parent >= 0)
        return STATUS_OK;
    if (errno == ENOENT)
        return refuse(words, parent, "there is no such folder; make it first (mkdir -p)");
    return refuse(words, parent, strerror(errno));
}

/* ---- the lock ---------------------------------------------------------------------------------
 */

static void lock_name(const struct results *r, char out[RESULTS_PATH])
{
    out[0] = '\0';
    text_append(out, RESULTS_PATH, ".%s.lock", results_base(r->final));
}

/* Whether the file that is locked still has its name: its last owner may have removed it meanwhile.
 */
static bool has_name(const struct results *r, int fd, const char *name)
{
    struct stat open_one, named;
    return fstat(fd, &open_one) == 0 &&
           fstatat(r->parent, name, &named, AT_SYMLINK_NOFOLLOW) == 0 &&
           open_one.st_ino == named.st_ino && open_one.st_dev == named.st_dev;
}

static enum status take_lock(struct results *r, char words[RESULTS_WORDS])
{
    char name[RESULTS_PATH];
    lock_name(r, name);
    for (int i = 0; i < LOCK_TRIES; i++) {
        const int flags = O_RDWR | O_CREAT | O_NOFOLLOW | O_CLOEXEC | O_NONBLOCK;
        const int fd = openat(r->parent, name, flags, 0600);
        if (fd < 0)
            return refuse(words, r->final, strerror(errno));
        if (flock(fd, LOCK_EX | LOCK_NB) != 0) {
            const int error = errno;
            close(fd);
            return refuse(words, r->final,
                          error == EWOULDBLOCK ? "another run is writing there" : strerror(error));
        }
        if (has_name(r, fd, name)) {
            r->lock = fd;
            return STATUS_OK;
        }
        close(fd);
    }
    return refuse(words, r->final, "other runs are writing there");
}

void results_close_all(struct results *r)
{
    if (r->lock >= 0) {
        char name[RESULTS_PATH];
        lock_name(r, name);
        unlinkat(r->parent, name, 0);
        close(r->lock);
    }
    if (r->folder >= 0)
        close(r->folder);
    if (r->parent >= 0)
        close(r->parent);
    r->lock = r->folder = r->parent = -1;
}

/* ---- opening ----------------------------------------------------------------------------------
 */

static enum status look_at_target(struct results *r, bool force, char words[RESULTS_WORDS])
{
    const char *base = results_base(r->final);
    struct stat there;
    if (fstatat(r->parent, base, &there, AT_SYMLINK_NOFOLLOW) != 0)
        return errno == ENOENT ? STATUS_OK : refuse(words, r->final, strerror(errno));
    if (S_ISLNK(there.st_mode))
        return refuse(words, r->final, "is a link; links are never replaced");
    if (!S_ISDIR(there.st_mode))
        return refuse(words, r->final, "is there already and is no folder");
    char why[RESULTS_OLD_WORDS];
    const bool ours = results_old_is(r->parent, base, why);
    if (!ours)
        return refuse(words, r->final, why);
    if (!force)
        return refuse(
            words, r->final,
            "holds results already; --force replaces them, --output chooses another place");
    r->replaces = true;
    return STATUS_OK;
}

static enum status make_folder(struct results *r, char words[RESULTS_WORDS])
{
    const bool made = mkdtemp(r->temporary) != NULL;
    if (made)
        r->folder = openat(r->parent, results_base(r->temporary),
                           O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC);
    if (r->folder >= 0)
        return STATUS_OK;
    const int error = errno;
    if (made)
        rmdir(r->temporary);
    return refuse(words, r->final, strerror(error));
}

/* The lock is ours, so whatever has the name of a temporary was left by a run that was killed. */
static void tell_strays(const struct results *r, char words[RESULTS_WORDS])
{
    char start[RESULTS_PATH];
    const size_t n = (size_t)snprintf(start, sizeof start, ".%s.", results_base(r->final));
    const int fd = openat(r->parent, ".", O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    DIR *dir = fd < 0 ? NULL : fdopendir(fd);
    if (!dir) {
        if (fd >= 0)
            close(fd);
        return;
    }
    char shown[NAME_MAX + 1] = "";
    int strays = 0;
    for (const struct dirent *d; (d = readdir(dir)) != NULL;) {
        const bool alike = strncmp(d->d_name, start, n) == 0 && strlen(d->d_name) == n + TAIL;
        if (alike && strcmp(d->d_name, results_base(r->temporary)) != 0 && strays++ == 0)
            text_escape(d->d_name, shown, sizeof shown);
    }
    closedir(dir);
    if (strays == 1)
        snprintf(words, RESULTS_WORDS, "a run that was killed left %s behind; it can be removed",
                 shown);
    else if (strays > 1)
        snprintf(words, RESULTS_WORDS,
                 "runs that were killed left %s and %d more named like it behind; they can be "
                 "removed",
                 shown, strays - 1);
}

enum status results_open(struct results *r, const char *target, bool force,
                         char words[RESULTS_WORDS])
{
    memset(r, 0, sizeof *r);
    r->parent = r->folder = r->lock = -1;
    words[0] = '\0';
    enum status status = set_names(r, target, words);
    if (status == STATUS_OK)
        status = open_parent(r, words);
    if (status == STATUS_OK)
        status = take_lock(r, words);
    if (status == STATUS_OK)
        status = look_at_target(r, force, words);
    if (status == STATUS_OK)
        status = make_folder(r, words);
    if (status == STATUS_OK)
        tell_strays(r, words);
    else
        results_close_all(r);
    return status;
}

/* ---- into its place ---------------------------------------------------------------------------
 */

static mode_t user_mask(void)
{
    const mode_t mask = umask(0);
    umask(mask);
    return mask;
}

/* mkdtemp made the folder for the owner alone; others may read results as the user's mask says. */
enum status results_settle(struct results *r)
{
    if (fchmod(r->folder, 0777 & ~user_mask()) == 0 && fsync(r->folder) == 0)
        return STATUS_OK;
    results_fail(r, ".", errno);
    return STATUS_IO;
}

static enum status place_new(struct results *r, char words[RESULTS_WORDS])
{
    const char *from = results_base(r->temporary), *to = results_base(r->final);
    if (renameat2(r->parent, from, r->parent, to, RENAME_NOREPLACE) == 0)
        return STATUS_OK;
    struct stat there; /* a file system may not know the flag */
    if (errno == EINVAL && fstatat(r->parent, to, &there, AT_SYMLINK_NOFOLLOW) != 0 &&
        renameat(r->parent, from, r->parent, to) == 0)
        return STATUS_OK;
    return refuse(words, r->final,
                  errno == EEXIST ? "came to be during the run; kept" : strerror(errno));
}

/* Puts the new folder in place of the old, which gets the temporary name. */
static enum status place_over(struct results *r, char words[RESULTS_WORDS])
{
    const char *new = results_base(r->temporary), *final = results_base(r->final);
    char why[RESULTS_OLD_WORDS];
    if (!results_old_is(r->parent, final, why)) /* somebody may have put a file into it */
        return refuse(words, r->final, why);
    if (renameat2(r->parent, new, r->parent, final, RENAME_EXCHANGE) == 0)
        return STATUS_OK;
    if (errno != EINVAL)
        return refuse(words, r->final, strerror(errno));
    char aside[RESULTS_PATH] = "";
    text_append(aside, sizeof aside, "%s.old", new);
    if (renameat2(r->parent, final, r->parent, aside, 0) != 0)
        return refuse(words, r->final, strerror(errno));
    if (renameat(r->parent, new, r->parent, final) != 0) {
        const int error = errno;
        renameat(r->parent, aside, r->parent, final);
        return refuse(words, r->final, strerror(error));
    }
    renameat(r->parent, aside, r->parent, new);
    return STATUS_OK;
}

enum status results_place(struct results *r, char words[RESULTS_WORDS])
{
    TRY(r->replaces ? place_over(r, words) : place_new(r, words));
    fsync(r->parent); /* whole either way; this only makes the name last */
    if (r->replaces && !results_old_remove(r->parent, results_base(r->temporary)))
        snprintf(words, RESULTS_WORDS, "what is left of the old results is in %s", r->temporary);
    return STATUS_OK;
}
