/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * saved: see saved.h.  A hash over all bytes guards against damage, not against malice; counts that
 * are used as an index are looked at.
 */
#include "saved.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>

#include "file.h"
#include "hash.h"
#include "resolved.h"
#include "text.h"

static void name_program(char out[32])
{
    snprintf(out, 32, "leat %s %zu", LEAT_VERSION, sizeof(struct saved));
}

enum status saved_fill(struct saved *s, const struct scenario *scenario,
                       const struct summary *summary, const struct recorder *recorder)
{
    name_program(s->program);
    s->summary = *summary;
    memset(s->summary.balance, 0, sizeof s->summary.balance); /* made anew at the end */
    recorder_save(recorder, &s->recorder);
    return resolved_hash(scenario, s->scenario);
}

void saved_write(const struct saved *s, FILE *out)
{
    char hash[HASH_TEXT];
    hash_bytes(s, sizeof *s, hash);
    fwrite(s, sizeof *s, 1, out);
    fwrite(hash, HASH_TEXT, 1, out);
}

static const char NO_MEMORY[] = "out of memory";

static const char *objection(const struct saved *s, const char *bytes, size_t size,
                             const struct scenario *scenario)
{
    char program[32], hash[HASH_TEXT];
    name_program(program);
    if (size != sizeof *s + HASH_TEXT || strncmp(s->program, program, sizeof program) != 0)
        return "it is damaged, or of another version of leat";
    hash_bytes(bytes, sizeof *s, hash);
    if (memcmp(hash, bytes + sizeof *s, HASH_TEXT) != 0)
        return "it is damaged";
    if (resolved_hash(scenario, hash) != STATUS_OK)
        return NO_MEMORY;
    if (memcmp(hash, s->scenario, HASH_TEXT) != 0)
        return "it belongs to another scenario, or to other values of --set";
    const struct run_saved *r = &s->run;
    const bool fits = r->next_event >= 0 && r->next_event <= scenario->plan.events &&
                      r->next_sample >= 0 && r->state.t >= 0.0;
    return fits ? NULL : "it is damaged";
}

enum status saved_read(struct saved *s, const char *folder, const struct scenario *scenario,
                       char words[SAVED_WORDS])
{
    char path[RESULTS_PATH] = "", shown[RESULTS_PATH];
    text_append(path, sizeof path, "%s/%s", folder, SAVED_NAME);
    size_t size = 0;
    const char *why = NULL;
    errno = 0;
    char *bytes = file_read(path, sizeof *s + HASH_TEXT, &size, &why);
    const bool memory = !bytes && errno == ENOMEM;
    if (bytes) {
        memset(s, 0, sizeof *s);
        memcpy(s, bytes, size < sizeof *s ? size : sizeof *s);
        why = objection(s, bytes, size, scenario);
    }
    free(bytes);
    if (!why)
        return STATUS_OK;
    snprintf(words, SAVED_WORDS, "%s: %s", text_escape(path, shown, sizeof shown), why);
    return memory || why == NO_MEMORY ? STATUS_MEMORY : STATUS_NO_INPUT;
}
