/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * file: reads a file of the user whole, and nothing but a regular file.
 */
#include "file.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "memory.h"

bool file_lies_below(const char *folder, const char *real)
{
    const size_t n = strlen(folder);
    return strcmp(folder, "/") == 0 || (strncmp(folder, real, n) == 0 && real[n] == '/');
}

/* Why a file that is open may not be read; NULL if it may. */
static const char *objection(int fd, size_t most, size_t *size)
{
    struct stat st;
    if (fstat(fd, &st) != 0)
        return strerror(errno);
    if (S_ISDIR(st.st_mode))
        return "it is a folder";
    if (!S_ISREG(st.st_mode))
        return "it is not a regular file";
    *size = (size_t)st.st_size;
    return *size > most ? "it is too large" : NULL;
}

/* Reads up to room bytes; *size is how many.  False if reading fails. */
static bool fill(int fd, char *bytes, size_t room, size_t *size)
{
    *size = 0;
    while (*size < room) {
        const ssize_t got = read(fd, bytes + *size, room - *size);
        if (got < 0 && errno == EINTR)
            continue;
        if (got <= 0)
            return got == 0;
        *size += (size_t)got;
    }
    return true;
}

char *file_read(const char *path, size_t most, size_t *size, const char **words)
{
    /* without O_NONBLOCK a pipe would keep us waiting before we see what it is */
    const int fd = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK | O_NOCTTY);
    if (fd < 0) {
        *words = strerror(errno);
        return NULL;
    }
    size_t room = 0;
    char *bytes = NULL;
    *words = objection(fd, most, &room);
    if (*words == NULL && (bytes = malloc(room + 1)) == NULL) {
        *words = "out of memory";
        memory_ran_out(); /* whatever comes of it, it is not the fault of the file */
    }
    if (bytes != NULL && !fill(fd, bytes, room, size)) {
        *words = strerror(errno);
        free(bytes);
        bytes = NULL;
    }
    close(fd);
    if (bytes != NULL)
        bytes[*size] = '\0';
    return bytes;
}
