/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * options_values: what each option and operand may say, and what of it goes together.  Page:
 * docs/commands.md.
 */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "options_inner.h"
#include "text.h"

enum { PARTS_MAX = 1000 };

static const char *const format_names[] = { "table", "csv", "json" };

/* Says what is wrong; always false. */
__attribute__((format(printf, 2, 3))) static bool wrong(char words[OPTIONS_WORDS],
                                                        const char *format, ...)
{
    va_list list;
    va_start(list, format);
    vsnprintf(words, OPTIONS_WORDS, format, list);
    va_end(list);
    return false;
}

static bool read_set(struct options *o, const char *text, char words[OPTIONS_WORDS])
{
    const char *equals = strchr(text, '=');
    if (equals == NULL || equals == text)
        return wrong(words, "--set needs KEY=VALUE, such as --set 'feed.pressure=\"40 psi\"'");
    if (o->set_count == SETS_MAX)
        return wrong(words, "--set can be given %d times at most", SETS_MAX);
    o->sets[o->set_count++] = text;
    return true;
}

static bool read_also(struct options *o, const char *text, char words[OPTIONS_WORDS])
{
    const char *equals = strchr(text, '=');
    if (equals == NULL || equals == text)
        return wrong(words, "--also needs KEY=VALUE, such as --also \"silica=0.3 mg/L\"");
    if (o->also_count == ALSO_MAX)
        return wrong(words, "--also can be given %d times at most", ALSO_MAX);
    o->also[o->also_count++] = text;
    return true;
}

/* Options that take a number. */
struct number {
    int key;
    const char *name;
    bool even;
    long long least, most;
    size_t offset; /* of an int in struct options; others are seen to by hand */
};

static const struct number numbers[] = {
    { KEY_SEED, "seed", false, 0, UINT32_MAX, 0 },
    { KEY_JOBS, "jobs", false, 1, 1024, offsetof(struct options, jobs) },
    { KEY_SAMPLES, "samples", true, 32, 8192, offsetof(struct options, samples) },
    { KEY_YEARS, "years", false, 0, 1000000, 0 },
    { KEY_SAMPLE, "sample", false, 8, 2000, offsetof(struct options, sample) },
    { KEY_FRAMES, "frames", false, 2, 60, offsetof(struct options, frames) },
    { KEY_POINTS, "points", false, 1, 100000, offsetof(struct options, points) },
};

static const struct number *number_of(int key)
{
    for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++)
        if (numbers[i].key == key)
            return &numbers[i];
    return NULL;
}

static bool read_number(struct options *o, const struct number *a, const char *text,
                        char words[OPTIONS_WORDS])
{
    char *end;
    const long long n = strtoll(text, &end, 10);
    const bool digits = text[0] >= '0' && text[0] <= '9' && *end == '\0';
    if (!digits || n < a->least || n > a->most || (a->even && n % 2 != 0))
        return wrong(words, "--%s needs %s number from %lld to %lld", a->name,
                     a->even ? "an even" : "a whole", a->least, a->most);
    if (a->key == KEY_SEED)
        o->seed = (unsigned long)n;
    else if (a->key == KEY_YEARS)
        o->years = (long)n;
    else
        *(int *)((char *)o + a->offset) = (int)n;
    return true;
}

static bool read_vary(struct options *o, const char *text, char words[OPTIONS_WORDS])
{
    if (o->vary_count < VARIES_MAX) {
        o->varies[o->vary_count++] = text;
        return true;
    }
    return wrong(words, "--vary can be given twice");
}

