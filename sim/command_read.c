/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * command_read: the meters show this: what is failing?  Page: docs/read.md.
 */
#include "command.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "progress.h"
#include "read.h"
#include "screen.h"
#include "text.h"

static enum status complain(const char *words, enum status status)
{
    fprintf(stderr, "leat read: %s\n", words);
    return status;
}

/* ---- what was read ----------------------------------------------------------------------------
 */

static enum status take_given(const struct options *o, const struct meter *meter,
                              struct read_given *given)
{
    char words[READ_WORDS];
    if (!read_meters(meter, o->second, given, words))
        return complain(words, STATUS_USAGE);
    const struct {
        const char *key, *text;
    } named[] = { { "flow", o->flow },
                  { "drain", o->drain },
                  { "pressure", o->pressure },
                  { "temperature", o->temperature } };
    for (size_t i = 0; i < sizeof named / sizeof named[0]; i++) {
        char both[READ_WORDS] = "";
        text_append(both, sizeof both, "%s=%s", named[i].key, named[i].text ? named[i].text : "");
        if (named[i].text && !read_also(meter, both, given, words))
            return complain(words, STATUS_USAGE);
    }
    for (int i = 0; i < o->also_count; i++)
        if (!read_also(meter, o->also[i], given, words))
            return complain(words, STATUS_USAGE);
    if (!read_anything(given))
        return complain("nothing was read; give one reading at least, such as 245,13,0",
                        STATUS_USAGE);
    return STATUS_OK;
}

/* ---- what was found ---------------------------------------------------------------------------
 */

/* The option that takes a measurement. */
static const char *option_of(enum look what)
{
    return what == LOOK_FLOW          ? "--flow"
           : what == LOOK_DRAIN       ? "--drain"
           : what == LOOK_PRESSURE    ? "--pressure"
           : what == LOOK_TEMPERATURE ? "--temperature"
                                      : NULL;
}

static void tell_command(const struct read_found *f, const struct options *o)
{
    char file[4096], readings[READ_WORDS];
    const struct read_next *n = read_best(f);
    screen_argument(o->operand, file, sizeof file);
    screen_argument(o->second, readings, sizeof readings);
    const char *option = n ? option_of(n->what) : NULL;
    if (option)
        printf("\nNext: leat read %s %s %s \"...\"\n", file, readings, option);
    else if (n)
        printf("\nNext: leat read %s %s --also \"%s=...\"\n", file, readings,
               read_instruments[n->what].key);
    else
        printf("\nNext: leat check %s\n", file);
}

static enum status tell(const struct read_found *f, const struct options *o)
{
    if (o->format == FORMAT_JSON)
        return command_tell_json(read_json(f));
    read_print(f, stdout);
    tell_command(f, o);
    return STATUS_OK;
}

static enum status find_and_tell(const struct scenario *s, const struct options *o)
{
    struct read_given given;
    char words[SCENARIO_WORDS + READ_WORDS] = "";
    struct progress progress;
    struct read_options options = {
        .at = NAN, .progress = progress_show, .progress_self = &progress, .stop = &command_stop
    };
    TRY(take_given(o, &s->plant.meter, &given));
    if (o->at && !scenario_when(s, o->at, &options.at, words))
        return complain(words, STATUS_USAGE);
    struct read_found *f = calloc(1, sizeof *f);
    if (!f)
        return STATUS_MEMORY;
    progress_begin(&progress, !o->quiet);
    enum status status = read_find(f, s, &given, &options, words);
    progress_end(&progress);
    if (status == STATUS_OK)
        status = tell(f, o);
    else
        complain(words[0] ? words : status_words(status), status);
    read_free(f);
    free(f);
    return status;
}

enum status command_read(const struct options *o)
{
    return command_with_scenario(o, "read", find_and_tell);
}
