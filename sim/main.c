/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * main: the verbs, signals, and the exit status.  Page: docs/commands.md.
 *
 * Everything below returns a status; only this file turns it into an exit.
 */
#include <errno.h>
#include <fcntl.h>
#include <gsl/gsl_errno.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include "command.h"
#include "screen.h"
#include "text.h"

enum { WORD_ROOM = 200, VERB_MARGIN = 15 };

static const double BLINK = 0.5; /* s */

static const struct verb verbs[] = {
    { .name = "new",
      .operand = "NAME",
      .question = "Where do I start?  Copies a commented scenario to NAME.cfg.",
      .more = "Examples:\n"
              "  leat new --list\n"
              "  leat new pond\n"
              "  leat new bench --from demo\n"
              "A file that is there already is never overwritten.",
      .takes = TAKES_NEW,
      .act = command_new },
    { .name = "keys",
      .question = "What may stand in a scenario?  Every key, its range and default; the parts.",
      .more = "Examples:\n"
              "  leat keys\n"
              "  leat keys | less",
      .act = command_keys },
    { .name = "check",
      .operand = "FILE",
      .question = "Is my scenario sound, and what was assumed?  Writes no file.",
      .more = "Examples:\n"
              "  leat check pond.cfg\n"
              "  leat check pond.cfg --set 'feed.pressure=\"40 psi\"'\n"
              "All that is wrong is shown at once, by line and column.",
      .takes = TAKES_SET | TAKES_CSV,
      .act = command_check },
    { .name = "run",
      .operand = "FILE",
      .question = "What will happen?  Leaves series, events, summary and figures in a folder.",
      .more =
          "Examples:\n"
          "  leat run pond.cfg\n"
          "  leat run pond.cfg -o results/cold --set 'feed.coldest=\"3 degC\"'\n"
          "  leat run pond.cfg -o results/cold --force --terminal\n"
          "  leat run pond.cfg --until \"100 days\"\n"
          "  leat run pond.cfg --resume pond-results -o whole\n"
          "The folder is FILE's name and -results if -o says no other.  Exit status 1: a limit of "
          "the scenario was broken; 130: interrupted, what was computed is kept and --resume goes "
          "on.",
      .takes = TAKES_OUTPUT | TAKES_FIGURES | TAKES_SET | TAKES_SEED | TAKES_TABLE | TAKES_PIECES,
      .leaves_results = true,
      .act = command_run },
    { .name = "overflow",
      .operand = "FILE",
      .question = "Can the tank overflow, by which faults, and how likely?  Pictures with -o.",
      .more =
          "Examples:\n"
          "  leat overflow pond.cfg\n"
          "  leat overflow pond.cfg --set 'storage.overflow=\"standpipe\"'\n"
          "  leat overflow pond.cfg --safeguards\n"
          "  leat overflow pond.cfg -o pond-overflow --terminal\n"
          "  leat overflow pond.cfg --format json --jobs 2\n"
          "  leat overflow pond.cfg --safeguards --keep pond-cases\n"
          "  leat overflow pond.cfg --shard 2/3 --keep part-2\n"
          "Every fault and every pair of faults, from the worst moments of a normal year.  "
          "Without -o and --keep no file is written.  What is in the folder of --keep is not run "
          "again: after a kill the same command goes on.  Parts are joined by leat gather.",
      .takes = TAKES_OUTPUT | TAKES_FIGURES | TAKES_SET | TAKES_SEED | TAKES_TABLE | TAKES_CASES,
      .leaves_results = true,
      .act = command_overflow },
    { .name = "away",
      .operand = "FILE",
      .question = "May I leave, and what must I do before?  Writes no file.",
      .more = "Examples:\n"
              "  leat away pond.cfg\n"
              "  leat away pond.cfg --span \"10 days\" --leaving 2026-07-04\n"
              "The span is clock.away of the scenario if --span says no other.  Exit status 1: "
              "without any fault a limit of the scenario is broken meanwhile.",
      .takes = TAKES_SET | TAKES_SEED | TAKES_TABLE | TAKES_AWAY,
      .act = command_away },
    { .name = "gather",
      .operand = "DIR...",
      .question = "What do the parts of a campaign say together?  As if it had not been split.",
      .more =
          "Examples:\n"
          "  leat gather part-1 part-2 part-3\n"
          "  leat gather part-* --format json\n"
          "  leat gather part-* -o pond-overflow\n"
          "The folders are those of --keep, one a part (--shard).  What no part could know (the "
          "best two safeguards together) is run here.",
      .many = true,
      .takes = TAKES_OUTPUT | TAKES_FIGURES | TAKES_TABLE | TAKES_JOBS,
      .leaves_results = true,
      .act = command_gather },
    { .name = "rinse",
      .operand = "FILE",
      .question = "How should I rinse the membrane: when, how long, and does it pay?",
      .more =
          "Examples:\n"
          "  leat rinse pond.cfg\n"
          "  leat rinse pond.cfg --set 'prices.sewer=\"0 /m3\"'\n"
          "  leat rinse pond.cfg -o pond-rinse\n"
          "  leat rinse pond.cfg --format json --jobs 2\n"
          "Every way of rinsing at its best, a map of interval by duration, and whether the answer "
          "survives what nobody has measured.  Writes files only with -o.",
      .takes = TAKES_OUTPUT | TAKES_SET | TAKES_TABLE | TAKES_JOBS,
      .leaves_results = true,
      .act = command_rinse },
    { .name = "read",
      .operand = "FILE",
      .second = "FEED,PERMEATE,PRODUCT",
      .question = "My meters show this: what is failing?  Writes no file.",
      .more =
          "Examples:\n"
          "  leat read pond.cfg 245,13,0\n"
          "  leat read pond.cfg 245,13,0 --drain \"90 mL/min\" --temperature \"8 degC\"\n"
          "  leat read pond.cfg \"490 uS/cm,26 uS/cm,-\" --at 2026-07-01\n"
          "  leat read pond.cfg 245,13,0 --also \"hardness=4 mg/L as CaCO3\"\n"
          "Bare readings are ppm on the plant's meter; a dash, or nothing, is one not read (so "
          "that -,13,0 is written ,13,0).  Keys of --also: "
          "feed_again, permeate_again, product_again (by a second meter), throttled, ph, hardness, "
          "silica, as the answer proposes them.",
      .takes = TAKES_SET | TAKES_TABLE | TAKES_READINGS,
      .act = command_read },
    { .name = "life",
      .operand = "FILE",
      .question = "When does each cartridge end, why, and how sure is that?  What would help?",
      .more = "Examples:\n"
              "  leat life pond.cfg\n"
              "  leat life pond.cfg --set 'feed.pH={ value = 7.1; sd = 0.1; }'\n"
              "  leat life pond.cfg --samples 1024 --jobs 4 -o pond-life\n"
              "Writes no file without -o.  Nobody comes, no dated event falls: parts as they would "
              "last by themselves.",
      .takes = TAKES_OUTPUT | TAKES_SET | TAKES_SEED | TAKES_TABLE | TAKES_SAMPLES,
      .leaves_results = true,
      .act = command_life },
    { .name = "sweep",
      .operand = "FILE",
      .question = "What if?  The same scenario with values changed, each time run whole.",
      .more = "Examples:\n"
              "  leat sweep pond.cfg --vary 'feed.pressure=30..70 psi/9'\n"
              "  leat sweep pond.cfg --vary 'feed.chlorine=0.1..3 mg/L/7 log'\n"
              "  leat sweep pond.cfg --vary 'feed.pH=7,7.5' --vary 'draws.1.take=9..60 L/5'\n"
              "  leat sweep pond.cfg --vary 'feed.coldest=2..9 degC' --sample 64 -o cold\n"
              "One or two keys; what --set takes, --vary takes.  Every row is checked before the "
              "first is run; one that the scenario refuses refuses all.  Without -o no file is "
              "written.  Exit status 1: a limit of the scenario is broken in a row.",
      .takes = TAKES_OUTPUT | TAKES_FIGURES | TAKES_SET | TAKES_SEED | TAKES_CSV | TAKES_SWEEP,
      .leaves_results = true,
      .act = command_sweep },
};

