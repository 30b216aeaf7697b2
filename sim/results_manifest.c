/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * results_manifest: what stands in manifest.json, by which a folder of results is known again.
 */
#include <errno.h>
#include <fcntl.h>
#include <gsl/gsl_version.h>
#include <jansson.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "hash.h"
#include "memory.h"
#include "results_inner.h"
#include "results_old.h"
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

/* Hash and size of a file of the folder, which reaches the disk here if another program wrote it.
 */
static json_t *describe(struct results *r, const char *name)
{
    const int fd = openat(r->folder, name, O_RDONLY | O_NOFOLLOW | O_CLOEXEC | O_NONBLOCK);
    char hash[HASH_TEXT] = "";
    long long bytes = 0;
    if (fd < 0 || !hash_file(fd, hash, &bytes) || fsync(fd) != 0)
        results_fail(r, name, errno);
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
        json_object_set_new(m, "shown_in", json_string(units_taste_name((int)units_taste())));
    return m;
}

static int by_name(const void *a, const void *b)
{
    return strcmp(a, b);
}

enum status results_write_manifest(struct results *r, unsigned long seed)
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
