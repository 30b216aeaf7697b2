/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * cases_inner: what the files of the store share, and its tests.
 */
#ifndef SIM_CASES_INNER_H
#define SIM_CASES_INNER_H

#include <stdint.h>

#include "cases.h"
#include "hash.h"
#include "results.h"

#define CASES_FILE "cases.bin"

enum { CASES_HASH = 68 };

/* First in the file. */
struct cases_header {
    char mark[16];
    char version[32];
    char build[CASES_HASH];     /* of the program's file */
    char scenario[CASES_HASH];  /* resolved */
    char verb[16];
    char options[CASES_OPTIONS];
    int32_t part, parts;
    char file[RESULTS_PATH];
    char hash[CASES_HASH];      /* of all before */
};

/* Then any number of these, each with the bytes of its result and a hash of both. */
struct cases_record {
    char list[CASES_NAME];
    int64_t count, index, size;
};

/* A file that was read. */
struct cases_file {
    char folder[RESULTS_PATH];
    char *bytes;                /* NULL: none */
    size_t size;                /* that are sound: the header and whole records */
    long records;
    bool finished;
    struct cases_header header;
};

struct cases {
    int files;
    struct cases_file *file;
    int fd;                     /* that results are appended to; -1: none */
    off_t end;                  /* of the file */
    int part, parts;
    long ran;
    char trouble[CASES_WORDS];
};

struct cases *cases_create(int files); /* an empty one with room for so many */

/* Writes version and build of this program. */
void cases_this_program(struct cases_header *h);

/* Why results of one header are not for the other; words has room for it.  NULL: they are. */
const char *cases_objection(const struct cases_header *is, const struct cases_header *wanted,
                            char words[CASES_WORDS]);

/* Reads a file; words get the reason if it is none of ours. */
enum status cases_file_read(struct cases_file *f, const char *folder, char words[CASES_WORDS]);

/* The record at an offset, and where the next one is; false at the end. */
bool cases_file_next(const struct cases_file *f, size_t *at, struct cases_record *r,
                     const char **result);

/* Makes a folder with the scenario and an empty list of results. */
enum status cases_file_make(const char *folder, const struct scenario *s,
                            const struct cases_header *h, char words[CASES_WORDS]);

/* Opens for appending, behind what is sound, and keeps others out. */
enum status cases_file_lock(struct cases *k, const char *folder, char words[CASES_WORDS]);

/* Appends a result whole or not at all. */
enum status cases_file_append(struct cases *k, const struct cases_record *r, const void *result);

/* Puts the known results of a list where they belong, and says which. */
enum status cases_recall(struct cases *k, const char *name, const struct cases_list *l,
                         bool known[]);

/* Appends result i of a list. */
enum status cases_keep(struct cases *k, const char *name, const struct cases_list *l, long i);

#endif
