/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * options: see options.h.  Page: docs/commands.md.
 *
 * The only file that knows argp.  argp never ends the program here: help, version and faults come
 * back as a status, so that main alone decides.
 */
#include "options.h"

#include <argp.h>
#include <errno.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "screen.h"
#include "text.h"

enum {
    KEY_FORCE = 256,
    KEY_NO_FIGURES,
    KEY_TERMINAL,
    KEY_SET,
    KEY_SEED,
    KEY_FORMAT,
    KEY_FROM,
    KEY_LIST,
    KEY_UNTIL,
    KEY_RESUME,
    KEY_JOBS,
    KEY_TRIPLES,
    KEY_SAFEGUARDS,
    KEY_KEEP,
    KEY_SHARD,
    KEY_SPAN,
    KEY_LEAVING,
    KEY_YEARS,
    KEY_FLOW,
    KEY_DRAIN,
    KEY_PRESSURE,
    KEY_TEMPERATURE,
    KEY_ALSO,
    KEY_AT,
    KEY_COMPARE,
    KEY_ONLY,
    KEY_EXPLAIN,
    KEY_SAMPLES,
    KEY_VARY,
    KEY_SAMPLE,
    KEY_TO,
    KEY_EVENTS,
    KEY_POINTS,
    KEY_UNITS,
    KEY_ANIMATE,
    KEY_FRAMES,
    KEY_NO_COLOR,
    KEY_USAGE
};

enum {
    TAKES_ALWAYS = -1,
    JOBS_MAX = 1024,
    YEARS_PRESET = 1000,
    YEARS_MAX = 1000000,
    PARTS_MAX = 1000,
    SAMPLES_MIN = 32,
    SAMPLES_MAX = 8192,
    FRAMES_MIN = 2,
    FRAMES_MAX = 60,
    ROWS_MIN = 8,
    ROWS_MAX = 2000,
    POINTS_MAX = 100000,
    READINGS_ROOM = 200
};

