/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * cases: see cases.h.  Case i belongs to part i mod n of n.  Results that more than one part has
 * must be the same to the bit: so unlike machines, whose last digits differ, are found and not
 * mixed.
 */
#include "cases.h"

#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "cases_inner.h"
#include "memory.h"
#include "resolved.h"
#include "text.h"

static enum status say(char words[CASES_WORDS], enum status status, const char *folder,
                       const char *why)
{
    char shown[RESULTS_PATH];
    snprintf(words, CASES_WORDS, "%s: %s", text_escape(folder, shown, sizeof shown), why);
    return status;
}

/* ---- running ----------------------------------------------------------------------------------
 */

struct round {
    struct cases *store;
    char name[CASES_NAME];
    const struct cases_list *list;
    void (*work)(void *self, long i);
    void *self;
    long count;
    long *todo;
    enum status status; /* of keeping */
};

static void full_name(const struct campaign *c, const char *name, char out[CASES_NAME])
{
    const char *prefix = campaign_asked(c)->name;
    memset(out, 0, CASES_NAME);
    text_append(out, CASES_NAME, "%s%s%s", prefix ? prefix : "", prefix ? ", " : "", name);
}

static enum status differ(struct cases *k, const char *folder, const char *name)
{
    char words[2 * CASES_NAME + 200];
    snprintf(words, sizeof words,
             "its results (%s) are not what comes out elsewhere; all parts must be run and "
             "gathered by the same program on processors of one kind",
             name);
    return say(k->trouble, STATUS_NO_INPUT, folder, words);
}

static enum status recall_from(struct cases *k, const struct cases_file *f, const char *name,
                               const struct cases_list *l, bool known[])
{
    struct cases_record r;
    const char *result;
    for (size_t at = 0; cases_file_next(f, &at, &r, &result);) {
        if (strncmp(r.list, name, sizeof r.list) != 0)
            continue;
        if (r.count != l->count || r.size != (int64_t)l->size || r.index < 0 || r.index >= r.count)
            return differ(k, f->folder, name);
        if (l->wanted && !l->wanted[r.index]) /* a part may have wanted more than all together do */
            continue;
        char *place = (char *)l->results + (size_t)r.index * l->size;
        if (known[r.index] && memcmp(place, result, l->size) != 0)
            return differ(k, f->folder, name);
        memcpy(place, result, l->size);
        known[r.index] = true;
    }
    return STATUS_OK;
}

enum status cases_recall(struct cases *k, const char *name, const struct cases_list *l,
                         bool known[])
{
    for (int i = 0; i < k->files; i++)
        TRY(recall_from(k, &k->file[i], name, l, known));
    return STATUS_OK;
}

enum status cases_keep(struct cases *k, const char *name, const struct cases_list *l, long i)
{
    const char *result = (const char *)l->results + (size_t)i * l->size;
    k->ran++;
    if (k->fd < 0 || memory_is_short() || (l->sound && !l->sound(result)))
        return memory_is_short() ? STATUS_MEMORY : STATUS_OK; /* what was found then is no result */
    struct cases_record r = { .count = l->count, .index = i, .size = (int64_t)l->size };
    text_copy(r.list, sizeof r.list, name);
    return cases_file_append(k, &r, result);
}

/* After trouble with the store nothing more is run: it would be lost.  What was found when memory
 * ran out is none. */
static void work_and_keep(void *self, long j)
{
    struct round *r = self;
    enum status status;
#ifdef _OPENMP
#pragma omp atomic read
#endif
    status = r->status;
    if (status != STATUS_OK || memory_is_short())
        return;
    r->work(r->self, r->todo[j]);
    if (!r->store)
        return;
#ifdef _OPENMP
#pragma omp critical(cases_store)
#endif
    {
        status = cases_keep(r->store, r->name, r->list, r->todo[j]);
        if (status != STATUS_OK) {
#ifdef _OPENMP
#pragma omp atomic write
#endif
            r->status = status;
        }
    }
}

