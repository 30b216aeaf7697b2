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
#include "memory.h"
#include "rows.h"
#include "screen.h"
#include "text.h"
#include "verbs.h"

enum { WORD_ROOM = 200, VERB_MARGIN = 17 };

static const double BLINK = 0.5; /* s */

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
    for (int i = 0; verbs[i].name; i++) {
        const char *behind = verbs[i].second ? verbs[i].second : verbs[i].rest;
        int column =
            fprintf(out, "  %s %s%s%s", verbs[i].name, verbs[i].operand ? verbs[i].operand : "",
                    behind ? " " : "", behind ? behind : "");
        if (column >= VERB_MARGIN) {
            fputc('\n', out);
            column = 0;
        }
        screen_wrap(out, column, VERB_MARGIN, verbs[i].question);
    }
    char words[WORD_ROOM] = "";
    for (int i = 0; verbs_later[i]; i++)
        text_append(words, sizeof words, "%s%s", i == 0 ? "" : ", ", verbs_later[i]);
    fputs("\nKnown, but not in this version:\n  ", out);
    screen_wrap(out, 2, 2, words);
    fputs("\nleat VERB --help explains a verb; leat --version tells the version.\n", out);
}

static void print_usage(FILE *out)
{
    for (int i = 0; verbs[i].name; i++) {
        const char *behind = verbs[i].second ? verbs[i].second : verbs[i].rest;
        fprintf(out, "%s leat %s [OPTION...]%s%s%s%s\n",
                i == 0 ? "Usage:" : "   or:", verbs[i].name, verbs[i].operand ? " " : "",
                verbs[i].operand ? verbs[i].operand : "", behind ? " " : "", behind ? behind : "");
    }
}

static enum status unknown(const char *word)
{
    char shown[WORD_ROOM];
    struct nearest near = text_nearest_to(word);
    for (int i = 0; verbs_later[i]; i++) {
        if (strcmp(word, verbs_later[i]) == 0) {
            fprintf(stderr, "leat: %s is known, but not in this version\n", verbs_later[i]);
            return STATUS_USAGE;
        }
    }
    for (int i = 0; verbs[i].name; i++)
        text_nearest_try(&near, verbs[i].name);
    for (int i = 0; verbs_later[i]; i++)
        text_nearest_try(&near, verbs_later[i]);
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
    if (status == STATUS_OK && !o.answered) {
        units_set_taste(o.units);
        status = v->act(&o);
    }
    if (rows_failed() && (status == STATUS_OK || status == STATUS_LIMIT)) {
        fputs("leat: a file of results could not be read to its end; what was shown is not whole\n",
              stderr);
        status = STATUS_NO_INPUT;
    }
    if (memory_is_short())
        status = STATUS_MEMORY;
    if (status == STATUS_MEMORY)
        fputs("leat: memory ran out; there is no answer\n", stderr);
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
    memory_watch();
    if (argc < 2) {
        print_help(stderr);
        return status_exit(STATUS_USAGE);
    }
    for (int i = 0; verbs[i].name; i++)
        if (strcmp(argv[1], verbs[i].name) == 0)
            return exit_status(act(&verbs[i], argc - 1, argv + 1));
    return exit_status(answer(argv[1]));
}