static const struct row {
    int takes; /* any of these verbs' bits */
    struct argp_option option;
} rows[] = {
    { TAKES_NEW, { "from", KEY_FROM, "NAME", 0, "copy this scenario (see --list)", 1 } },
    { TAKES_NEW, { "list", KEY_LIST, NULL, 0, "show the scenarios there are", 1 } },
    { TAKES_OUTPUT, { "output", 'o', "DIR", 0, "folder for the results", 1 } },
    { TAKES_OUTPUT, { "force", KEY_FORCE, NULL, 0, "replace older results in that folder", 1 } },
    { TAKES_PAGE, { "output", 'o', "FILE", 0, "the page; else DIR's name and .html", 1 } },
    { TAKES_PAGE, { "force", KEY_FORCE, NULL, 0, "replace a file of that name", 1 } },
    { TAKES_SET,
      { "set", KEY_SET, "KEY=VALUE", 0, "change a value of the scenario; may be given often", 1 } },
    { TAKES_SEED,
      { "seed", KEY_SEED, "N", 0, "where chance starts from, noted in the manifest", 1 } },
    { TAKES_PIECES, { "until", KEY_UNTIL, "MOMENT", 0, "stop at \"100 days\" or a date", 1 } },
    { TAKES_PIECES | TAKES_CASES | TAKES_SWEEP,
      { "resume", KEY_RESUME, "DIR", 0, "go on with the run that stopped in that folder", 1 } },
    { TAKES_CASES | TAKES_SWEEP,
      { "keep", KEY_KEEP, "DIR", 0, "keep what is found in that folder, to go on if killed", 1 } },
    { TAKES_CASES | TAKES_SWEEP,
      { "shard", KEY_SHARD, "K/N", 0, "run part K of N only; needs --keep", 1 } },
    { TAKES_AWAY, { "span", KEY_SPAN, "TIME", 0, "away for \"14 days\"; else clock.away", 1 } },
    { TAKES_AWAY,
      { "leaving", KEY_LEAVING, "MOMENT", 0, "leave at \"100 days\" or a date; else the worst",
        1 } },
    { TAKES_SHOW, { "from", KEY_FROM, "MOMENT", 0, "begin at \"100 days\" or a date", 1 } },
    { TAKES_SHOW, { "to", KEY_TO, "MOMENT", 0, "end there", 1 } },
    { TAKES_SHOW,
      { "events", KEY_EVENTS, NULL, 0, "mark the events, list them if they are few", 1 } },
    { TAKES_SHOW,
      { "points", KEY_POINTS, "N", 0,
        "csv of N rows at most, with least, greatest and mean of each", 1 } },
    { TAKES_SWEEP,
      { "vary", KEY_VARY, "KEY=FROM..TO/N", 0,
        "N values from FROM to TO (\"/N log\": by ratios), or KEY=A,B,C; once or twice", 1 } },
    { TAKES_SWEEP,
      { "sample", KEY_SAMPLE, "N", 0,
        "N rows from the ranges of --vary, or from the spreads of the scenario", 1 } },
    { TAKES_FILM,
      { "animate", KEY_ANIMATE, NULL, 0, "the life of the beds, frame by frame, instead", 1 } },
    { TAKES_FILM, { "frames", KEY_FRAMES, "N", 0, "of --animate; 48 if not given", 1 } },
    { TAKES_CASES | TAKES_AWAY | TAKES_JOBS | TAKES_SAMPLES | TAKES_SWEEP,
      { "jobs", KEY_JOBS, "N", 0, "threads; all there are if not given", 1 } },
    { TAKES_SAMPLES,
      { "samples", KEY_SAMPLES, "N", 0, "runs for the range; 256 if not given", 1 } },
    { TAKES_CASES, { "triples", KEY_TRIPLES, NULL, 0, "try three faults at once, too", 1 } },
    { TAKES_CASES,
      { "safeguards", KEY_SAFEGUARDS, NULL, 0, "try what further protections would buy, too", 1 } },
    { TAKES_CASES,
      { "years", KEY_YEARS, "N", 0, "simulate as many years with random faults (1000; 0: none)",
        1 } },
    { TAKES_READINGS, { "flow", KEY_FLOW, "FLOW", 0, "product, by jug and watch", 1 } },
    { TAKES_READINGS, { "drain", KEY_DRAIN, "FLOW", 0, "to the drain, by jug and watch", 1 } },
    { TAKES_READINGS,
      { "pressure", KEY_PRESSURE, "PRESSURE", 0, "of the feed at the inlet, water running", 1 } },
    { TAKES_READINGS, { "temperature", KEY_TEMPERATURE, "TEMP", 0, "of the feed", 1 } },
    { TAKES_READINGS,
      { "also", KEY_ALSO, "KEY=VALUE", 0, "a further measurement; may be given often", 1 } },
    { TAKES_READINGS,
      { "at", KEY_AT, "MOMENT", 0, "when: \"100 days\" or a date; else the end", 1 } },
    { TAKES_ALONG,
      { "at", KEY_AT, "MOMENT", 0, "when: \"100 days\" or a date; else the start", 1 } },
    { TAKES_ALONG,
      { "compare", KEY_COMPARE, "MOMENT", 0, "beside it the same at another moment", 1 } },
    { TAKES_ALONG,
      { "explain", KEY_EXPLAIN, NULL, 0, "every number with its equation and what is put in", 1 } },
    { TAKES_ALONG,
      { "only", KEY_ONLY, "WORD", 0, "with --explain: what has WORD in its title, and no table",
        1 } },
    { TAKES_FIGURES, { "no-figures", KEY_NO_FIGURES, NULL, 0, "draw no pictures", 1 } },
    { TAKES_FIGURES, { "terminal", KEY_TERMINAL, NULL, 0, "draw the pictures as text, too", 1 } },
    { TAKES_TABLE, { "format", KEY_FORMAT, "FORM", 0, "table (for people) or json", 1 } },
    { TAKES_CSV, { "format", KEY_FORMAT, "FORM", 0, "table (for people), csv or json", 1 } },
    { TAKES_SHOW, { "format", KEY_FORMAT, "FORM", 0, "table (for people) or csv", 1 } },
    { TAKES_ALWAYS,
      { "units", KEY_UNITS, "TASTE", 0, "show quantities in metric or us units; data stay metric",
        2 } },
    { TAKES_ALWAYS, { "quiet", 'q', NULL, 0, "print complaints only", 2 } },
    { TAKES_ALWAYS, { "no-color", KEY_NO_COLOR, NULL, 0, "no colors; so does NO_COLOR", 2 } },
    { TAKES_ALWAYS, { "help", 'h', NULL, 0, "print this help", 3 } },
    { TAKES_ALWAYS, { "usage", KEY_USAGE, NULL, 0, "print a short reminder", 3 } },
    { TAKES_ALWAYS, { "version", 'V', NULL, 0, "print the version", 3 } },
};

