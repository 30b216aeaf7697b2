/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * results_old: see results_old.h.  Page: docs/results.md.
 *
 * The manifest may have been written by anybody, so a name in it is only believed if it is a file
 * name or figures/ and a file name.
 */
#include "results_old.h"

#include <dirent.h>
#include <fcntl.h>
#include <stdalign.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "text.h"

static const char MANIFEST[] = "manifest.json";
static const char FIGURES[] = "figures"; /* the only subfolder that results have */

enum { MANIFEST_BYTES_MAX = 1 << 20, PATH_ROOM = 600, DEEP_MAX = 4, WALK_BYTES = 4096, ROUNDS = 4 };

static int open_folder(int parent, const char *name)
{
    return openat(parent, name, O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC);
}

/* A walk through the entries of an open folder.  Not by opendir, which needs memory: what is left
 * must go when there is none, too. */
struct walk {
    int folder;
    ssize_t size, at; /* bytes of entries, and where the next one begins */
    alignas(struct dirent64) char bytes[WALK_BYTES];
};

static struct walk walk_from(int folder)
{
    lseek(folder, 0, SEEK_SET);
    return (struct walk){ .folder = folder };
}

/* The next name; NULL at the end, and *fine false if the folder cannot be read. */
static const char *next_entry(struct walk *w, bool *fine)
{
    for (;;) {
        if (w->at >= w->size) {
            w->size = getdents64(w->folder, w->bytes, sizeof w->bytes);
            w->at = 0;
        }
        if (w->size <= 0) {
            *fine = *fine && w->size == 0;
            return NULL;
        }
        const struct dirent64 *d = (const void *)(w->bytes + w->at);
        w->at += d->d_reclen;
        if (strcmp(d->d_name, ".") != 0 && strcmp(d->d_name, "..") != 0)
            return d->d_name;
    }
}

json_t *results_old_manifest(int folder)
{
    const int fd = openat(folder, MANIFEST, O_RDONLY | O_NOFOLLOW | O_CLOEXEC | O_NONBLOCK);
    if (fd < 0)
        return NULL;
    struct stat s;
    json_t *m = NULL;
    if (fstat(fd, &s) == 0 && S_ISREG(s.st_mode) && s.st_size <= MANIFEST_BYTES_MAX)
        m = json_loadfd(fd, JSON_REJECT_DUPLICATES, NULL);
    close(fd);
    const char *program = json_string_value(json_object_get(m, "program"));
    if (program && strcmp(program, RESULTS_OLD_PROGRAM) == 0 &&
        json_is_object(json_object_get(m, "files")))
        return m;
    json_decref(m);
    return NULL;
}

static bool is_folder(int folder, const char *name)
{
    struct stat s;
    return fstatat(folder, name, &s, AT_SYMLINK_NOFOLLOW) == 0 && S_ISDIR(s.st_mode);
}

static bool is_regular(int folder, const char *name)
{
    struct stat s;
    return fstatat(folder, name, &s, AT_SYMLINK_NOFOLLOW) == 0 && S_ISREG(s.st_mode);
}

/* Whether every entry of a folder (at `prefix` in the results) is a listed file; *stranger is the
 * first that is not. */
static bool all_listed(int folder, const char *prefix, const json_t *files,
                       char stranger[PATH_ROOM])
{
    struct walk walk = walk_from(folder);
    bool fine = true;
    const char *name;
    while (fine && (name = next_entry(&walk, &fine)) != NULL) {
        char path[PATH_ROOM];
        snprintf(path, sizeof path, "%s%s", prefix, name);
        if (prefix[0] == '\0' && strcmp(name, FIGURES) == 0 && is_folder(folder, name)) {
            const int below = open_folder(folder, name);
            fine = below >= 0 && all_listed(below, "figures/", files, stranger);
            if (below >= 0)
                close(below);
            continue;
        }
        const bool listed =
            json_object_get(files, path) || (prefix[0] == '\0' && strcmp(name, MANIFEST) == 0);
        fine = listed && is_regular(folder, name);
        if (!fine)
            memcpy(stranger, path, sizeof path);
    }
    return fine;
}