static bool belongs(const struct cases *k, const struct cases_list *l, long i)
{
    return !cases_partial(k) || l->everywhere || i % k->parts == k->part - 1;
}

static void list_todo(struct round *r, const bool known[])
{
    const struct cases_list *l = r->list;
    for (long i = 0; i < l->count; i++)
        if (!known[i] && (!l->wanted || l->wanted[i]) && belongs(r->store, l, i))
            r->todo[r->count++] = i;
}

static enum status run_round(struct round *r, const struct crew *crew)
{
    const struct cases_list *l = r->list;
    bool *known = calloc((size_t)l->count + 1, sizeof *known);
    r->todo = calloc((size_t)l->count + 1, sizeof *r->todo);
    enum status status = known && r->todo ? STATUS_OK : STATUS_MEMORY;
    if (status == STATUS_OK && r->store)
        status = cases_recall(r->store, r->name, l, known);
    if (status == STATUS_OK) {
        list_todo(r, known);
        if (!crew_all(crew, r->count, work_and_keep, r))
            status = STATUS_INTERRUPTED;
    }
    free(known);
    free(r->todo);
    return r->status != STATUS_OK ? r->status : status;
}

enum status cases_all(const struct campaign *c, const struct cases_list *l,
                      void (*work)(void *self, long i), void *self)
{
    const struct campaign_options *o = campaign_asked(c);
    const struct crew crew = { o->jobs, o->progress, o->progress_self, o->stop };
    struct round r = { .store = o->cases, .list = l, .work = work, .self = self };
    full_name(c, l->name, r.name);
    return run_round(&r, &crew);
}

enum status cases_crew(struct cases *k, const struct crew *crew, const struct cases_list *l,
                       void (*work)(void *self, long i), void *self)
{
    struct round r = { .store = k, .list = l, .work = work, .self = self };
    text_copy(r.name, sizeof r.name, l->name);
    return run_round(&r, crew);
}

enum status cases_agree(const struct campaign *c, const char *name, const void *bytes, size_t size)
{
    struct cases *k = campaign_asked(c)->cases;
    if (!k)
        return STATUS_OK;
    char full[CASES_NAME];
    full_name(c, name, full);
    void *copy = malloc(size);
    if (!copy)
        return STATUS_MEMORY;
    memcpy(copy, bytes, size);
    const struct cases_list l = { .name = name, .count = 1, .size = size, .results = copy };
    bool known = false;
    enum status status = cases_recall(k, full, &l, &known);
    if (status == STATUS_OK && !known)
        status = cases_keep(k, full, &l, 0);
    else if (status == STATUS_OK && memcmp(copy, bytes, size) != 0)
        status = differ(k, k->file[0].folder, full);
    free(copy);
    return status;
}

/* ---- what a store is of -----------------------------------------------------------------------
 */

static void hash_program(char out[CASES_HASH])
{
    long long size;
    memset(out, 0, CASES_HASH);
    const int fd = open("/proc/self/exe", O_RDONLY | O_CLOEXEC);
    if (fd >= 0 && !hash_file(fd, out, &size))
        memset(out, 0, CASES_HASH);
    if (fd >= 0)
        close(fd);
}

void cases_this_program(struct cases_header *h)
{
    text_copy(h->version, sizeof h->version, LEAT_VERSION);
    hash_program(h->build);
}

static enum status fill_header(struct cases_header *h, const struct scenario *s,
                               const struct cases_of *of)
{
    memset(h, 0, sizeof *h);
    cases_this_program(h);
    text_copy(h->verb, sizeof h->verb, of->verb);
    text_copy(h->options, sizeof h->options, of->options);
    text_copy(h->file, sizeof h->file, of->file);
    h->part = of->part;
    h->parts = of->parts;
    return h->build[0] == '\0' ? STATUS_NO_INPUT : resolved_hash(s, h->scenario);
}

