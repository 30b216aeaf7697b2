/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * pages_man: leat(1).  Page: docs/commands.md.
 *
 * Words of the tables are escaped: none can become a request of roff.
 */
#include <stdbool.h>
#include <string.h>

#include "pages.h"
#include "verbs.h"

enum { LINE = 60 }; /* letters, of which some take four bytes */

/* ---- text -------------------------------------------------------------------------------------
 */

/* A letter as roff prints it: typewriter signs, not the typographic ones it would choose. */
static void put_letter(char c, FILE *out)
{
    static const struct {
        char c;
        const char *roff;
    } odd[] = { { '\\', "\\e" },  { '-', "\\-" },   { '\'', "\\(aq" }, { '"', "\\(dq" },
                { '^', "\\(ha" }, { '~', "\\(ti" }, { '`', "\\(ga" } };
    for (size_t i = 0; i < sizeof odd / sizeof *odd; i++)
        if (odd[i].c == c) {
            fputs(odd[i].roff, out);
            return;
        }
    fputc(c, out);
}

static void put_letters(const char *text, size_t n, FILE *out)
{
    for (size_t i = 0; i < n; i++)
        put_letter(text[i], out);
}

/* A line of text; nothing at its beginning is a request. */
static void put_line(const char *text, size_t n, FILE *out)
{
    if (n > 0 && (text[0] == '.' || text[0] == '\''))
        fputs("\\&", out);
    put_letters(text, n, out);
    fputc('\n', out);
}

/* How far a sentence goes, and of it what fits a line. */
static size_t line_of(const char *text)
{
    size_t n = strcspn(text, "\n"), fits = 0;
    for (size_t i = 0; i + 2 < n; i++)
        if (strchr(".?!", text[i]) && text[i + 1] == ' ' && text[i + 2] == ' ')
            n = i + 1;
    if (n <= LINE)
        return n;
    for (size_t i = 0; i < n && (i <= LINE || fits == 0); i++)
        fits = text[i] == ' ' ? i : fits;
    return fits > 0 ? fits : n;
}

/* Words broken after sentences, as the macros want them. */
static void put_sentences(const char *text, FILE *out)
{
    while (*text != '\0') {
        const size_t n = line_of(text);
        put_line(text, n, out);
        text += n;
        text += strspn(text, " \n");
    }
}

static void put_bold(const char *text, FILE *out)
{
    fputs("\\fB", out);
    put_letters(text, strlen(text), out);
    fputs("\\fR", out);
}

static void put_italic(const char *text, FILE *out)
{
    fputs("\\fI", out);
    put_letters(text, strlen(text), out);
    fputs("\\fR", out);
}

/* ---- verbs ------------------------------------------------------------------------------------
 */

static void put_call(const struct verb *v, FILE *out)
{
    const char *behind = v->second ? v->second : v->rest;
    fputs("\\fBleat ", out);
    put_letters(v->name, strlen(v->name), out);
    fputs("\\fR [\\fIOPTION\\fR...]", out);
    if (v->operand) {
        fputc(' ', out);
        put_italic(v->operand, out);
    }
    if (behind) {
        fputc(' ', out);
        put_italic(behind, out);
    }
    fputc('\n', out);
}

/* What every verb takes is told once. */
static bool is_common(const char *name)
{
    static const char *const common[] = { "quiet", "no-color", "help", "usage", "version" };
    for (size_t i = 0; i < sizeof common / sizeof *common; i++)
        if (strcmp(common[i], name) == 0)
            return true;
    return false;
}

static void put_option(const struct options_words *w, FILE *out)
{
    const char letter[] = { '-', w->letter, '\0' };
    char name[64];
    snprintf(name, sizeof name, "--%s", w->name);
    fputs(".TP\n", out);
    if (w->letter) {
        put_bold(letter, out);
        fputs(", ", out);
    }
    put_bold(name, out);
    if (w->argument) {
        fputc('=', out);
        put_italic(w->argument, out);
    }
    fputc('\n', out);
    put_sentences(w->doc, out);
}

static void see_own(void *self, const struct options_words *w)
{
    if (!is_common(w->name))
        put_option(w, self);
}

static void see_common(void *self, const struct options_words *w)
{
    if (is_common(w->name))
        put_option(w, self);
}

/* The lines of examples; returns what follows them. */
static const char *put_examples(const char *more, FILE *out)
{
    static const char HEAD[] = "Examples:\n";
    if (strncmp(more, HEAD, strlen(HEAD)) != 0)
        return more;
    fputs(".PP\nExamples:\n.PP\n.nf\n.RS\n", out);
    for (more += strlen(HEAD); strncmp(more, "  ", 2) == 0;) {
        const size_t n = strcspn(more, "\n");
        put_line(more + 2, n - 2, out);
        more += n + (more[n] == '\n');
    }
    fputs(".RE\n.fi\n", out);
    return more;
}

