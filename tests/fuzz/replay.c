/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * replay: feeds a fuzz target the files that it is given, so that what fuzzing found is tested by
 * any compiler:  replay_units FILE-OR-FOLDER...
 * Each input stands in memory of its own, of just its size, so that a sanitizer sees who reads on.
 */
#include <dirent.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "fuzz.h"
#include "sim/file.h"

enum { MOST = 8 << 20 };

static int replayed;

static void replay(const char *path)
{
    size_t size = 0;
    const char *words = NULL;
    char *bytes = file_read(path, MOST, &size, &words);
    if (!bytes) {
        fprintf(stderr, "%s: %s\n", path, words);
        exit(1);
    }
    uint8_t *tight = malloc(size > 0 ? size : 1);
    if (!tight)
        exit(1);
    memcpy(tight, bytes, size);
    free(bytes);
    fprintf(stderr, "%s\n", path); /* the last line before a crash */
    LLVMFuzzerTestOneInput(tight, size);
    free(tight);
    replayed++;
}

static bool is_folder(const char *path)
{
    struct stat s;
    return stat(path, &s) == 0 && S_ISDIR(s.st_mode);
}

static void replay_all(const char *folder)
{
    struct dirent **list;
    const int n = scandir(folder, &list, NULL, alphasort);
    for (int i = 0; i < n; i++) {
        char path[PATH_MAX + NAME_MAX + 2];
        snprintf(path, sizeof path, "%s/%s", folder, list[i]->d_name);
        if (list[i]->d_name[0] != '.' && !is_folder(path))
            replay(path);
        free(list[i]);
    }
    if (n >= 0)
        free(list);
}

int main(int argc, char *argv[])
{
    for (int i = 1; i < argc; i++) {
        if (is_folder(argv[i]))
            replay_all(argv[i]);
        else
            replay(argv[i]);
    }
    fprintf(stderr, "%d replayed\n", replayed);
    return replayed > 0 ? 0 : 1;
}