enum { ROWS = sizeof rows / sizeof rows[0] };

static const char *const format_names[] = { "table", "csv", "json" };

struct reading {
    const struct verb *verb;
    struct options *out;
    bool no_color;
};

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

/* ---- single options ---------------------------------------------------------------------------
 */

static error_t read_set(struct options *o, char *text, struct argp_state *state)
{
    const char *equals = strchr(text, '=');
    if (equals == NULL || equals == text) {
        argp_error(state, "--set needs KEY=VALUE, such as --set 'feed.pressure=\"40 psi\"'");
        return EINVAL;
    }
    if (o->set_count == SETS_MAX) {
        argp_error(state, "--set can be given %d times at most", SETS_MAX);
        return EINVAL;
    }
    o->sets[o->set_count++] = text;
    return 0;
}

static error_t read_also_option(struct options *o, const char *text, struct argp_state *state)
{
    const char *equals = strchr(text, '=');
    if (equals == NULL || equals == text) {
        argp_error(state, "--also needs KEY=VALUE, such as --also \"silica=0.3 mg/L\"");
        return EINVAL;
    }
    if (o->also_count == ALSO_MAX) {
        argp_error(state, "--also can be given %d times at most", ALSO_MAX);
        return EINVAL;
    }
    o->also[o->also_count++] = text;
    return 0;
}

static error_t read_seed(struct options *o, const char *text, struct argp_state *state)
{
    errno = 0;
    char *end;
    o->seed = strtoul(text, &end, 10);
    const bool digits = text[0] >= '0' && text[0] <= '9' && *end == '\0';
    if (digits && errno == 0 && o->seed <= UINT32_MAX)
        return 0;
    argp_error(state, "--seed needs a whole number from 0 to %lu", (unsigned long)UINT32_MAX);
    return EINVAL;
}

static error_t read_jobs(struct options *o, const char *text, struct argp_state *state)
{
    char *end;
    const long jobs = strtol(text, &end, 10);
    if (text[0] >= '0' && text[0] <= '9' && *end == '\0' && jobs >= 1 && jobs <= JOBS_MAX) {
        o->jobs = (int)jobs;
        return 0;
    }
    argp_error(state, "--jobs needs a whole number from 1 to %d", JOBS_MAX);
    return EINVAL;
}

static error_t read_samples(struct options *o, const char *text, struct argp_state *state)
{
    char *end;
    const long samples = strtol(text, &end, 10);
    const bool digits = text[0] >= '0' && text[0] <= '9' && *end == '\0';
    if (digits && samples >= SAMPLES_MIN && samples <= SAMPLES_MAX && samples % 2 == 0) {
        o->samples = (int)samples;
        return 0;
    }
    argp_error(state, "--samples needs an even number from %d to %d", SAMPLES_MIN, SAMPLES_MAX);
    return EINVAL;
}

static error_t read_years(struct options *o, const char *text, struct argp_state *state)
{
    char *end;
    const long years = strtol(text, &end, 10);
    if (text[0] >= '0' && text[0] <= '9' && *end == '\0' && years <= YEARS_MAX) {
        o->years = years;
        return 0;
    }
    argp_error(state, "--years needs a whole number from 0 to %d", YEARS_MAX);
    return EINVAL;
}

