/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * command_away: may I leave, and what must I do before?  Page: docs/away.md.
 */
#include "command.h"

#include <math.h>
#include <stdlib.h>

#include "away.h"
#include "progress.h"
#include "screen.h"
#include "text.h"
#include "units.h"

static enum status complain(const char *words, enum status status)
{
    fprintf(stderr, "leat away: %s\n", words);
    return status;
}

/* ---- for how long, and when -------------------------------------------------------------------
 */

static const double SPAN_LEAST = 60.0; /* s */

/* Longer than the scenario itself: what is needed then is not known. */
static enum status check_length(const struct scenario *s, double span, const char *what,
                                enum status status)
{
    char words[SCREEN_TEXT] = "", away[UNITS_TEXT], length[UNITS_TEXT];
    if (span <= s->plan.length)
        return STATUS_OK;
    text_append(words, sizeof words,
                "%s, %s, is longer than the scenario, which takes %s; say a shorter --span, or "
                "make it longer: --set 'clock.length=\"%s\"'",
                what, units_format(span, DIM_TIME, away, sizeof away),
                units_format(s->plan.length, DIM_TIME, length, sizeof length), away);
    return complain(words, status);
}

static enum status read_span(const struct scenario *s, const char *text, double *span)
{
    struct quantity q;
    struct units_error e;
    char words[SCREEN_TEXT] = "";
    if (!units_parse(text, DIM_TIME, NULL, &q, &e)) {
        text_append(words, sizeof words, "--span: %s; write --span \"14 days\"", e.what);
        return complain(words, STATUS_USAGE);
    }
    if (!(q.si >= SPAN_LEAST))
        return complain(q.si < 0.0 ? "--span: nobody leaves for less than no time; write --span "
                                     "\"14 days\""
                                   : "--span: a minute at least; write --span \"14 days\"",
                        STATUS_USAGE);
    *span = q.si;
    return check_length(s, q.si, "--span", STATUS_USAGE);
}

static enum status choose(const struct scenario *s, const struct options *o,
                          struct away_options *out)
{
    out->leaving = NAN;
    if (o->span)
        TRY(read_span(s, o->span, &out->span));
    if (!o->span) {
        out->span = s->plan.away > 0.0 ? s->plan.away : s->plan.risk.unattended;
        out->assumed = !(s->plan.away > 0.0);
        TRY(check_length(s, out->span,
                         out->assumed ? "clock.away is not given, and what is taken instead"
                                      : "clock.away",
                         STATUS_SCENARIO));
    }
    char words[SCENARIO_WORDS];
    if (o->leaving && !scenario_when(s, o->leaving, &out->leaving, words))
        return complain(words, STATUS_USAGE);
    return STATUS_OK;
}

/* ---- the answer -------------------------------------------------------------------------------
 */

static enum status tell(const struct away *a, const struct options *o)
{
    if (o->format == FORMAT_JSON)
        return command_tell_json(away_json(a));
    char file[4096];
    away_print(a, stdout);
    printf("\nNext: leat overflow %s --safeguards\n",
           screen_argument(o->operand, file, sizeof file));
    return STATUS_OK;
}

static enum status find_and_tell(const struct scenario *s, const struct options *o)
{
    struct away *a = calloc(1, sizeof *a);
    if (!a)
        return STATUS_MEMORY;
    struct progress progress;
    struct away_options options = { .jobs = o->jobs,
                                    .seed = o->seed,
                                    .progress = progress_show,
                                    .progress_self = &progress,
                                    .stop = &command_stop };
    enum status status = choose(s, o, &options);
    if (status != STATUS_OK) {
        free(a);
        return status;
    }
    progress_begin(&progress, !o->quiet);
    status = away_find(a, s, &options);
    progress_end(&progress);
    if (status == STATUS_OK)
        status = tell(a, o);
    if (status == STATUS_OK && away_breaks(a))
        status = STATUS_LIMIT;
    else if (status != STATUS_OK)
        complain(status_words(status), status);
    away_free(a);
    free(a);
    return status;
}

enum status command_away(const struct options *o)
{
    return command_with_scenario(o, "away", find_and_tell);
}
