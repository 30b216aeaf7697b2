/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * fuzz: what the fuzz targets share.  A target is one file with LLVMFuzzerTestOneInput; it is linked
 * with libFuzzer (-DLEAT_FUZZ=ON, clang), or with replay.c, which feeds it the files of the corpus.
 * See tests/fuzz/run.sh.
 */
#ifndef TESTS_FUZZ_H
#define TESTS_FUZZ_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* The target: looks at one input, ends the program by a signal if something is wrong. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* A folder of this process, without a slash at its end; gone when the process ends. */
const char *fuzz_folder(void);

/* Puts bytes into a file of that folder, or of another that lies below it. */
void fuzz_write(const char *name, const void *bytes, size_t size);
void fuzz_remove(const char *name);

/* "folder/name"; valid until the eighth call after this one. */
const char *fuzz_path(const char *name);

/* The input as a text, cut at its first NUL; the caller frees it. */
char *fuzz_text(const uint8_t *data, size_t size);

/* Ends the process by a signal, so that the fuzzer keeps the input, if something does not hold. */
void fuzz_demand(bool holds, const char *words);

/* What a terminal may be sent: no control characters but line feeds, and UTF-8. */
void fuzz_demand_printable(const char *text, size_t size);

/* Hides what is printed to stdout by the program under test. */
void fuzz_silence(void);

struct report;

/* Prints a report, as a person would see it, and looks at what it prints. */
void fuzz_look_at_report(const struct report *r);

/* Takes the next line off *at, without its end; NULL if nothing is left.  Cuts the text in place. */
char *fuzz_line(char **at);

/* Reads hexadecimal digits, two a byte, into a block; returns the number of bytes. */
size_t fuzz_hex(const char *hex, void *out, size_t room);

/* Puts the bytes of  OFFSET=HEX DIGITS  into a block, as far as they lie in it. */
void fuzz_patch(const char *line, void *block, size_t size);

#endif