static error_t read_vary(struct options *o, const char *text, struct argp_state *state)
{
    if (o->vary_count < VARIES_MAX) {
        o->varies[o->vary_count++] = text;
        return 0;
    }
    argp_error(state, "--vary can be given twice");
    return EINVAL;
}

static error_t read_sample(struct options *o, const char *text, struct argp_state *state)
{
    char *end;
    const long wanted = strtol(text, &end, 10);
    if (text[0] >= '0' && text[0] <= '9' && *end == '\0' && wanted >= ROWS_MIN &&
        wanted <= ROWS_MAX) {
        o->sample = (int)wanted;
        return 0;
    }
    argp_error(state, "--sample needs a whole number from %d to %d", ROWS_MIN, ROWS_MAX);
    return EINVAL;
}

/* "2/3" */
static error_t read_shard(struct options *o, const char *text, struct argp_state *state)
{
    char *end;
    const long part = strtol(text, &end, 10);
    const bool slash = text[0] >= '0' && text[0] <= '9' && end[0] == '/' && end[1] >= '0';
    const long parts = slash && end[1] <= '9' ? strtol(end + 1, &end, 10) : 0;
    if (*end == '\0' && part >= 1 && part <= parts && parts <= PARTS_MAX) {
        o->part = (int)part;
        o->parts = (int)parts;
        return 0;
    }
    argp_error(state, "--shard needs a part and how many there are, such as 2/3; %d at most",
               PARTS_MAX);
    return EINVAL;
}

static bool takes(const struct verb *v, const struct row *row)
{
    return row->takes == TAKES_ALWAYS || ((unsigned)row->takes & v->takes);
}

/* All that the argument of an option may be, with blanks between; NULL if that is no list. */
static const char *values_of(const struct verb *v, int key)
{
    if (key == KEY_UNITS)
        return "metric us";
    if (key != KEY_FORMAT)
        return NULL;
    return v->takes & TAKES_CSV    ? "table csv json"
           : v->takes & TAKES_SHOW ? "table csv"
                                   : "table json";
}

/* Whether a word is in a list with blanks between. */
static bool listed(const char *list, const char *word)
{
    const size_t n = strlen(word);
    for (const char *at = list; n > 0 && (at = strstr(at, word)) != NULL; at += n)
        if ((at == list || at[-1] == ' ') && (at[n] == ' ' || at[n] == '\0'))
            return true;
    return false;
}

/* "table, csv or json" */
static const char *spoken(const char *list, char *out, size_t size)
{
    out[0] = '\0';
    for (const char *at = list; *at != '\0';) {
        const size_t n = strcspn(at, " ");
        const char *next = at + n + (at[n] == ' ');
        const bool first = at == list, last = *next == '\0';
        text_append(out, size, "%s%.*s", first ? "" : last ? " or " : ", ", (int)n, at);
        at = next;
    }
    return out;
}

static error_t read_frames(struct options *o, const char *text, struct argp_state *state)
{
    char *end;
    const long frames = strtol(text, &end, 10);
    if (text[0] >= '0' && text[0] <= '9' && *end == '\0' && frames >= FRAMES_MIN &&
        frames <= FRAMES_MAX) {
        o->frames = (int)frames;
        return 0;
    }
    argp_error(state, "--frames needs a whole number from %d to %d", FRAMES_MIN, FRAMES_MAX);
    return EINVAL;
}

static error_t read_format(struct reading *r, const char *text, struct argp_state *state)
{
    const char *values = values_of(r->verb, KEY_FORMAT);
    for (int i = FORMAT_TABLE; i <= FORMAT_JSON && listed(values, text); i++)
        if (strcmp(text, format_names[i]) == 0) {
            r->out->format = (enum format)i;
            return 0;
        }
    char words[64];
    argp_error(state, "--format is %s", spoken(values, words, sizeof words));
    return EINVAL;
}

