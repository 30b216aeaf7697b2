/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * options_list: every option there is, in the order of the help, and which verbs take it.  Page:
 * docs/commands.md.
 */
#include "options_inner.h"

#include <assert.h>
#include <stddef.h>

enum { TAKES_ALWAYS = -1 };

static const struct row {
    int takes; /* any of these verbs' bits */
    struct options_option option;
} rows[] = {
    { TAKES_NEW, { "from", KEY_FROM, "NAME", "copy this scenario (see --list)", 1 } },
    { TAKES_NEW, { "list", KEY_LIST, NULL, "show the scenarios there are", 1 } },
    { TAKES_OUTPUT, { "output", 'o', "DIR", "folder for the results", 1 } },
    { TAKES_OUTPUT, { "force", KEY_FORCE, NULL, "replace older results in that folder", 1 } },
    { TAKES_PAGE, { "output", 'o', "FILE", "the page; else DIR's name and .html", 1 } },
    { TAKES_PAGE, { "force", KEY_FORCE, NULL, "replace a file of that name", 1 } },
    { TAKES_SET,
      { "set", KEY_SET, "KEY=VALUE", "change a value of the scenario; may be given often", 1 } },
    { TAKES_SEED, { "seed", KEY_SEED, "N", "where chance starts from, noted in the manifest", 1 } },
    { TAKES_PIECES, { "until", KEY_UNTIL, "MOMENT", "stop at \"100 days\" or a date", 1 } },
    { TAKES_PIECES | TAKES_CASES | TAKES_SWEEP,
      { "resume", KEY_RESUME, "DIR", "go on with the run that stopped in that folder", 1 } },
    { TAKES_CASES | TAKES_SWEEP,
      { "keep", KEY_KEEP, "DIR", "keep what is found in that folder, to go on if killed", 1 } },
    { TAKES_CASES | TAKES_SWEEP,
      { "shard", KEY_SHARD, "K/N", "run part K of N only; needs --keep", 1 } },
    { TAKES_AWAY, { "span", KEY_SPAN, "TIME", "away for \"14 days\"; else clock.away", 1 } },
    { TAKES_AWAY,
      { "leaving", KEY_LEAVING, "MOMENT", "leave at \"100 days\" or a date; else the worst", 1 } },
    { TAKES_SHOW, { "from", KEY_FROM, "MOMENT", "begin at \"100 days\" or a date", 1 } },
    { TAKES_SHOW, { "to", KEY_TO, "MOMENT", "end there", 1 } },
    { TAKES_SHOW, { "events", KEY_EVENTS, NULL, "mark the events, list them if they are few", 1 } },
    { TAKES_SHOW,
      { "points", KEY_POINTS, "N", "csv of N rows at most, with least, greatest and mean of each",
        1 } },
    { TAKES_SWEEP,
      { "vary", KEY_VARY, "KEY=FROM..TO/N",
        "N values from FROM to TO (\"/N log\": by ratios), or KEY=A,B,C; once or twice", 1 } },
    { TAKES_SWEEP,
      { "sample", KEY_SAMPLE, "N",
        "N rows from the ranges of --vary, or from the spreads of the scenario", 1 } },
    { TAKES_FILM,
      { "animate", KEY_ANIMATE, NULL, "the life of the beds, frame by frame, instead", 1 } },
    { TAKES_FILM, { "frames", KEY_FRAMES, "N", "of --animate; 48 if not given", 1 } },
    { TAKES_CASES | TAKES_AWAY | TAKES_JOBS | TAKES_SAMPLES | TAKES_SWEEP,
      { "jobs", KEY_JOBS, "N", "threads; all there are if not given", 1 } },
    { TAKES_SAMPLES, { "samples", KEY_SAMPLES, "N", "runs for the range; 256 if not given", 1 } },
    { TAKES_CASES, { "triples", KEY_TRIPLES, NULL, "try three faults at once, too", 1 } },
    { TAKES_CASES,
      { "safeguards", KEY_SAFEGUARDS, NULL, "try what further protections would buy, too", 1 } },
    { TAKES_CASES,
      { "years", KEY_YEARS, "N", "simulate as many years with random faults (1000; 0: none)", 1 } },
    { TAKES_READINGS, { "flow", KEY_FLOW, "FLOW", "product, by jug and watch", 1 } },
    { TAKES_READINGS, { "drain", KEY_DRAIN, "FLOW", "to the drain, by jug and watch", 1 } },
    { TAKES_READINGS,
      { "pressure", KEY_PRESSURE, "PRESSURE", "of the feed at the inlet, water running", 1 } },
    { TAKES_READINGS, { "temperature", KEY_TEMPERATURE, "TEMP", "of the feed", 1 } },
    { TAKES_READINGS,
      { "also", KEY_ALSO, "KEY=VALUE", "a further measurement; may be given often", 1 } },
    { TAKES_READINGS, { "at", KEY_AT, "MOMENT", "when: \"100 days\" or a date; else the end", 1 } },
    { TAKES_ALONG, { "at", KEY_AT, "MOMENT", "when: \"100 days\" or a date; else the start", 1 } },
    { TAKES_ALONG,
      { "compare", KEY_COMPARE, "MOMENT", "beside it the same at another moment", 1 } },
    { TAKES_ALONG,
      { "explain", KEY_EXPLAIN, NULL, "every number with its equation and what is put in", 1 } },
    { TAKES_ALONG,
      { "only", KEY_ONLY, "WORD", "with --explain: what has WORD in its title, and no table", 1 } },
    { TAKES_FIGURES, { "no-figures", KEY_NO_FIGURES, NULL, "draw no pictures", 1 } },
    { TAKES_FIGURES, { "terminal", KEY_TERMINAL, NULL, "draw the pictures as text, too", 1 } },
    { TAKES_TABLE, { "format", KEY_FORMAT, "FORM", "table (for people) or json", 1 } },
    { TAKES_CSV, { "format", KEY_FORMAT, "FORM", "table (for people), csv or json", 1 } },
    { TAKES_SHOW, { "format", KEY_FORMAT, "FORM", "table (for people) or csv", 1 } },
    { TAKES_ALWAYS,
      { "units", KEY_UNITS, "TASTE", "show quantities in metric or us units; data stay metric",
        2 } },
    { TAKES_ALWAYS, { "quiet", 'q', NULL, "print complaints only", 2 } },
    { TAKES_ALWAYS, { "no-color", KEY_NO_COLOR, NULL, "no colors; so does NO_COLOR", 2 } },
    { TAKES_ALWAYS, { "help", 'h', NULL, "print this help", 3 } },
    { TAKES_ALWAYS, { "usage", KEY_USAGE, NULL, "print a short reminder", 3 } },
    { TAKES_ALWAYS, { "version", 'V', NULL, "print the version", 3 } },
};

