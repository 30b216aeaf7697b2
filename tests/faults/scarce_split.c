/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * scarce_split: see scarce.h.  At each number of the file a child is made twice, one in which the
 * allocation fails once and one in which all later ones fail, too; each goes to a copy of the
 * present folder, SCARCE_TO/N.0 and N.1, and takes what it has open there with it.  How it ended is
 * written into status there.  Only for one thread.
 */
#define _GNU_SOURCE
#include <fcntl.h>
#include <limits.h>
#include <spawn.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "scarce.h"

enum { NUMBERS = 1 << 16, FILES = 64, PATIENCE = 120 /* s, then it is a hang */, STRANGE = 99 };

static long number[NUMBERS];
static int count, next;
static bool child, all;
static const char *to;

void split_begin(const char *file)
{
    FILE *f = file ? fopen(file, "re") : NULL;
    to = getenv("SCARCE_TO");
    while (f && to && count < NUMBERS && fscanf(f, "%ld", &number[count]) == 1)
        count++;
    if (f)
        fclose(f);
}

bool split_is_child(void)
{
    return child;
}

bool split_is_ever(void)
{
    return all;
}

/* ---- in the child -----------------------------------------------------------------------------
 */

static void copy_to(const char *folder)
{
    char *const words[] = { "cp", "-a", ".", (char *)folder, NULL }, *const nothing[] = { NULL };
    pid_t pid;
    int status = 1;
    if (posix_spawn(&pid, "/bin/cp", NULL, NULL, words, nothing) != 0 ||
        waitpid(pid, &status, 0) != pid || status != 0)
        _exit(STRANGE);
}

/* What is open in the old folder is opened in the new one, at the same place. */
static void open_again(int fd, const char *old)
{
    char link[64], path[PATH_MAX];
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    const ssize_t n = readlink(link, path, sizeof path - 1);
    const size_t length = strlen(old);
    if (n < (ssize_t)length || strncmp(path, old, length) != 0)
        return;
    path[n] = '\0';
    const char *name = path[length] == '/' ? path + length + 1 : ".";
    const int flags = fcntl(fd, F_GETFL), own = fcntl(fd, F_GETFD);
    const int again = open(name, flags & ~(O_CREAT | O_EXCL | O_TRUNC));
    if (again < 0)
        return; /* it was removed meanwhile */
    const off_t where = lseek(fd, 0, SEEK_CUR);
    dup2(again, fd);
    close(again);
    if (where > 0)
        lseek(fd, where, SEEK_SET);
    fcntl(fd, F_SETFD, own);
}

static void move_to(const char *folder)
{
    char old[PATH_MAX];
    if (!getcwd(old, sizeof old))
        _exit(STRANGE);
    copy_to(folder);
    if (chdir(folder) != 0)
        _exit(STRANGE);
    for (int fd = 0; fd < FILES; fd++)
        open_again(fd, old);
    alarm(PATIENCE);
}

/* ---- in the parent ----------------------------------------------------------------------------
 */

static void write_status(const char *folder, int status)
{
    char path[PATH_MAX + 8], text[32];
    snprintf(path, sizeof path, "%s/status", folder);
    const int fd = open(path, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0666);
    const int n = snprintf(text, sizeof text, "%d\n",
                           WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status));
    if (fd < 0 || write(fd, text, (size_t)n) != n)
        abort();
    close(fd);
}

bool split_at(long n, atomic_long *at)
{
    if (child || next >= count || number[next] != n)
        return false;
    next++;
    for (int ever = 0; ever < 2; ever++) {
        char folder[PATH_MAX];
        snprintf(folder, sizeof folder, "%s/%ld.%d", to, n, ever);
        const pid_t pid = fork();
        if (pid == 0) {
            child = true;
            all = ever != 0;
            move_to(folder);
            *at = n;
            return true;
        }
        int status = 0;
        if (pid < 0 || waitpid(pid, &status, 0) != pid)
            abort();
        write_status(folder, status);
    }
    return false;
}
