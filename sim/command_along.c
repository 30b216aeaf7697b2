/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * command_along: part by part of the line at a date.  Page: docs/along.md.
 */
#include "command.h"

#include <string.h>

#include "along.h"
#include "progress.h"
#include "screen.h"
#include "text.h"

static enum status complain(const char *words, enum status status)
{
    fprintf(stderr, "leat along: %s\n", words[0] ? words : status_words(status));
    return status;
}

static void tell_next(const struct along *a, const struct options *o)
{
    char file[4096];
    screen_argument(o->operand, file, sizeof file);
    if (a->looks == 1)
        printf("\nNext: leat along %s --compare \"%.0f days\"\n", file,
               a->scenario->plan.length / 86400.0);
    else
        printf("\nNext: leat life %s\n", file);
}

static enum status tell(const struct along *a, const struct options *o)
{
    if (o->format == FORMAT_JSON)
        return command_tell_json(along_json(a));
    if (o->format == FORMAT_CSV) {
        along_csv(a, stdout);
        return STATUS_OK;
    }
    along_print(a, stdout);
    tell_next(a, o);
    return STATUS_OK;
}

static enum status take_moments(const struct scenario *s, const struct options *o,
                                struct along_options *out)
{
    char words[SCENARIO_WORDS] = "";
    out->at[0] = 0.0;
    out->looks = o->compare ? 2 : 1;
    if (o->at && !scenario_when(s, o->at, &out->at[0], words))
        return complain(words, STATUS_USAGE);
    if (o->compare && !scenario_when(s, o->compare, &out->at[1], words))
        return complain(words, STATUS_USAGE);
    return STATUS_OK;
}

static enum status find_and_tell(const struct scenario *s, const struct options *o)
{
    static struct along a;
    char words[ALONG_TEXT] = "";
    struct progress progress;
    struct along_options options = { .progress = progress_show,
                                     .progress_self = &progress,
                                     .stop = &command_stop };
    TRY(take_moments(s, o, &options));
    progress_begin(&progress, !o->quiet);
    enum status status = along_find(&a, s, &options, words);
    progress_end(&progress);
    status = status == STATUS_OK ? tell(&a, o) : complain(words, status);
    along_free(&a);
    return status;
}

enum status command_along(const struct options *o)
{
    return command_with_scenario(o, "along", find_and_tell);
}