enum { ROWS = sizeof rows / sizeof rows[0] };

static_assert((int)ROWS <= (int)OPTIONS_MOST, "there is room for all options of a verb");

static bool takes(const struct verb *v, const struct row *row)
{
    return row->takes == TAKES_ALWAYS || ((unsigned)row->takes & v->takes);
}

const char *options_values_of(const struct verb *v, int key)
{
    if (key == KEY_UNITS)
        return "metric us";
    if (key != KEY_FORMAT)
        return NULL;
    return v->takes & TAKES_CSV    ? "table csv json"
           : v->takes & TAKES_SHOW ? "table csv"
                                   : "table json";
}

int options_taken(const struct verb *v, const struct options_option *taken[OPTIONS_MOST])
{
    int n = 0;
    for (int i = 0; i < ROWS; i++)
        if (takes(v, &rows[i]))
            taken[n++] = &rows[i].option;
    return n;
}

void options_each(const struct verb *v, void (*see)(void *self, const struct options_words *w),
                  void *self)
{
    const struct options_option *taken[OPTIONS_MOST];
    const int count = options_taken(v, taken);
    for (int i = 0; i < count; i++) {
        const struct options_option *p = taken[i];
        const struct options_words w = { p->name, p->key < KEY_FORCE ? (char)p->key : '\0',
                                         p->argument, p->doc, options_values_of(v, p->key) };
        see(self, &w);
    }
}
