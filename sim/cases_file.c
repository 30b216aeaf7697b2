/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * cases_file: the file of results, see docs/campaigns.md.  It is only ever appended to.  A record
 * counts if its hash is right and so are all before it: what a kill or a full disk cut off is
 * dropped and run again.
 */
#include <assert.h>
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include "cases_inner.h"
#include "file.h"
#include "resolved.h"
#include "text.h"

static const char MARK[] = "leat cases 1\n";
static const char END[] = "end"; /* the list of the last record: all is done */

enum { BYTES_MAX = 1 << 30 };

static_assert(sizeof(struct cases_header) ==
                  16 + 32 + 3 * CASES_HASH + 16 + CASES_OPTIONS + 8 + RESULTS_PATH,
              "a header has no gaps");
static_assert(sizeof(struct cases_record) == CASES_NAME + 24, "a record has no gaps");

static enum status say(char words[CASES_WORDS], enum status status, const char *path,
                       const char *why)
{
    char shown[RESULTS_PATH];
    snprintf(words, CASES_WORDS, "%s: %s", text_escape(path, shown, sizeof shown), why);
    return status;
}

static bool name_in(const char *folder, const char *name, char path[RESULTS_PATH])
{
    path[0] = '\0';
    return text_append(path, RESULTS_PATH, "%s/%s", folder, name);
}

/* ---- reading ----------------------------------------------------------------------------------
 */

static void hash_into(const void *bytes, size_t size, char out[CASES_HASH])
{
    memset(out, 0, CASES_HASH);
    hash_bytes(bytes, size, out);
}

/* Length of the record at an offset if it is sound, 0 if not. */
static size_t sound(const char *bytes, size_t left, struct cases_record *r)
{
    char hash[CASES_HASH];
    if (left < sizeof *r + CASES_HASH)
        return 0;
    memcpy(r, bytes, sizeof *r);
    if (r->size < 0 || (uint64_t)r->size > left - sizeof *r - CASES_HASH)
        return 0;
    const size_t size = sizeof *r + (size_t)r->size;
    hash_into(bytes, size, hash);
    return memcmp(hash, bytes + size, CASES_HASH) == 0 ? size + CASES_HASH : 0;
}

static bool sound_header(const char *bytes, size_t size, struct cases_header *h)
{
    char hash[CASES_HASH];
    if (size < sizeof *h)
        return false;
    memcpy(h, bytes, sizeof *h);
    hash_into(h, offsetof(struct cases_header, hash), hash);
    return strncmp(h->mark, MARK, sizeof h->mark) == 0 && memcmp(hash, h->hash, CASES_HASH) == 0;
}

enum status cases_file_read(struct cases_file *f, const char *folder, char words[CASES_WORDS])
{
    char path[RESULTS_PATH];
    size_t size = 0;
    const char *why = "its name is too long";
    *f = (struct cases_file){ 0 };
    errno = 0;
    if (text_copy(f->folder, sizeof f->folder, folder) && name_in(folder, CASES_FILE, path))
        f->bytes = file_read(path, BYTES_MAX, &size, &why);
    if (!f->bytes)
        return say(words, STATUS_NO_INPUT, folder,
                   errno == ENOENT || errno == ENOTDIR ? "holds no cases of a campaign" : why);
    if (!sound_header(f->bytes, size, &f->header))
        return say(words, STATUS_NO_INPUT, path, "it is damaged, or of another version of leat");
    f->size = sizeof f->header;
    struct cases_record r;
    for (size_t n; (n = sound(f->bytes + f->size, size - f->size, &r)) > 0; f->size += n) {
        f->finished = strncmp(r.list, END, sizeof r.list) == 0;
        f->records += !f->finished;
    }
    return STATUS_OK;
}

bool cases_file_next(const struct cases_file *f, size_t *at, struct cases_record *r,
                     const char **result)
{
    if (*at < sizeof f->header)
        *at = sizeof f->header;
    if (*at >= f->size)
        return false;
    memcpy(r, f->bytes + *at, sizeof *r);
    *result = f->bytes + *at + sizeof *r;
    *at += sizeof *r + (size_t)r->size + CASES_HASH;
    return true;
}

/* ---- making -----------------------------------------------------------------------------------
 */

/* Closes a stream; false if a byte of it did not arrive. */
static bool settle(FILE *f)
{
    bool fine = fflush(f) == 0 && !ferror(f) && fsync(fileno(f)) == 0;
    return fclose(f) == 0 && fine;
}

static FILE *file_in(const char *folder, const char *name)
{
    char path[RESULTS_PATH];
    return name_in(folder, name, path) ? fopen(path, "wxe") : NULL;
}

