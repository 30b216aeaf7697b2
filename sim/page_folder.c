/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * page_folder: reads what a verb left, and believes nothing before its hash is that of the
 * manifest. Page: docs/page.md.  What is shown is kept in memory, so that nobody can change it
 * afterwards.
 */
#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "page.h"
#include "memory.h"
#include "results_old.h"
#include "text.h"
#include "tree.h"

static const char MANIFEST[] = "manifest.json";
static const char SCENARIO[] = "scenario.resolved.cfg";

/* ---- words ------------------------------------------------------------------------------------
 */

/* "demo-results: events.csv: why"; name NULL: of the folder itself. */
static enum status refuse(const struct page_part *part, const char *name, const char *why,
                          char words[PAGE_WORDS])
{
    char folder[RESULTS_PATH], shown[4 * RESULTS_NAME];
    text_escape(part->folder, folder, sizeof folder);
    words[0] = '\0';
    text_append(words, PAGE_WORDS, "%s: ", folder);
    if (name)
        text_append(words, PAGE_WORDS, "%s ", text_escape(name, shown, sizeof shown));
    text_append(words, PAGE_WORDS, "%s", why);
    return STATUS_NO_INPUT;
}

/* ---- files ------------------------------------------------------------------------------------
 */

/* A listed file, through no link; -1 and errno if it cannot be opened. */
static int open_listed(int folder, const char *path)
{
    bool figure;
    const char *name;
    if (!results_old_believable(path, &figure, &name)) {
        errno = EINVAL;
        return -1;
    }
    const int flags = O_RDONLY | O_NOFOLLOW | O_CLOEXEC | O_NONBLOCK;
    if (!figure)
        return openat(folder, name, flags);
    const int figures = openat(folder, "figures", O_DIRECTORY | flags);
    const int fd = figures < 0 ? -1 : openat(figures, name, flags);
    const int error = errno;
    if (figures >= 0)
        close(figures);
    errno = error;
    return fd;
}

static bool ends_with(const char *name, const char *end)
{
    const size_t n = strlen(name), m = strlen(end);
    return n >= m && strcmp(name + n - m, end) == 0;
}

/* Only the hash of the others is looked at: the series of a long run is large. */
static bool is_shown(const char *name)
{
    static const char *const ends[] = { ".svg", ".json", ".txt", ".cfg", ".csv" };
    if (strcmp(name, "series.csv") == 0 || strcmp(name, "map.csv") == 0)
        return false;
    for (size_t i = 0; i < sizeof ends / sizeof *ends; i++)
        if (ends_with(name, ends[i]))
            return true;
    return false;
}

/* All bytes of an open file. */
static bool read_all(int fd, size_t size, char *bytes)
{
    size_t got = 0;
    while (got < size) {
        const ssize_t n = read(fd, bytes + got, size - got);
        if (n < 0 && errno == EINTR)
            continue;
        if (n <= 0)
            return false;
        got += (size_t)n;
    }
    return true;
}

/* Hash and, if it is shown, bytes of an open file; why it cannot be read, or NULL. */
static const char *take(int fd, struct page_file *f, char hash[HASH_TEXT])
{
    struct stat s;
    long long size;
    if (fstat(fd, &s) != 0)
        return strerror(errno);
    if (!S_ISREG(s.st_mode))
        return "is not a plain file";
    if (!is_shown(f->name))
        return hash_file(fd, hash, &size) ? NULL : strerror(errno);
    if (s.st_size > PAGE_FILE_BYTES_MAX)
        return "is too large for a page";
    f->size = (size_t)s.st_size;
    f->bytes = memory_zeroed(f->size + 1);
    if (!f->bytes)
        return "could not be read: out of memory";
    if (!read_all(fd, f->size, f->bytes))
        return "could not be read";
    f->bytes[f->size] = '\0';
    hash_bytes(f->bytes, f->size, hash);
    return NULL;
}

static enum status read_file(struct page_part *part, int folder, const char *name,
                             const json_t *about, char words[PAGE_WORDS])
{
    const char *wanted = json_string_value(json_object_get(about, "sha256"));
    char hash[HASH_TEXT] = "";
    if (!wanted)
        return refuse(part, name, "has no hash in manifest.json", words);
    if (part->files == RESULTS_FILES_MAX)
        return refuse(part, name, "is one file too many", words);
    struct page_file *f = &part->file[part->files];
    const bool fits = text_copy(f->name, sizeof f->name, name);
    const int fd = fits ? open_listed(folder, name) : -1;
    if (fd < 0)
        return refuse(part, name, fits && errno == ENOENT ? "is missing" : "cannot be opened",
                      words);
    const char *why = take(fd, f, hash);
    close(fd);
    part->files++;
    if (!why && strcmp(hash, wanted) != 0)
        why = "is not as it was written: its hash is not that of manifest.json";
    return why ? refuse(part, name, why, words) : STATUS_OK;
}

/* ---- the folder -------------------------------------------------------------------------------
 */