enum { VERBS = sizeof verbs / sizeof verbs[0] };

static const char *const later[] = { "along", "show", "report", "fit" };

enum { LATER = sizeof later / sizeof later[0] };

volatile sig_atomic_t command_stop;

/* ---- words ------------------------------------------------------------------------------------
 */

static void print_help(FILE *out)
{
    fputs("leat shows what a small water purifier will do: the water it makes and wastes,\n"
          "the tank, the cartridges, the meters, and what happens when a part fails.\n"
          "\n"
          "Examples:\n"
          "  leat new pond          write a commented scenario, pond.cfg\n"
          "  leat check pond.cfg    what is wrong in it, and what was assumed\n"
          "  leat run pond.cfg      a year in seconds, into the folder pond-results\n"
          "\n"
          "Verbs:\n",
          out);
    for (int i = 0; i < VERBS; i++) {
        const int column =
            fprintf(out, "  %s %s%s%s", verbs[i].name, verbs[i].operand ? verbs[i].operand : "",
                    verbs[i].second ? " " : "", verbs[i].second ? verbs[i].second : "");
        screen_wrap(out, column, VERB_MARGIN, verbs[i].question);
    }
    char words[WORD_ROOM] = "";
    for (int i = 0; i < LATER; i++)
        text_append(words, sizeof words, "%s%s", i == 0 ? "" : ", ", later[i]);
    fputs("\nKnown, but not in this version:\n  ", out);
    screen_wrap(out, 2, 2, words);
    fputs("\nleat VERB --help explains a verb; leat --version tells the version.\n", out);
}

