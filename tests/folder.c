/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * folder: see folder.h.
 */
#include "folder.h"

#include <ftw.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { TEXT_MOST = 4096 };

static const char PATTERN[] = "/tmp/leat-test-XXXXXX";

static void insist(bool well, const char *what)
{
    if (well)
        return;
    perror(what);
    abort();
}

void folder_make(char path[FOLDER_PATH])
{
    memcpy(path, PATTERN, sizeof PATTERN);
    insist(mkdtemp(path) != NULL, path);
}

static int remove_one(const char *path, const struct stat *info, int type, struct FTW *ftw)
{
    (void)info, (void)type, (void)ftw;
    return remove(path);
}

/* Nothing else is ever removed, wherever a test has gone. */
void folder_remove(const char *path)
{
    insist(strncmp(path, PATTERN, strlen("/tmp/leat-test-")) == 0, path);
    nftw(path, remove_one, 16, FTW_DEPTH | FTW_PHYS);
}

void folder_enter(void)
{
    char path[FOLDER_PATH];
    folder_make(path);
    insist(chdir(path) == 0, path);
}

void folder_leave(void)
{
    char here[4096];
    insist(getcwd(here, sizeof here) != NULL, "the folder of a test");
    insist(chdir("/") == 0, "/");
    folder_remove(here);
}

void folder_put(const char *path, const char *text)
{
    FILE *f = fopen(path, "w");
    insist(f != NULL, path);
    insist(fputs(text, f) >= 0 && fclose(f) == 0, path);
}

bool folder_has(const char *path)
{
    struct stat s;
    return lstat(path, &s) == 0;
}

bool folder_holds(const char *path, const char *text)
{
    char found[TEXT_MOST] = "";
    FILE *f = fopen(path, "r");
    if (!f)
        return false;
    const size_t n = fread(found, 1, sizeof found - 1, f);
    fclose(f);
    return n == strlen(text) && strcmp(found, text) == 0;
}