static error_t read_points(struct options *o, const char *text, struct argp_state *state)
{
    char *end;
    const long points = strtol(text, &end, 10);
    if (text[0] >= '0' && text[0] <= '9' && *end == '\0' && points >= 1 && points <= POINTS_MAX) {
        o->points = (int)points;
        return 0;
    }
    argp_error(state, "--points needs a whole number from 1 to %d", POINTS_MAX);
    return EINVAL;
}

static error_t read_units(struct options *o, const char *text, struct argp_state *state)
{
    char shown[64];
    struct nearest near = text_nearest_to(text);
    for (int i = 0; units_taste_name(i); i++) {
        if (strcmp(text, units_taste_name(i)) == 0) {
            o->units = (enum taste)i;
            return 0;
        }
        text_nearest_try(&near, units_taste_name(i));
    }
    if (near.name)
        argp_error(state, "--units is metric or us, not \"%s\"; did you mean %s?",
                   text_escape(text, shown, sizeof shown), near.name);
    else
        argp_error(state, "--units is metric or us, not \"%s\"",
                   text_escape(text, shown, sizeof shown));
    return EINVAL;
}

static error_t read_operand(struct reading *r, const char *text, struct argp_state *state)
{
    if (!r->verb->operand) {
        argp_error(state, "%s takes no name", r->verb->name);
        return EINVAL;
    }
    struct options *o = r->out;
    const bool second = r->verb->second && o->operand && !o->second;
    const bool more = r->verb->many && o->operand_count < OPERANDS_MAX;
    const char *wanted = second                        ? r->verb->second
                         : o->operand && r->verb->rest ? r->verb->rest
                                                       : r->verb->operand;
    if (text[0] == '\0') {
        argp_error(state, "an empty text is no %s", wanted);
        return EINVAL;
    }
    if (o->operand && !second && !more) {
        argp_error(state, "one %s at a time", wanted);
        return EINVAL;
    }
    if (second)
        o->second = text;
    else if (!o->operand)
        o->operand = text;
    if (r->verb->many)
        o->operands[o->operand_count++] = text;
    return 0;
}

/* ---- argp -------------------------------------------------------------------------------------
 */

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

static error_t end(const struct reading *r, struct argp_state *state)
{
    const struct options *o = r->out;
    if (o->keep && o->resume && !o->answered) {
        argp_error(state, "--resume names the folder already: leave out --keep");
        return EINVAL;
    }
    if (o->parts > 0 && !o->keep && !o->resume && !o->answered) {
        argp_error(state, "--shard needs a folder for what the part finds: --keep DIR");
        return EINVAL;
    }
    if (o->parts > 0 && (o->output || o->terminal) && !o->answered) {
        argp_error(state, "a part has no answer to put into a folder or to draw: leat gather has");
        return EINVAL;
    }
    if (o->animate && (o->at || o->compare || o->explain) && !o->answered) {
        argp_error(state, "--animate shows the whole life: leave out --at, --compare, --explain");
        return EINVAL;
    }
    if (o->frames > 0 && !o->animate && !o->answered) {
        argp_error(state, "--frames needs --animate");
        return EINVAL;
    }
    if (r->out->answered || r->out->list || !r->verb->operand)
        return 0;
    if (r->out->operand && (r->out->second || !r->verb->second))
        return 0;
    argp_error(state, "which %s?", r->out->operand ? r->verb->second : r->verb->operand);
    return EINVAL;
}

static error_t read_flag(struct reading *r, int key)
{
    struct options *o = r->out;
    bool *flag = key == KEY_FORCE        ? &o->force
                 : key == KEY_NO_FIGURES ? &o->no_figures
                 : key == KEY_TERMINAL   ? &o->terminal
                 : key == KEY_LIST       ? &o->list
                 : key == KEY_TRIPLES    ? &o->triples
                 : key == KEY_SAFEGUARDS ? &o->safeguards
                 : key == KEY_EVENTS     ? &o->events
                 : key == KEY_ANIMATE    ? &o->animate
                 : key == KEY_EXPLAIN    ? &o->explain
                 : key == KEY_NO_COLOR   ? &r->no_color
                 : key == 'q'            ? &o->quiet
                                         : NULL;
    if (!flag)
        return ARGP_ERR_UNKNOWN;
    *flag = true;
    return 0;
}