static bool write_all(const char *folder, const struct scenario *s, const struct cases_header *h)
{
    FILE *f = file_in(folder, CASES_SCENARIO);
    if (!f)
        return false;
    resolved_write(s, f);
    if (!settle(f))
        return false;
    const struct feed_log *log = s->plant.feed.log;
    if (log && !(f = file_in(folder, RESOLVED_LOG)))
        return false;
    if (log) {
        resolved_write_log(log, f);
        if (!settle(f))
            return false;
    }
    struct cases_header sealed = *h;
    memcpy(sealed.mark, MARK, sizeof MARK);
    hash_into(&sealed, offsetof(struct cases_header, hash), sealed.hash);
    f = file_in(folder, CASES_FILE);
    if (!f)
        return false;
    fwrite(&sealed, sizeof sealed, 1, f);
    return settle(f);
}

static void drop(const char *folder)
{
    static const char *const names[] = { CASES_SCENARIO, RESOLVED_LOG, CASES_FILE };
    char path[RESULTS_PATH];
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++)
        if (name_in(folder, names[i], path))
            unlink(path);
    rmdir(folder);
}

enum status cases_file_make(const char *folder, const struct scenario *s,
                            const struct cases_header *h, char words[CASES_WORDS])
{
    char temporary[RESULTS_PATH] = "", bare[RESULTS_PATH];
    text_copy(bare, sizeof bare, folder);
    for (size_t n = strlen(bare); n > 1 && bare[n - 1] == '/'; n--)
        bare[n - 1] = '\0';
    if (!text_append(temporary, sizeof temporary, "%s.XXXXXX", bare))
        return say(words, STATUS_NO_OUTPUT, "the name of the folder", "is too long");
    if (!mkdtemp(temporary))
        return say(words, STATUS_NO_OUTPUT, folder, strerror(errno));
    const mode_t mask = umask(0);
    umask(mask);
    bool fine = chmod(temporary, 0777 & ~mask) == 0 && write_all(temporary, s, h);
    fine = fine && rename(temporary, bare) == 0;
    if (fine)
        return STATUS_OK;
    const int error = errno;
    drop(temporary);
    const bool there = error == EEXIST || error == ENOTEMPTY || error == ENOTDIR;
    return say(words, error == ENOMEM ? STATUS_MEMORY : STATUS_NO_OUTPUT, folder,
               there ? "is there already and holds no cases of a campaign; --keep chooses another"
                     : strerror(error));
}

/* ---- appending --------------------------------------------------------------------------------
 */

enum status cases_file_lock(struct cases *k, const char *folder, char words[CASES_WORDS])
{
    char path[RESULTS_PATH];
    if (!name_in(folder, CASES_FILE, path))
        return say(words, STATUS_NO_INPUT, folder, "its name is too long");
    k->fd = open(path, O_RDWR | O_NOFOLLOW | O_CLOEXEC | O_NONBLOCK);
    if (k->fd < 0)
        return say(words, STATUS_NO_INPUT, folder,
                   errno == ENOENT || errno == ENOTDIR ? "holds no cases of a campaign"
                                                       : strerror(errno));
    if (flock(k->fd, LOCK_EX | LOCK_NB) != 0)
        return say(words, STATUS_NO_OUTPUT, folder,
                   errno == EWOULDBLOCK ? "another run is at work there" : strerror(errno));
    return STATUS_OK;
}

static bool write_whole(int fd, const char *bytes, size_t size, off_t at)
{
    while (size > 0) {
        const ssize_t n = pwrite(fd, bytes, size, at);
        if (n < 0 && errno == EINTR)
            continue;
        if (n <= 0)
            return false;
        bytes += n;
        at += n;
        size -= (size_t)n;
    }
    return true;
}

static enum status io_trouble(struct cases *k)
{
    return say(k->trouble, STATUS_IO, k->file[0].folder, strerror(errno));
}

enum status cases_file_append(struct cases *k, const struct cases_record *r, const void *result)
{
    const size_t size = sizeof *r + (size_t)r->size;
    char *bytes = malloc(size + CASES_HASH);
    if (!bytes)
        return STATUS_MEMORY;
    memcpy(bytes, r, sizeof *r);
    if (r->size > 0)
        memcpy(bytes + sizeof *r, result, (size_t)r->size);
    hash_into(bytes, size, bytes + size);
    const bool fine = write_whole(k->fd, bytes, size + CASES_HASH, k->end);
    free(bytes);
    if (!fine)
        return io_trouble(k);
    k->end += (off_t)(size + CASES_HASH);
    return STATUS_OK;
}

enum status cases_finish(struct cases *k)
{
    if (!k || k->fd < 0)
        return STATUS_OK;
    struct cases_record r = { .list = "" };
    memcpy(r.list, END, sizeof END);
    if (!k->file[0].finished || k->ran > 0)
        TRY(cases_file_append(k, &r, NULL));
    return fsync(k->fd) == 0 ? STATUS_OK : io_trouble(k);
}
