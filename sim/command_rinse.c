/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * command_rinse: how should I rinse.  Page: docs/rinse.md.
 */
#include "command.h"

#include <stdlib.h>
#include <string.h>

#include "progress.h"
#include "resolved.h"
#include "results.h"
#include "rinse_figure.h"
#include "rinse_find.h"
#include "screen.h"

static enum status complain(const char *words, enum status status)
{
    if (words[0] != '\0')
        fprintf(stderr, "leat rinse: %s\n", words);
    return status;
}

static void tell(const struct rinse_found *f, const struct options *o, json_t *json)
{
    char group[RINSE_WORDS];
    if (o->format == FORMAT_JSON) {
        json_dumpf(json, stdout, JSON_INDENT(2) | JSON_REAL_PRECISION(6));
        putchar('\n');
        return;
    }
    rinse_print(f, stdout);
    putchar('\n');
    command_say_run(o->operand);
    if (f->pays)
        printf(" --set \\\n  '%s'", rinse_ways_group(&f->subject.programme, group));
    putchar('\n');
}

/* ---- a folder -----------------------------------------------------------------------------------
 */

struct table {
    const char *name;
    void (*write)(const struct rinse_found *f, FILE *out);
};

static const struct table tables[] = { { "map.csv", rinse_csv_map },
                                       { "ways.csv", rinse_csv_ways },
                                       { "doubts.csv", rinse_csv_doubts },
                                       { "answer.txt", rinse_print } };

static enum status write_files(struct results *r, const struct rinse_found *f, const json_t *json)
{
    for (size_t i = 0; i < sizeof tables / sizeof *tables; i++) {
        FILE *out = results_file(r, tables[i].name);
        if (!out)
            return STATUS_IO;
        tables[i].write(f, out);
    }
    FILE *out = results_file(r, "rinse.json");
    if (!out || json_dumpf(json, out, JSON_INDENT(2) | JSON_REAL_PRECISION(6)) != 0)
        return STATUS_IO;
    fputc('\n', out);
    TRY(resolved_keep(f->scenario, r));
    return results_flush(r);
}

static enum status keep(struct results *r, const struct rinse_found *f, const json_t *json)
{
    char words[RESULTS_WORDS] = "";
    const char *trouble = NULL;
    enum status status = write_files(r, f, json);
    if (status == STATUS_OK)
        status = rinse_figure(r->temporary, f, &command_stop, &trouble);
    if (trouble)
        complain(trouble, STATUS_OK);
    results_add_all(r, "figures");
    status = command_close_folder(r, status, 0, words);
    return complain(words, status);
}

/* ---- the answer ---------------------------------------------------------------------------------
 */

static enum status find_and_tell(const struct scenario *s, const struct options *o,
                                 struct results *results)
{
    struct rinse_found *f = calloc(1, sizeof *f);
    struct progress progress;
    if (!f) {
        if (results)
            results_abandon(results);
        return STATUS_MEMORY;
    }
    progress_begin(&progress, !o->quiet);
    const struct rinse_options options = { .jobs = o->jobs,
                                           .progress = progress_show,
                                           .progress_self = &progress,
                                           .stop = &command_stop };
    enum status status = rinse_find(f, s, &options);
    progress_end(&progress);
    json_t *json = status == STATUS_OK ? rinse_json(f) : NULL;
    if (status == STATUS_OK && !json)
        status = STATUS_MEMORY;
    if (results && status == STATUS_OK)
        status = keep(results, f, json);
    else if (results)
        results_abandon(results);
    if (status == STATUS_OK)
        tell(f, o, json);
    json_decref(json);
    free(f);
    return status;
}

static enum status answer(const struct scenario *s, const struct options *o)
{
    static struct results results;
    const char *refused = rinse_find_refused(s);
    if (refused)
        return complain(refused, STATUS_SCENARIO);
    TRY(command_open_folder("rinse", o->output, o->force, &results));
    const enum status status = find_and_tell(s, o, o->output ? &results : NULL);
    return status == STATUS_OK ? status : complain(status_words(status), status);
}

enum status command_rinse(const struct options *o)
{
    return command_with_scenario(o, "rinse", answer);
}
