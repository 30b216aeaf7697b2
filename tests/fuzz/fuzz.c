/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * fuzz: see fuzz.h.
 */
#include "fuzz.h"

#include <fcntl.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "sim/report.h"
#include "sim/results_old.h"
#include "sim/text.h"

void fuzz_demand(bool holds, const char *words)
{
    if (holds)
        return;
    fprintf(stderr, "fuzz: does not hold: %s\n", words);
    abort();
}

/* ---- a folder ---------------------------------------------------------------------------------
 */

static char folder[PATH_MAX];

static void remove_folder(void)
{
    results_old_empty(AT_FDCWD, folder);
}

const char *fuzz_folder(void)
{
    if (folder[0] == '\0') {
        const char *top = getenv("TMPDIR");
        char name[PATH_MAX - 32] = "", real[PATH_MAX];
        fuzz_demand(realpath(top ? top : "/tmp", real) != NULL, "there is a folder to work in");
        text_copy(name, sizeof name, real);
        snprintf(folder, sizeof folder, "%s/leat-fuzz.XXXXXX", name);
        fuzz_demand(mkdtemp(folder) != NULL, "a folder can be made");
        atexit(remove_folder);
    }
    return folder;
}

const char *fuzz_path(const char *name)
{
    static char path[8][PATH_MAX + 256];
    static int turn;
    turn = (turn + 1) % 8;
    snprintf(path[turn], sizeof path[turn], "%s/%s", fuzz_folder(), name);
    return path[turn];
}

void fuzz_write(const char *name, const void *bytes, size_t size)
{
    FILE *f = fopen(fuzz_path(name), "wb");
    fuzz_demand(f != NULL, "a file can be made");
    if (size > 0)
        fwrite(bytes, 1, size, f);
    fuzz_demand(fclose(f) == 0, "a file can be written");
}

void fuzz_remove(const char *name)
{
    unlink(fuzz_path(name));
}

/* ---- texts ------------------------------------------------------------------------------------
 */

char *fuzz_text(const uint8_t *data, size_t size)
{
    char *text = malloc(size + 1);
    fuzz_demand(text != NULL, "there is memory");
    if (size > 0)
        memcpy(text, data, size);
    text[size] = '\0';
    return text;
}

char *fuzz_line(char **at)
{
    if (!*at || **at == '\0')
        return NULL;
    return strsep(at, "\n");
}

/* The value of a hexadecimal digit; -1 if it is none. */
static int digit(char c)
{
    const char *digits = "0123456789abcdef", *at = c ? strchr(digits, c) : NULL;
    return at ? (int)(at - digits) : -1;
}

size_t fuzz_hex(const char *hex, void *out, size_t room)
{
    size_t n = 0;
    for (; n < room && digit(hex[0]) >= 0 && digit(hex[1]) >= 0; hex += 2)
        ((unsigned char *)out)[n++] = (unsigned char)(16 * digit(hex[0]) + digit(hex[1]));
    return n;
}

void fuzz_patch(const char *line, void *block, size_t size)
{
    char *end;
    const unsigned long at = strtoul(line, &end, 10);
    if (*end == '=' && at < size)
        fuzz_hex(end + 1, (char *)block + at, size - at);
}

void fuzz_demand_printable(const char *text, size_t size)
{
    size_t bad;
    fuzz_demand(text_is_utf8(text, size, &bad), "what is printed is UTF-8");
    for (size_t i = 0; i < size; i++)
        fuzz_demand(text[i] == '\n' || text_control(text + i, size - i) == TEXT_PLAIN,
                    "no control character is printed");
}

void fuzz_look_at_report(const struct report *r)
{
    char *text = NULL;
    size_t size = 0;
    FILE *f = open_memstream(&text, &size);
    fuzz_demand(f != NULL, "there is memory");
    report_print(r, f, false);
    fclose(f);
    fuzz_demand_printable(text, size);
    free(text);
}

void fuzz_silence(void)
{
    static bool done;
    if (!done)
        fuzz_demand(freopen("/dev/null", "w", stdout) != NULL, "stdout can be closed");
    done = true;
}