bool results_old_is(int parent, const char *name, char why[RESULTS_OLD_WORDS])
{
    char stranger[PATH_ROOM] = "what could not be read", shown[RESULTS_OLD_WORDS / 2];
    const int folder = open_folder(parent, name);
    json_t *m = folder < 0 ? NULL : results_old_manifest(folder);
    bool fine = false;
    if (!m) {
        snprintf(why, RESULTS_OLD_WORDS,
                 "is there already and holds no results of this program; "
                 "--output chooses another place");
    } else {
        fine = all_listed(folder, "", json_object_get(m, "files"), stranger);
        if (!fine)
            snprintf(why, RESULTS_OLD_WORDS,
                     "holds results, but also %s, which is not listed in its manifest; nothing "
                     "is replaced",
                     text_escape(stranger, shown, sizeof shown));
    }
    json_decref(m);
    if (folder >= 0)
        close(folder);
    return fine;
}

bool results_old_believable(const char *path, bool *figure, const char **name)
{
    *figure = strncmp(path, "figures/", strlen("figures/")) == 0;
    *name = *figure ? path + strlen("figures/") : path;
    return **name != '\0' && !strchr(*name, '/') && strcmp(*name, ".") != 0 &&
           strcmp(*name, "..") != 0;
}

bool results_old_each(int folder, void (*see)(void *self, const char *name, const char *sha256),
                      void *self)
{
    json_t *m = results_old_manifest(folder);
    const char *path;
    json_t *value;
    json_object_foreach(json_object_get(m, "files"), path, value)
    {
        bool figure;
        const char *name;
        const char *hash = json_string_value(json_object_get(value, "sha256"));
        if (results_old_believable(path, &figure, &name) && !figure)
            see(self, name, hash ? hash : "");
    }
    json_decref(m);
    return m != NULL;
}

static void remove_listed(int folder, json_t *files)
{
    const int figures = open_folder(folder, FIGURES);
    const char *path;
    json_t *value;
    json_object_foreach(files, path, value)
    {
        bool figure;
        const char *name;
        if (results_old_believable(path, &figure, &name) && (!figure || figures >= 0))
            unlinkat(figure ? figures : folder, name, 0);
    }
    if (figures >= 0) {
        close(figures);
        unlinkat(folder, FIGURES, AT_REMOVEDIR);
    }
    unlinkat(folder, MANIFEST, 0);
}

bool results_old_remove(int parent, const char *name)
{
    const int folder = open_folder(parent, name);
    json_t *m = folder < 0 ? NULL : results_old_manifest(folder);
    if (m)
        remove_listed(folder, json_object_get(m, "files"));
    json_decref(m);
    if (folder >= 0)
        close(folder);
    return unlinkat(parent, name, AT_REMOVEDIR) == 0;
}

static bool empty(int parent, const char *name, int deep);

/* Removes what is in an open folder; a folder that changes may have to be walked again. */
static void remove_all(int folder, int deep)
{
    for (int round = 0; round < ROUNDS; round++) {
        struct walk walk = walk_from(folder);
        bool fine = true, any = false;
        for (const char *entry; (entry = next_entry(&walk, &fine)) != NULL; any = true) {
            if (is_folder(folder, entry))
                empty(folder, entry, deep - 1);
            else
                unlinkat(folder, entry, 0);
        }
        if (!any)
            return;
    }
}

static bool empty(int parent, const char *name, int deep)
{
    const int folder = open_folder(parent, name);
    if (folder >= 0 && deep > 0)
        remove_all(folder, deep);
    if (folder >= 0)
        close(folder);
    return unlinkat(parent, name, AT_REMOVEDIR) == 0;
}

bool results_old_empty(int parent, const char *name)
{
    return empty(parent, name, DEEP_MAX);
}
