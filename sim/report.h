/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * report: outcomes of functions that may fail, and the collected complaints about a scenario.
 * Every complaint has one form:  file:line:column: error: what is wrong, the line, a caret, the cure.
 */
#ifndef SIM_REPORT_H
#define SIM_REPORT_H

#include <stdbool.h>
#include <stdio.h>
#include <sysexits.h>

/* One list expands to the enum, its words and its exit status. */
#define STATUS_LIST(X)                                                                             \
    X(STATUS_OK, EX_OK, "no error")                                                                \
    X(STATUS_LIMIT, 1, "ran, but a limit set in the scenario was broken")                          \
    X(STATUS_USAGE, EX_USAGE, "the command line is not valid")                                     \
    X(STATUS_SCENARIO, EX_DATAERR, "the scenario is not valid")                                    \
    X(STATUS_NO_INPUT, EX_NOINPUT, "a file could not be read")                                     \
    X(STATUS_DIVERGED, EX_SOFTWARE, "a state is no longer a finite number")                        \
    X(STATUS_STUCK, EX_SOFTWARE, "the integrator could not take a step")                           \
    X(STATUS_CHATTER, EX_SOFTWARE, "too many reactions at one instant")                            \
    X(STATUS_MEMORY, EX_OSERR, "out of memory")                                                    \
    X(STATUS_NO_OUTPUT, EX_CANTCREAT, "the results folder could not be made")                      \
    X(STATUS_IO, EX_IOERR, "a file could not be written")                                          \
    X(STATUS_INTERRUPTED, 130, "interrupted")

#define STATUS_ENUM(name, code, words) name,
enum status { STATUS_LIST(STATUS_ENUM) STATUS_COUNT };
#undef STATUS_ENUM

const char *status_words(enum status s);
int status_exit(enum status s);

#define TRY(call)                                                                                  \
    do {                                                                                           \
        enum status try_status = (call);                                                           \
        if (try_status != STATUS_OK)                                                               \
            return try_status;                                                                     \
    } while (0)

/* Where a complaint points: file NULL if nowhere; line and column from 1, 0 if not known. */
struct place {
    const char *file;
    int line, column, width;    /* width of the marked text, for ^~~~ */
};

enum severity { SEVERITY_NOTE, SEVERITY_WARNING, SEVERITY_ERROR };

struct report;                  /* a growing list of complaints */

struct report *report_create(void);         /* NULL if out of memory */
void report_free(struct report *r);

/* `text_of_line` is copied (may be NULL); `cure` may be NULL.  Control characters of user text are
 * shown escaped.  Never fails: out of memory is remembered as one more error. */
void report_add(struct report *r, enum severity severity, struct place place,
                const char *text_of_line, const char *cure, const char *format, ...)
    __attribute__((format(printf, 6, 7)));

/* Remembers that something was left out for want of memory; whether anything was. */
void report_lose(struct report *r);
bool report_lost(const struct report *r);

/* Adds from `other` what says something new: no complaint of `known` or of r has its words.  For many readings
 * of one scenario. */
void report_add_new(struct report *r, const struct report *other, const struct report *known);

int report_count(const struct report *r, enum severity severity);

/* Prints all complaints in order of file and line, at most 20 errors, then a closing count. */
void report_print(const struct report *r, FILE *out, bool color);

#endif
