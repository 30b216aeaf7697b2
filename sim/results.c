/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * results: see results.h.  Page: docs/results.md.
 *
 * Everything is reached through open folders and by names without a folder in them, and no link is
 * ever followed, so that nobody can turn a name into a path elsewhere while a run goes on.  The
 * lock is a file beside the target; it is held from results_open to the end and removed while it is
 * held.
 */
#include "results.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <gsl/gsl_version.h>
#include <jansson.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include "hash.h"
#include "memory.h"
#include "results_old.h"
#include "text.h"
#include "units.h"

#ifndef LEAT_LIBCONFIG
#define LEAT_LIBCONFIG "unknown"
#endif
#ifdef __clang__
#define COMPILER "clang " __clang_version__
#else
#define COMPILER "gcc " __VERSION__
#endif

static const char MANIFEST[] = "manifest.json";

enum {
    BUFFER = 1 << 16,
    LOCK_TRIES = 8,
    TAIL = 6,       /* letters that mkdtemp makes up */
    BASE_MAX = 200, /* leaves room for what our own names add */
    LISTED = RESULTS_NAME
};

/* ---- names ------------------------------------------------------------------------------------
 */

/* The last name in the path; everything before it is the parent. */
static const char *base_of(const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash ? slash + 1 : path;
}