static enum status recognise(struct page_part *part, const json_t *files, char words[PAGE_WORDS])
{
    for (const struct page_kind *k = page_kinds; k->verb; k++)
        if (json_object_get(files, k->mark))
            part->kind = k;
    return part->kind ? STATUS_OK
                      : refuse(part, NULL, "its manifest.json lists nothing that a page could tell",
                               words);
}

static enum status read_listed(struct page_part *part, int folder, char words[PAGE_WORDS])
{
    json_t *files = json_object_get(part->manifest, "files"), *about;
    const char *name;
    TRY(recognise(part, files, words));
    json_object_foreach(files, name, about) TRY(read_file(part, folder, name, about, words));
    return STATUS_OK;
}

static enum status read_manifest(struct page_part *part, int folder, char words[PAGE_WORDS])
{
    long long size;
    part->manifest = results_old_manifest(folder);
    const int fd =
        part->manifest ? openat(folder, MANIFEST, O_RDONLY | O_NOFOLLOW | O_CLOEXEC) : -1;
    const bool hashed = fd >= 0 && hash_file(fd, part->fingerprint, &size);
    if (fd >= 0)
        close(fd);
    return hashed ? STATUS_OK
                  : refuse(part, NULL,
                           "no results of this program lie there (no manifest.json of it)", words);
}

/* ---- what the scenario says -------------------------------------------------------------------
 */

static void read_texts(struct page_part *part, const struct node *root)
{
    const struct node *title = tree_member(root, "title"), *clock = tree_member(root, "clock");
    const struct node *start = clock ? tree_member(clock, "start") : NULL;
    const struct node *length = clock ? tree_member(clock, "length") : NULL;
    if (title && title->text)
        text_copy(part->title, sizeof part->title, title->text);
    if (start && start->text)
        text_copy(part->start, sizeof part->start, start->text);
    if (length && length->text)
        part->length = strtod(length->text, NULL); /* in seconds there, see resolved.h */
}

/* Title and clock; a scenario that cannot be read leaves them empty. */
static void read_scenario(struct page_part *part)
{
    const struct page_file *f = page_folder_file(part, SCENARIO);
    struct report *report = f ? report_create() : NULL;
    struct source *source = NULL;
    struct node *root = NULL;
    part->length = NAN;
    enum status status = f && !report ? STATUS_MEMORY : STATUS_OK;
    if (report)
        status = source_scan(SCENARIO, f->bytes, report, &source);
    if (report && status == STATUS_OK)
        status = tree_parse(source, report, &root);
    if (report && status == STATUS_OK)
        read_texts(part, root);
    if (status == STATUS_MEMORY)
        memory_ran_out();
    tree_free(root);
    source_free(source);
    report_free(report);
}

/* ---- all --------------------------------------------------------------------------------------
 */

static enum status read_answer(struct page_part *part, char words[PAGE_WORDS])
{
    const struct page_file *f = part->kind->json ? page_folder_file(part, part->kind->json) : NULL;
    if (!part->kind->json)
        return STATUS_OK;
    part->json = f ? json_loadb(f->bytes, f->size, 0, NULL) : NULL;
    if (!part->json)
        return refuse(part, part->kind->json, "holds no answer of this program", words);
    if (!page_folder_file(part, part->kind->words))
        return refuse(part, part->kind->words,
                      "is missing: an older version left this folder; make it anew", words);
    return STATUS_OK;
}

enum status page_folder_read(struct page_part *part, const char *path, char words[PAGE_WORDS])
{
    memset(part, 0, sizeof *part);
    if (!text_copy(part->folder, sizeof part->folder, path))
        return refuse(part, NULL, "the name is too long", words);
    const int folder = open(path, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (folder < 0)
        return refuse(part, NULL, errno == ENOTDIR ? "is no folder" : strerror(errno), words);
    enum status status = read_manifest(part, folder, words);
    if (status == STATUS_OK)
        status = read_listed(part, folder, words);
    close(folder);
    if (status == STATUS_OK)
        status = read_answer(part, words);
    if (status == STATUS_OK)
        read_scenario(part);
    else
        page_folder_free(part);
    return status;
}

void page_folder_free(struct page_part *part)
{
    json_decref(part->manifest);
    json_decref(part->json);
    for (int i = 0; i < part->files; i++)
        free(part->file[i].bytes);
    part->manifest = part->json = NULL;
    part->files = 0;
}

const struct page_file *page_folder_file(const struct page_part *part, const char *name)
{
    for (int i = 0; i < part->files; i++)
        if (strcmp(part->file[i].name, name) == 0 && part->file[i].bytes)
            return &part->file[i];
    return NULL;
}

bool page_folder_has_figures(const struct page_part *part)
{
    for (int i = 0; i < part->files; i++)
        if (ends_with(part->file[i].name, ".svg"))
            return true;
    return false;
}

bool page_folder_rows(const struct page_part *part, const char *name, struct rows *rows)
{
    const struct page_file *f = page_folder_file(part, name);
    *rows = (struct rows){ 0 };
    if (f && f->size > 0)
        rows->file = fmemopen(f->bytes, f->size, "r");
    if (f && f->size > 0 && !rows->file)
        memory_ran_out();
    return rows->file != NULL;
}
