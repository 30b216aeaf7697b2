/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * command_store: what --keep, --resume and --shard say, the same for every verb that runs a
 * campaign.  Page: docs/campaigns.md.
 */
#include "command.h"

#include <stdio.h>

#include "screen.h"

enum { ROOM = 4096 };

static const char *folder_of(const struct options *o)
{
    return o->resume ? o->resume : o->keep;
}

enum status command_store_open(const struct scenario *s, const struct options *o,
                               const struct cases_of *verb, struct cases **cases)
{
    *cases = NULL;
    if (!folder_of(o))
        return STATUS_OK;
    struct cases_of of = *verb;
    of.file = o->operand;
    of.part = o->parts > 0 ? o->part : 1;
    of.parts = o->parts > 0 ? o->parts : 1;
    char words[CASES_WORDS];
    const enum status status = cases_open(cases, folder_of(o), s, &of, o->keep != NULL, words);
    if (status != STATUS_OK)
        fprintf(stderr, "leat %s: %s\n", verb->verb, words);
    return status;
}

/* What to type to go on: all that was said, but for what does not change the answer. */
void command_store_stopped(const struct options *o, const struct cases_of *verb,
                           const struct cases *cases)
{
    char name[ROOM];
    fprintf(stderr, "leat %s: %ld results are kept in %s\n", verb->verb, cases_known(cases),
            screen_argument(folder_of(o), name, sizeof name));
    fprintf(stderr, "Next: leat %s %s", verb->verb, screen_argument(o->operand, name, sizeof name));
    for (int i = 0; i < o->set_count; i++)
        fprintf(stderr, " --set %s", screen_argument(o->sets[i], name, sizeof name));
    fprintf(stderr, " %s", verb->options);
    if (o->parts > 0)
        fprintf(stderr, " --shard %d/%d", o->part, o->parts);
    if (o->output)
        fprintf(stderr, " -o %s", screen_argument(o->output, name, sizeof name));
    fprintf(stderr, " --resume %s\n", screen_argument(folder_of(o), name, sizeof name));
}

void command_store_part(const struct options *o, const struct cases *cases)
{
    char name[ROOM];
    screen_argument(folder_of(o), name, sizeof name);
    printf("Part %d of %d is done: %ld results are in %s\n", o->part, o->parts, cases_known(cases),
           name);
    printf("Next: leat gather %s DIR...   (the folders of all %d parts)\n", name, o->parts);
}