static void put_verb(const struct verb *v, FILE *out)
{
    fprintf(out, ".SS %s\n", v->name);
    put_call(v, out);
    fputs(".PP\n", out);
    put_sentences(v->question, out);
    options_each(v, see_own, out);
    const char *rest = put_examples(v->more, out);
    if (*rest) {
        fputs(".PP\n", out);
        put_sentences(rest, out);
    }
}

/* ---- the page ---------------------------------------------------------------------------------
 */

static void put_head(FILE *out, const char *date)
{
    fputs(".\\\" Made by leat_pages from the tables of the program; do not edit.\n", out);
    fprintf(out, ".TH LEAT 1 %s \"leat %s\" \"User Commands\"\n", date, LEAT_VERSION);
    fputs(".SH NAME\nleat \\- simulate a small water purifier and its reservoir\n", out);
    fputs(".SH SYNOPSIS\n", out);
    for (int i = 0; verbs[i].name; i++) {
        if (i > 0)
            fputs(".br\n", out);
        put_call(&verbs[i], out);
    }
    fputs(".SH DESCRIPTION\n", out);
    put_sentences(
        "leat shows what a small water purifier will do: the water it makes and wastes, the tank, "
        "the "
        "cartridges, the meters, and what happens when a part fails.\n"
        "A scenario, a text file, says what stands there and who draws water; leat new writes "
        "one to begin with.  Results go to standard output, talk, complaints and progress "
        "to standard error.\n"
        "Long options may be shortened while they mean one only; -- ends them.",
        out);
}

/* Statuses that exit with the same number stand together. */
static void put_statuses(FILE *out)
{
    fputs(".SH EXIT STATUS\n", out);
    for (int i = 0; i < STATUS_COUNT; i++) {
        bool told = false;
        for (int j = 0; j < i; j++)
            told |= status_exit((enum status)j) == status_exit((enum status)i);
        if (told)
            continue;
        fprintf(out, ".TP\n%d\n", status_exit((enum status)i));
        for (int j = i; j < STATUS_COUNT; j++) {
            if (status_exit((enum status)j) != status_exit((enum status)i))
                continue;
            if (j > i)
                fputs("or: ", out);
            put_sentences(status_words((enum status)j), out);
        }
    }
    fputs(".PP\nFrom 64 on they are those of sysexits.h.\n"
          "A verb that is interrupted ends with 128 and the number of the signal.\n",
          out);
}

static void put_entries(FILE *out, const char *title, const char *const entries[][2])
{
    fprintf(out, ".SH %s\n", title);
    for (int i = 0; entries[i][0]; i++) {
        fputs(".TP\n", out);
        put_bold(entries[i][0], out);
        fputc('\n', out);
        put_sentences(entries[i][1], out);
    }
}

static const char *const files[][2] = {
    { "NAME.cfg", "a scenario; leat keys tells what may stand in it" },
    { "NAME-results/", "what leat run leaves if -o says no other folder" },
    { "manifest.json",
      "in each such folder: version, seed, and a hash of every file there.  Nothing "
      "but a folder with one is ever replaced, and only with --force." },
    { NULL, NULL },
};

static const char *const environment[][2] = {
    { "NO_COLOR", "if set and not empty: no colors" },
    { "TERM", "dumb: no colors, no line that is overwritten" },
    { "PATH", "absolute folders in which gnuplot is looked for; without it there are no pictures" },
    { "TMPDIR", "where pictures for the terminal are prepared; /tmp if not set" },
    { NULL, NULL },
};

static const char *const cautions[][2] = {
    { "Safeguards",
      "A simulation is no substitute for an independent physical safeguard.  Lead an overflow "
      "to a drain, and use a leak detector that shuts the supply by itself.  Shut the supply by "
      "hand when you leave." },
    { "Electricity",
      "Residual-current protection on every socket near water, drip loops, plugs out before "
      "hands go in." },
    { "Backflow", "Keep an air gap at the inlet of the tank and at the drain." },
    { "Drinking", "Water without minerals is not meant as the only drinking water, and holds no "
                  "disinfectant." },
    { "Codes",
      "Local codes decide; some of the work may be for licensed plumbers and electricians only." },
    { NULL, NULL },
};

void pages_man(FILE *out, const char *date)
{
    put_head(out, date);
    fputs(".SH VERBS\n", out);
    for (int i = 0; verbs[i].name; i++)
        put_verb(&verbs[i], out);
    fputs(".SH COMMON OPTIONS\nEvery verb takes these.\n", out);
    options_each(&verbs[0], see_common, out);
    put_statuses(out);
    put_entries(out, "FILES", files);
    put_entries(out, "ENVIRONMENT", environment);
    fputs(
        ".SH EXAMPLES\nA first scenario, looked at, run for a year, and its tank in the terminal:\n"
        ".PP\n.nf\n.RS\n"
        "leat new pond\nleat check pond.cfg\nleat run pond.cfg\n"
        "leat show pond\\-results tank_level\n"
        ".RE\n.fi\n",
        out);
    put_entries(out, "CAUTIONS", cautions);
    fputs(".SH SEE ALSO\n.BR gnuplot (1)\n.PP\nThe folder docs of the project: index.md is its "
          "beginning.\n",
          out);
}
