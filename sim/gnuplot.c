/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * gnuplot: the plotting program as a separate process.  Page: docs/figures.md.
 *
 * Assumes nothing of the program: it may be missing, fail, hang, print anything, or end well
 * without having drawn.  It is killed with all that it started once the time is up.
 */
#include "gnuplot.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <poll.h>
#include <signal.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "gif.h"

#ifndef GNUPLOT_TIMEOUT_MS
#define GNUPLOT_TIMEOUT_MS 30000 /* tests shorten it */
#endif

enum { LOOK_MS = 50, CPU_SECONDS = 25, FILE_BYTES = 64 << 20, PATH_LONGEST = 4096 };

const char *gnuplot_words(enum gnuplot_outcome outcome)
{
    switch (outcome) {
    case GNUPLOT_FINE:
        break;
    case GNUPLOT_MISSING:
        return "gnuplot was not found on PATH: no figures (the data are in figures/)";
    case GNUPLOT_FAILED:
        return "gnuplot failed: some figures are missing (scripts and data are in figures/)";
    case GNUPLOT_HUNG:
        return "gnuplot did not finish in 30 s and was stopped: some figures are missing";
    case GNUPLOT_STOPPED:
        return "drawing was stopped: some figures are missing";
    case GNUPLOT_LIED:
        return "gnuplot ended without a whole picture (disk full?): some figures are missing";
    }
    return NULL;
}

static bool runs(const char *path)
{
    struct stat info;

    return stat(path, &info) == 0 && S_ISREG(info.st_mode) && access(path, X_OK) == 0;
}

enum gnuplot_outcome gnuplot_find(char *path, size_t size)
{
    const char *at = getenv("PATH");

    while (at && *at) {
        const size_t length = strcspn(at, ":");
        const int written = snprintf(path, size, "%.*s/gnuplot", (int)(length & INT_MAX), at);
        if (*at == '/' && length < INT_MAX && written > 0 && (size_t)written < size && runs(path))
            return GNUPLOT_FINE;
        at += length + (at[length] == ':');
    }
    return GNUPLOT_MISSING;
}

/* In the child: never returns.  Only calls that are safe after fork. */
static void become(const char *path, int folder, const char *script, int out, char *path_variable)
{
    char name[] = "gnuplot", plain[] = "-d", lang[] = "LANG=C.UTF-8", home[] = "HOME=.";
    char text[64];
    char *const environment[] = { path_variable, lang, home, NULL };
    char *const argument[] = { name, plain, text, NULL };
    const struct rlimit cpu = { CPU_SECONDS, CPU_SECONDS }, file = { FILE_BYTES, FILE_BYTES };
    const int nothing = open("/dev/null", O_RDWR);

    strncpy(text, script, sizeof text - 1);
    text[sizeof text - 1] = '\0';
    setpgid(0, 0);
    signal(SIGPIPE, SIG_DFL);
    signal(SIGXFSZ, SIG_DFL);
    if (nothing < 0 || dup2(nothing, 0) < 0 || dup2(out, 1) < 0 || dup2(nothing, 2) < 0 ||
        fchdir(folder) != 0 || setrlimit(RLIMIT_CPU, &cpu) != 0 ||
        setrlimit(RLIMIT_FSIZE, &file) != 0)
        _exit(127);
    execve(path, argument, environment);
    _exit(127);
}

static long long milliseconds(void)
{
    struct timespec now;

    clock_gettime(CLOCK_MONOTONIC, &now);
    return now.tv_sec * 1000LL + now.tv_nsec / 1000000;
}

/* Passes on what may be shown: line feeds, printable ASCII and the bytes of UTF-8. */
static void pass_on(const char *text, ssize_t length, FILE *out)
{
    for (ssize_t i = 0; out && i < length; i++) {
        const unsigned char c = (unsigned char)text[i];
        if (c == '\n' || (c >= ' ' && c != 0x7f))
            putc(c, out);
    }
}

static bool asked(const volatile sig_atomic_t *stop)
{
    return stop && *stop;
}

/* Reads until the other end closes; false if the time is up or a stop is asked for first.  A signal
 * may come just before the wait: it is looked at every LOOK_MS. */
static bool drain(int from, long long deadline, FILE *out, const volatile sig_atomic_t *stop)
{
    char text[4096];

    for (;;) {
        struct pollfd wait = { .fd = from, .events = POLLIN };
        const long long left = deadline - milliseconds();
        if (left <= 0 || asked(stop))
            return false;
        const int ready = poll(&wait, 1, left < LOOK_MS ? (int)left : LOOK_MS);
        if (ready < 0 && errno != EINTR)
            return false;
        if (ready <= 0)
            continue;
        const ssize_t length = read(from, text, sizeof text);
        if (length < 0 && errno == EINTR)
            continue;
        if (length <= 0)
            return true;
        pass_on(text, length, out);
    }
}