/* Options whose argument is looked at by the verb. */
static const char **text_of(struct options *o, int key)
{
    return key == KEY_FLOW          ? &o->flow
           : key == KEY_DRAIN       ? &o->drain
           : key == KEY_PRESSURE    ? &o->pressure
           : key == KEY_TEMPERATURE ? &o->temperature
           : key == KEY_AT          ? &o->at
           : key == KEY_COMPARE     ? &o->compare
           : key == KEY_ONLY        ? &o->only
           : key == 'o'             ? &o->output
           : key == KEY_FROM        ? &o->from
           : key == KEY_TO          ? &o->to
           : key == KEY_UNTIL       ? &o->until
           : key == KEY_SPAN        ? &o->span
           : key == KEY_LEAVING     ? &o->leaving
           : key == KEY_RESUME      ? &o->resume
           : key == KEY_KEEP        ? &o->keep
                                    : NULL;
}

static error_t read_key(int key, char *arg, struct argp_state *state)
{
    struct reading *r = state->input;
    const char **text = text_of(r->out, key);
    if (text) {
        *text = arg;
        return 0;
    }
    switch (key) {
    case KEY_SHARD:
        return read_shard(r->out, arg, state);
    case KEY_SET:
        return read_set(r->out, arg, state);
    case KEY_ALSO:
        return read_also_option(r->out, arg, state);
    case KEY_SEED:
        return read_seed(r->out, arg, state);
    case KEY_JOBS:
        return read_jobs(r->out, arg, state);
    case KEY_YEARS:
        return read_years(r->out, arg, state);
    case KEY_FORMAT:
        return read_format(r, arg, state);
    case KEY_UNITS:
        return read_units(r->out, arg, state);
    case KEY_SAMPLES:
        return read_samples(r->out, arg, state);
    case KEY_VARY:
        return read_vary(r->out, arg, state);
    case KEY_SAMPLE:
        return read_sample(r->out, arg, state);
    case KEY_POINTS:
        return read_points(r->out, arg, state);
    case KEY_FRAMES:
        return read_frames(r->out, arg, state);
    case 'h':
        return answer(r->out, state, ARGP_HELP_SHORT_USAGE | ARGP_HELP_LONG | ARGP_HELP_DOC);
    case KEY_USAGE:
        return answer(r->out, state, ARGP_HELP_USAGE);
    case 'V':
        return answer(r->out, state, 0);
    case ARGP_KEY_ARG:
        return read_operand(r, arg, state);
    case ARGP_KEY_END:
        return end(r, state);
    default:
        return read_flag(r, key);
    }
}

void options_each(const struct verb *v, void (*see)(void *self, const struct options_words *w),
                  void *self)
{
    for (int i = 0; i < ROWS; i++) {
        const struct argp_option *p = &rows[i].option;
        const struct options_words w = { p->name, p->key < KEY_FORCE ? (char)p->key : '\0', p->arg,
                                         p->doc, values_of(v, p->key) };
        if (takes(v, &rows[i]))
            see(self, &w);
    }
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
    struct argp_option taken[ROWS + 1] = { { 0 } };
    int n = 0;
    for (int i = 0; i < ROWS; i++)
        if (takes(v, &rows[i]))
            taken[n++] = rows[i].option;

    char name[64] = "leat ", doc[2048] = "";
    text_append(name, sizeof name, "%s", v->name);
    text_append(doc, sizeof doc, "%s\v%s", v->question, v->more);
    char operands[64] = "";
    const char *behind = v->second ? v->second : v->rest;
    text_append(operands, sizeof operands, "%s %s", v->operand, behind ? behind : "");
    *o = (struct options){ .years = YEARS_PRESET };
    struct reading r = { .verb = v, .out = o };
    const struct argp argp = { .options = taken,
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