/* What stands before the base, ".": nothing does. */
static void parent_of(const char *path, char out[RESULTS_PATH])
{
    const size_t n = (size_t)(base_of(path) - path);
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
    const char *base = base_of(r->final);
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
    text_append(out, RESULTS_PATH, ".%s.lock", base_of(r->final));
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

static void close_all(struct results *r)
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
    const char *base = base_of(r->final);
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
        r->folder = openat(r->parent, base_of(r->temporary),
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
    const size_t n = (size_t)snprintf(start, sizeof start, ".%s.", base_of(r->final));
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
        if (alike && strcmp(d->d_name, base_of(r->temporary)) != 0 && strays++ == 0)
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
        close_all(r);
    return status;
}

/* ---- files ------------------------------------------------------------------------------------
 */

static void fail(struct results *r, const char *name, int error)
{
    if (r->error != 0)
        return;
    r->error = error != 0 ? error : EIO;
    text_copy(r->failed, sizeof r->failed, name);
}

enum status results_explain(const struct results *r, enum status status, char words[RESULTS_WORDS])
{
    char shown[RESULTS_PATH];
    words[0] = '\0';
    if (status != STATUS_IO || r->error == 0)
        return status;
    text_escape(r->final, shown, sizeof shown);
    snprintf(words, RESULTS_WORDS, "%s: %s could not be written: %s", shown, r->failed,
             strerror(r->error));
    return r->error == ENOMEM ? STATUS_MEMORY : STATUS_IO;
}

/* Takes a row of the list; -1 and a remembered fault if the name or the list is too long. */
static int list_file(struct results *r, const char *name)
{
    if (r->files == RESULTS_FILES_MAX) {
        fail(r, name, EMFILE);
        return -1;
    }
    if (!text_copy(r->name[r->files], RESULTS_NAME, name)) {
        fail(r, name, ENAMETOOLONG);
        return -1;
    }
    return r->files++;
}

FILE *results_file(struct results *r, const char *name)
{
    const int flags = O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC;
    const int fd = openat(r->folder, name, flags, 0666);
    FILE *f = fd < 0 ? NULL : fdopen(fd, "w");
    if (!f) {
        fail(r, name, errno);
        if (fd >= 0)
            close(fd);
        return NULL;
    }
    const int row = list_file(r, name);
    if (row < 0) {
        fclose(f);
        return NULL;
    }
    setvbuf(f, NULL, _IOFBF, BUFFER);
    r->file[row] = f;
    return f;
}

void results_add(struct results *r, const char *name)
{
    list_file(r, name);
}

void results_add_all(struct results *r, const char *subfolder)
{
    struct dirent **list;
    const int n = scandirat(r->folder, subfolder, &list, NULL, NULL);
    for (int i = 0; i < n; i++) {
        char name[RESULTS_PATH];
        struct stat s;
        snprintf(name, sizeof name, "%s/%s", subfolder, list[i]->d_name);
        if (fstatat(r->folder, name, &s, AT_SYMLINK_NOFOLLOW) == 0 && S_ISREG(s.st_mode))
            list_file(r, name);
        free(list[i]);
    }
    if (n >= 0)
        free(list);
    else if (errno != ENOENT) /* "if there is one" */
        fail(r, subfolder, errno);
}

void results_drop(struct results *r, const char *subfolder)
{
    results_old_empty(r->folder, subfolder);
}

/* Errors of writing come late: each of these four may be the first to tell. */
static void finish(struct results *r, int i)
{
    FILE *f = r->file[i];
    if (!f)
        return;
    errno = 0;
    if (fflush(f) != 0 || ferror(f) || fsync(fileno(f)) != 0)
        fail(r, r->name[i], errno);
    errno = 0;
    if (fclose(f) != 0)
        fail(r, r->name[i], errno);
    r->file[i] = NULL;
}

enum status results_flush(struct results *r)
{
    for (int i = 0; i < r->files; i++)
        finish(r, i);
    return r->error == 0 ? STATUS_OK : STATUS_IO;
}

/* ---- the manifest -----------------------------------------------------------------------------
 */

/* Hash and size of a file of the folder, which reaches the disk here if another program wrote it.
 */
static json_t *describe(struct results *r, const char *name)
{
    const int fd = openat(r->folder, name, O_RDONLY | O_NOFOLLOW | O_CLOEXEC | O_NONBLOCK);
    char hash[HASH_TEXT] = "";
    long long bytes = 0;
    if (fd < 0 || !hash_file(fd, hash, &bytes) || fsync(fd) != 0)
        fail(r, name, errno);
    if (fd >= 0)
        close(fd);
    return json_pack("{s:s, s:I}", "sha256", hash, "bytes", (json_int_t)bytes);
}

static json_t *manifest(struct results *r, unsigned long seed)
{
    json_t *files = json_object();
    for (int i = 0; i < r->files; i++)
        json_object_set_new(files, r->name[i], describe(r, r->name[i]));
    json_t *m = json_pack("{s:s, s:s, s:I, s:s, s:{s:s, s:s, s:s}, s:o}", "program",
                          RESULTS_OLD_PROGRAM, "version", LEAT_VERSION, "seed", (json_int_t)seed,
                          "compiler", COMPILER, "libraries", "gsl", gsl_version, "libconfig",
                          LEAT_LIBCONFIG, "jansson", jansson_version_str(), "files", files);
    if (units_taste() != TASTE_METRIC) /* words and pictures; data are metric */
        json_object_set_new(m, "shown_in", json_string(units_taste_name(units_taste())));
    return m;
}

static int by_name(const void *a, const void *b)
{
    return strcmp(a, b);
}

static enum status write_manifest(struct results *r, unsigned long seed)
{
    qsort(r->name, (size_t)r->files, sizeof r->name[0],
          by_name); /* all closed: no FILE to move along */
    json_t *m = manifest(r, seed);
    if (!m)
        return STATUS_MEMORY;
    FILE *f = results_file(r, MANIFEST);
    if (f) {
        json_dumpf(m, f, JSON_INDENT(2));
        fputc('\n', f);
    }
    json_decref(m);
    TRY(results_flush(r));
    return memory_is_short() ? STATUS_MEMORY : STATUS_OK; /* something is missing in the files */
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
static enum status settle(struct results *r)
{
    if (fchmod(r->folder, 0777 & ~user_mask()) == 0 && fsync(r->folder) == 0)
        return STATUS_OK;
    fail(r, ".", errno);
    return STATUS_IO;
}

static enum status place_new(struct results *r, char words[RESULTS_WORDS])
{
    const char *from = base_of(r->temporary), *to = base_of(r->final);
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
    const char *new = base_of(r->temporary), *final = base_of(r->final);
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

static enum status place(struct results *r, char words[RESULTS_WORDS])
{
    TRY(r->replaces ? place_over(r, words) : place_new(r, words));
    fsync(r->parent); /* whole either way; this only makes the name last */
    if (r->replaces && !results_old_remove(r->parent, base_of(r->temporary)))
        snprintf(words, RESULTS_WORDS, "what is left of the old results is in %s", r->temporary);
    return STATUS_OK;
}

enum status results_commit(struct results *r, unsigned long seed, char words[RESULTS_WORDS])
{
    words[0] = '\0';
    enum status status = results_flush(r);
    if (status == STATUS_OK)
        status = write_manifest(r, seed);
    if (status == STATUS_OK)
        status = settle(r);
    if (status == STATUS_IO)
        status = results_explain(r, status, words);
    if (status == STATUS_OK)
        status = place(r, words);
    if (status == STATUS_OK)
        close_all(r);
    else
        results_abandon(r);
    return status;
}

void results_abandon(struct results *r)
{
    for (int i = 0; i < r->files; i++)
        if (r->file[i]) {
            fclose(r->file[i]);
            r->file[i] = NULL;
        }
    if (r->folder >= 0)
        results_old_empty(r->parent, base_of(r->temporary));
    close_all(r);
}
