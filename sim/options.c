/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * options: see options.h.  Page: docs/commands.md.
 *
 * The only file that knows argp.  argp never ends the program here: help, version and faults come
 * back as a status, so that main alone decides.
 */
#include "options_inner.h"

#include <argp.h>
#include <errno.h>
#include <stdio.h>
#include <string.h>

#include "screen.h"
#include "text.h"

enum { YEARS_PRESET = 1000, READINGS_ROOM = 200 };

void options_version(void)
{
#ifdef _OPENMP
    const char *lacks = "";
#else
    const char *lacks =
        "Built without OpenMP: campaigns run on one thread, whatever --jobs says.\n";
#endif
    printf("leat " LEAT_VERSION "\n%s"
           "License GPLv3+: GNU GPL version 3 or later <https://gnu.org/licenses/gpl.html>.\n"
           "This is free software: you are free to change and redistribute it.\n"
           "There is NO WARRANTY, to the extent permitted by law.\n",
           lacks);
}

static error_t answer(struct options *o, struct argp_state *state, unsigned help)
{
    if (help)
        argp_state_help(state, stdout, help);
    else
        options_version();
    o->answered = true;
    state->next = state->argc; /* whatever else was said */
    return 0;
}

static error_t read_key(int key, char *arg, struct argp_state *state)
{
    struct options_reading *r = state->input;
    char words[OPTIONS_WORDS];
    bool good = true, known = true;
    switch (key) {
    case 'h':
        return answer(r->out, state, ARGP_HELP_SHORT_USAGE | ARGP_HELP_LONG | ARGP_HELP_DOC);
    case KEY_USAGE:
        return answer(r->out, state, ARGP_HELP_USAGE);
    case 'V':
        return answer(r->out, state, 0);
    case ARGP_KEY_ARG:
        good = options_take_operand(r, arg, words);
        break;
    case ARGP_KEY_END:
        good = options_fit(r, words);
        break;
    default:
        good = options_take(r, key, arg, words, &known);
    }
    if (!known)
        return ARGP_ERR_UNKNOWN;
    if (good)
        return 0;
    argp_error(state, "%s", words);
    return EINVAL;
}

/* Leaves out the note that an option's argument is the same for its short form. */
static char *filter(int key, const char *words, void *input)
{
    (void)input;
    return key == ARGP_KEY_HELP_DUP_ARGS_NOTE ? NULL : (char *)words;
}

/* Readings that begin with a dash, "-,9,1", are no options: a blank before them says so. */
static void mark_readings(const struct verb *v, int argc, char *argv[])
{
    static char marked[READINGS_ROOM];
    for (int i = 1; i < argc && v->second && strcmp(argv[i], "--") != 0; i++) {
        const char *a = argv[i];
        if (a[0] != '-' || a[1] == '\0' || !strchr(",.0123456789", a[1]))
            continue;
        if (snprintf(marked, sizeof marked, " %s", a) < (int)sizeof marked)
            argv[i] = marked;
        return;
    }
}

enum status options_parse(const struct verb *v, int argc, char *argv[], struct options *o)
{
    const struct options_option *taken[OPTIONS_MOST];
    struct argp_option given[OPTIONS_MOST + 1] = { { 0 } };
    const int count = options_taken(v, taken);
    for (int i = 0; i < count; i++)
        given[i] = (struct argp_option){ taken[i]->name, taken[i]->key,  taken[i]->argument, 0,
                                         taken[i]->doc,  taken[i]->group };

    char name[64] = "leat ", doc[2048] = "";
    text_append(name, sizeof name, "%s", v->name);
    text_append(doc, sizeof doc, "%s\v%s", v->question, v->more);
    char operands[64] = "";
    const char *behind = v->second ? v->second : v->rest;
    text_append(operands, sizeof operands, "%s %s", v->operand, behind ? behind : "");
    *o = (struct options){ .years = YEARS_PRESET };
    struct options_reading r = { .verb = v, .out = o };
    const struct argp argp = { .options = given,
                               .parser = read_key,
                               .args_doc = behind ? operands : v->operand,
                               .doc = doc,
                               .help_filter = filter };
    argv[0] = name;
    mark_readings(v, argc, argv);
    const unsigned flags = ARGP_NO_EXIT | ARGP_NO_HELP;
    const error_t error = argp_parse(&argp, argc, argv, flags, NULL, &r);
    argv[0] = NULL;
    o->color = screen_color(stderr, r.no_color);
    return error == ENOMEM ? STATUS_MEMORY : error != 0 ? STATUS_USAGE : STATUS_OK;
}