/* Waits for the child until the deadline or a stop, then kills it and all it started. */
static enum gnuplot_outcome collect(pid_t child, long long deadline,
                                    const volatile sig_atomic_t *stop)
{
    const struct timespec pause = { 0, 2000000 };
    int status = 0;

    while (waitpid(child, &status, WNOHANG) == 0) {
        if (milliseconds() >= deadline || asked(stop)) {
            kill(-child, SIGKILL);
            kill(child, SIGKILL);
            while (waitpid(child, &status, 0) < 0 && errno == EINTR)
                continue;
            return asked(stop) ? GNUPLOT_STOPPED : GNUPLOT_HUNG;
        }
        nanosleep(&pause, NULL);
    }
    kill(-child, SIGKILL); /* whatever it left running */
    return WIFEXITED(status) && WEXITSTATUS(status) == 0 ? GNUPLOT_FINE : GNUPLOT_FAILED;
}

enum gnuplot_outcome gnuplot_run(const char *path, int folder, const char *script, FILE *out,
                                 const volatile sig_atomic_t *stop)
{
    char path_variable[PATH_LONGEST + 8];
    int ends[2];
    const char *search = getenv("PATH");
    snprintf(path_variable, sizeof path_variable, "PATH=%s", search ? search : "/usr/bin:/bin");
    if (pipe2(ends, O_CLOEXEC) != 0)
        return GNUPLOT_FAILED;

    const long long deadline = milliseconds() + GNUPLOT_TIMEOUT_MS;
    const pid_t child = fork();
    if (child == 0)
        become(path, folder, script, ends[1], path_variable);
    close(ends[1]);
    if (child < 0) {
        close(ends[0]);
        return GNUPLOT_FAILED;
    }
    setpgid(child, child); /* here too, so that it holds whoever runs first */
    const bool closed = drain(ends[0], deadline, out, stop);
    close(ends[0]);
    const enum gnuplot_outcome outcome = collect(child, closed ? deadline : 0, stop);
    return closed ? outcome : asked(stop) ? GNUPLOT_STOPPED : GNUPLOT_HUNG;
}

/* Whether an svg is closed by its end tag. */
static bool svg_whole(int file, off_t size)
{
    char tail[33] = "";
    const off_t from = size > 32 ? size - 32 : 0;
    const ssize_t length = pread(file, tail, 32, from);
    while (length > 0 && strlen(tail) > 0 && strchr(" \r\n\t", tail[strlen(tail) - 1]))
        tail[strlen(tail) - 1] = '\0';
    const size_t n = strlen(tail);
    return length > 0 && n >= 6 && strcmp(tail + n - 6, "</svg>") == 0;
}

static int gif_whole(int file, off_t size)
{
    void *bytes = mmap(NULL, (size_t)size, PROT_READ, MAP_PRIVATE, file, 0);
    if (bytes == MAP_FAILED)
        return 0;
    const int frames = gif_frames(bytes, (size_t)size);
    munmap(bytes, (size_t)size);
    return frames > 0 ? frames : 0;
}

int gnuplot_frames(int folder, const char *picture)
{
    const char *ending = strrchr(picture, '.');
    const bool gif = ending && strcmp(ending, ".gif") == 0;
    struct stat info;
    const int file = openat(folder, picture, O_RDONLY | O_CLOEXEC | O_NOFOLLOW | O_NONBLOCK);
    if (file < 0)
        return 0;
    int frames = 0;
    if (fstat(file, &info) == 0 && S_ISREG(info.st_mode) && info.st_size > 16)
        frames = gif ? gif_whole(file, info.st_size) : svg_whole(file, info.st_size);
    close(file);
    return frames;
}

enum gnuplot_outcome gnuplot_draw(const char *path, int folder, const char *script,
                                  const char *picture, const volatile sig_atomic_t *stop)
{
    unlinkat(folder, picture, 0); /* so that an old one does not pass for a new one */
    enum gnuplot_outcome outcome = gnuplot_run(path, folder, script, NULL, stop);

    if (outcome == GNUPLOT_FINE && gnuplot_frames(folder, picture) == 0)
        outcome = GNUPLOT_LIED;
    if (outcome != GNUPLOT_FINE && unlinkat(folder, picture, 0) != 0)
        unlinkat(folder, picture, AT_REMOVEDIR);
    return outcome;
}