static void print_usage(FILE *out)
{
    for (int i = 0; i < VERBS; i++)
        fprintf(out, "%s leat %s [OPTION...]%s%s%s%s\n",
                i == 0 ? "Usage:" : "   or:", verbs[i].name, verbs[i].operand ? " " : "",
                verbs[i].operand ? verbs[i].operand : "", verbs[i].second ? " " : "",
                verbs[i].second ? verbs[i].second : "");
}

static enum status unknown(const char *word)
{
    char shown[WORD_ROOM];
    struct nearest near = text_nearest_to(word);
    for (int i = 0; i < LATER; i++) {
        if (strcmp(word, later[i]) == 0) {
            fprintf(stderr, "leat: %s is known, but not in this version\n", later[i]);
            return STATUS_USAGE;
        }
    }
    for (int i = 0; i < VERBS; i++)
        text_nearest_try(&near, verbs[i].name);
    for (int i = 0; i < LATER; i++)
        text_nearest_try(&near, later[i]);
    fprintf(stderr, "leat: there is no %s \"%s\"", word[0] == '-' ? "option" : "verb",
            text_escape(word, shown, sizeof shown));
    if (near.name)
        fprintf(stderr, "; did you mean %s?", near.name);
    fputs("\nTry leat --help\n", stderr);
    return STATUS_USAGE;
}

/* ---- signals and streams ----------------------------------------------------------------------
 */

/* The first asks to stop, a later one ends the program at once.  One key or one supervisor may send
 * the same signal twice in a blink (to the process and to its group): that counts as one. */
static void ask_to_stop(int number)
{
    static struct timespec first;
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    if (!command_stop) {
        command_stop = number;
        first = now;
        return;
    }
    const double gone =
        (double)(now.tv_sec - first.tv_sec) + 1e-9 * (double)(now.tv_nsec - first.tv_nsec);
    if (gone > BLINK) {
        signal(number, SIG_DFL);
        raise(number);
    }
}

static void listen_to(int number)
{
    struct sigaction ours = { .sa_handler = ask_to_stop, .sa_flags = SA_RESTART }, before;
    sigfillset(&ours.sa_mask);
    if (sigaction(number, NULL, &before) == 0 && before.sa_handler != SIG_IGN)
        sigaction(number, &ours, NULL);
}

static void set_signals(const struct verb *v)
{
    signal(SIGXFSZ, SIG_IGN); /* a file that is too long becomes an ordinary error of writing */
    if (!v->leaves_results)
        return;
    signal(SIGPIPE, SIG_IGN);
    listen_to(SIGINT);
    listen_to(SIGTERM);
    listen_to(SIGHUP);
}

/* A missing standard stream would lend its number to a file of results. */
static void fill_streams(void)
{
    for (int fd = 0; fd <= 2; fd++)
        if (fcntl(fd, F_GETFD) == -1 && open("/dev/null", O_RDONLY) != fd)
            return;
}

/* What was printed must have arrived; a reader who has gone does not spoil a folder of results. */
static enum status close_output(enum status status, bool leaves_results)
{
    errno = 0;
    const bool lost = fflush(stdout) != 0 || ferror(stdout);
    const int error = errno;
    struct stat s;
    const bool pipe = fstat(fileno(stdout), &s) == 0 && !S_ISREG(s.st_mode) && !S_ISCHR(s.st_mode);
    if (!lost || (pipe && leaves_results))
        return status;
    fprintf(stderr, "leat: what was to be printed is lost: %s\n", strerror(error ? error : EIO));
    return STATUS_IO;
}

static int exit_status(enum status status)
{
    return status == STATUS_INTERRUPTED && command_stop ? 128 + command_stop : status_exit(status);
}

/* ---- the verb ---------------------------------------------------------------------------------
 */

static enum status act(const struct verb *v, int argc, char *argv[])
{
    struct options o;
    set_signals(v);
    enum status status = options_parse(v, argc, argv, &o);
    if (status == STATUS_OK && !o.answered)
        status = v->act(&o);
    return close_output(status, v->leaves_results && !o.answered);
}

static enum status answer(const char *word)
{
    if (strcmp(word, "--help") == 0 || strcmp(word, "-h") == 0 || strcmp(word, "help") == 0)
        print_help(stdout);
    else if (strcmp(word, "--version") == 0 || strcmp(word, "-V") == 0)
        options_version();
    else if (strcmp(word, "--usage") == 0)
        print_usage(stdout);
    else
        return unknown(word);
    return close_output(STATUS_OK, false);
}

int main(int argc, char *argv[])
{
    fill_streams();
    gsl_set_error_handler_off(); /* the default one aborts */
    if (argc < 2) {
        print_help(stderr);
        return status_exit(STATUS_USAGE);
    }
    for (int i = 0; i < VERBS; i++)
        if (strcmp(argv[1], verbs[i].name) == 0)
            return exit_status(act(&verbs[i], argc - 1, argv + 1));
    return exit_status(answer(argv[1]));
}