/* "2/3" */
static bool read_shard(struct options *o, const char *text, char words[OPTIONS_WORDS])
{
    char *end;
    const long part = strtol(text, &end, 10);
    const bool slash = text[0] >= '0' && text[0] <= '9' && end[0] == '/' && end[1] >= '0';
    const long parts = slash && end[1] <= '9' ? strtol(end + 1, &end, 10) : 0;
    if (*end == '\0' && part >= 1 && part <= parts && parts <= PARTS_MAX) {
        o->part = (int)part;
        o->parts = (int)parts;
        return true;
    }
    return wrong(words, "--shard needs a part and how many there are, such as 2/3; %d at most",
                 PARTS_MAX);
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

static bool read_format(struct options_reading *r, const char *text, char words[OPTIONS_WORDS])
{
    const char *values = options_values_of(r->verb, KEY_FORMAT);
    for (int i = FORMAT_TABLE; i <= FORMAT_JSON && listed(values, text); i++)
        if (strcmp(text, format_names[i]) == 0) {
            r->out->format = (enum format)i;
            return true;
        }
    char all[64];
    return wrong(words, "--format is %s", spoken(values, all, sizeof all));
}

static bool read_units(struct options *o, const char *text, char words[OPTIONS_WORDS])
{
    char shown[64];
    struct nearest near = text_nearest_to(text);
    for (int i = 0; units_taste_name(i); i++) {
        if (strcmp(text, units_taste_name(i)) == 0) {
            o->units = (enum taste)i;
            return true;
        }
        text_nearest_try(&near, units_taste_name(i));
    }
    if (near.name)
        return wrong(words, "--units is metric or us, not \"%s\"; did you mean %s?",
                     text_escape(text, shown, sizeof shown), near.name);
    return wrong(words, "--units is metric or us, not \"%s\"",
                 text_escape(text, shown, sizeof shown));
}

/* Options without an argument. */
static bool *flag_of(struct options_reading *r, int key)
{
    struct options *o = r->out;
    return key == KEY_FORCE        ? &o->force
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

/* An option with an argument of its own form; *known: whether there is one of this key. */
static bool read_other(struct options_reading *r, int key, const char *text,
                       char words[OPTIONS_WORDS], bool *known)
{
    switch (key) {
    case KEY_SHARD:
        return read_shard(r->out, text, words);
    case KEY_SET:
        return read_set(r->out, text, words);
    case KEY_ALSO:
        return read_also(r->out, text, words);
    case KEY_FORMAT:
        return read_format(r, text, words);
    case KEY_UNITS:
        return read_units(r->out, text, words);
    case KEY_VARY:
        return read_vary(r->out, text, words);
    default:
        *known = false;
        return true;
    }
}

bool options_take(struct options_reading *r, int key, const char *text, char words[OPTIONS_WORDS],
                  bool *known)
{
    const char **whole = text_of(r->out, key);
    bool *flag = flag_of(r, key);
    const struct number *number = number_of(key);
    *known = true;
    if (whole)
        *whole = text;
    else if (flag)
        *flag = true;
    else if (number)
        return read_number(r->out, number, text, words);
    else
        return read_other(r, key, text, words, known);
    return true;
}

bool options_take_operand(struct options_reading *r, const char *text, char words[OPTIONS_WORDS])
{
    if (!r->verb->operand)
        return wrong(words, "%s takes no name", r->verb->name);
    struct options *o = r->out;
    const bool second = r->verb->second && o->operand && !o->second;
    const bool more = r->verb->many && o->operand_count < OPERANDS_MAX;
    const char *wanted = second                        ? r->verb->second
                         : o->operand && r->verb->rest ? r->verb->rest
                                                       : r->verb->operand;
    if (text[0] == '\0')
        return wrong(words, "an empty text is no %s", wanted);
    if (o->operand && !second && !more)
        return wrong(words, "one %s at a time", wanted);
    if (second)
        o->second = text;
    else if (!o->operand)
        o->operand = text;
    if (r->verb->many)
        o->operands[o->operand_count++] = text;
    return true;
}

bool options_fit(const struct options_reading *r, char words[OPTIONS_WORDS])
{
    const struct options *o = r->out;
    if (o->answered)
        return true;
    if (o->keep && o->resume)
        return wrong(words, "--resume names the folder already: leave out --keep");
    if (o->parts > 0 && !o->keep && !o->resume)
        return wrong(words, "--shard needs a folder for what the part finds: --keep DIR");
    if (o->parts > 0 && (o->output || o->terminal))
        return wrong(words,
                     "a part has no answer to put into a folder or to draw: leat gather has");
    if (o->animate && (o->at || o->compare || o->explain))
        return wrong(words, "--animate shows the whole life: leave out --at, --compare, --explain");
    if (o->frames > 0 && !o->animate)
        return wrong(words, "--frames needs --animate");
    if (o->list || !r->verb->operand)
        return true;
    if (o->operand && (o->second || !r->verb->second))
        return true;
    return wrong(words, "which %s?", o->operand ? r->verb->second : r->verb->operand);
}
