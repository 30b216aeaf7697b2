/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * results: see results.h.  Page: docs/results.md.
 *
 * Here are its files; results_place.c has its place and results_manifest.c its list.  Everything is
 * reached through open folders and by names without a folder in them, and no link is ever followed,
 * so that nobody can turn a name into a path elsewhere while a run goes on.
 */
#include "results_inner.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "results_old.h"
#include "text.h"

enum { BUFFER = 1 << 16 };

void results_fail(struct results *r, const char *name, int error)
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
        results_fail(r, name, EMFILE);
        return -1;
    }
    if (!text_copy(r->name[r->files], RESULTS_NAME, name)) {
        results_fail(r, name, ENAMETOOLONG);
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
        results_fail(r, name, errno);
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
        results_fail(r, subfolder, errno);
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
        results_fail(r, r->name[i], errno);
    errno = 0;
    if (fclose(f) != 0)
        results_fail(r, r->name[i], errno);
    r->file[i] = NULL;
}

enum status results_flush(struct results *r)
{
    for (int i = 0; i < r->files; i++)
        finish(r, i);
    return r->error == 0 ? STATUS_OK : STATUS_IO;
}

enum status results_commit(struct results *r, unsigned long seed, char words[RESULTS_WORDS])
{
    words[0] = '\0';
    enum status status = results_flush(r);
    if (status == STATUS_OK)
        status = results_write_manifest(r, seed);
    if (status == STATUS_OK)
        status = results_settle(r);
    if (status == STATUS_IO)
        status = results_explain(r, status, words);
    if (status == STATUS_OK)
        status = results_place(r, words);
    if (status == STATUS_OK)
        results_close_all(r);
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
        results_old_empty(r->parent, results_base(r->temporary));
    results_close_all(r);
}