const char *cases_objection(const struct cases_header *is, const struct cases_header *wanted,
                            char words[CASES_WORDS])
{
    if (strcmp(is->version, wanted->version) != 0 || strcmp(is->build, wanted->build) != 0)
        return "it is of another version or another build of leat";
    if (strcmp(is->scenario, wanted->scenario) != 0)
        return "it belongs to another scenario, or to other values of --set";
    if (strcmp(is->verb, wanted->verb) != 0 || strcmp(is->options, wanted->options) != 0)
        snprintf(words, CASES_WORDS, "it was begun as leat %s %s", is->verb, is->options);
    else if (is->parts != wanted->parts)
        snprintf(words, CASES_WORDS, "it is part %d of %d, not of %d", is->part, is->parts,
                 wanted->parts);
    else if (is->part != wanted->part)
        snprintf(words, CASES_WORDS, "it is part %d of %d, not part %d", is->part, is->parts,
                 wanted->part);
    else
        return NULL;
    return words;
}

bool cases_fits(const struct cases *k, const struct scenario *s)
{
    char hash[CASES_HASH] = "";
    return resolved_hash(s, hash) == STATUS_OK && strcmp(hash, k->file[0].header.scenario) == 0;
}

/* ---- one store --------------------------------------------------------------------------------
 */

struct cases *cases_create(int files)
{
    struct cases *k = calloc(1, sizeof *k);
    if (!k)
        return NULL;
    k->fd = -1;
    k->file = calloc((size_t)files, sizeof *k->file);
    if (k->file)
        return k;
    free(k);
    return NULL;
}

static bool is_there(const char *folder)
{
    char path[RESULTS_PATH] = "";
    return text_append(path, sizeof path, "%s/%s", folder, CASES_FILE) && access(path, F_OK) == 0;
}

static enum status go_on(struct cases *k, const char *folder, const struct cases_header *wanted,
                         char words[CASES_WORDS])
{
    TRY(cases_file_lock(k, folder, words));
    k->files = 1;
    TRY(cases_file_read(&k->file[0], folder, words));
    char why[CASES_WORDS];
    const char *objected = cases_objection(&k->file[0].header, wanted, why);
    if (objected)
        return say(words, STATUS_NO_INPUT, folder, objected);
    k->end = (off_t)k->file[0].size;
    k->part = wanted->part;
    k->parts = wanted->parts;
    return ftruncate(k->fd, k->end) == 0 ? STATUS_OK
                                         : say(words, STATUS_IO, folder, "cannot be written");
}

enum status cases_open(struct cases **out, const char *folder, const struct scenario *s,
                       const struct cases_of *of, bool fresh, char words[CASES_WORDS])
{
    struct cases_header *h = malloc(sizeof *h);
    struct cases *k = cases_create(1);
    enum status status = h && k ? fill_header(h, s, of) : STATUS_MEMORY;
    snprintf(words, CASES_WORDS, "%s", status_words(status));
    if (status == STATUS_OK && strlen(of->file) >= sizeof h->file)
        status = say(words, STATUS_NO_OUTPUT, "the name of the scenario", "is too long");
    if (status == STATUS_OK && fresh && !is_there(folder))
        status = cases_file_make(folder, s, h, words);
    if (status == STATUS_OK)
        status = go_on(k, folder, h, words);
    free(h);
    if (status != STATUS_OK)
        cases_free(k);
    else
        *out = k;
    return status;
}

void cases_free(struct cases *k)
{
    if (!k)
        return;
    for (int i = 0; i < k->files; i++)
        free(k->file[i].bytes);
    free(k->file);
    if (k->fd >= 0)
        close(k->fd);
    free(k);
}

bool cases_partial(const struct cases *k)
{
    return k && k->parts > 1;
}

long cases_known(const struct cases *k)
{
    long n = k->fd >= 0 ? k->ran : 0;
    for (int i = 0; i < k->files; i++)
        n += k->file[i].records;
    return n;
}

long cases_run(const struct cases *k)
{
    return k->ran;
}

const char *cases_trouble(const struct cases *k)
{
    return k ? k->trouble : "";
}
