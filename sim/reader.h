/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * reader: from a group of keys and a table of fields to numbers in a struct.  Page:
 * docs/scenario.md.
 *
 * One pass finds everything that is wrong with a group: unknown keys (with the nearest known one),
 * wrong kinds of value, missing and wrong units, values out of range.  Every value is noted down
 * with where it came from.
 */
#ifndef SIM_READER_H
#define SIM_READER_H

#include <math.h>
#include <stdbool.h>

#include "models/field.h"
#include "report.h"
#include "source.h"
#include "tree.h"
#include "units.h"

/* As preset of a field: it may be left out, and is then NAN (a count or choice -1, a flag false).
 */
#define FIELD_OPTIONAL (-INFINITY)

enum origin { ORIGIN_FILE, ORIGIN_COMMAND_LINE, ORIGIN_PART, ORIGIN_DEFAULT, ORIGIN_COMPUTED };

enum { PATH_LENGTH = 112, TEXT_LENGTH = 80 };

/* One value of the scenario and where it came from. */
struct value {
    char path[PATH_LENGTH]; /* "train.ro.area" */
    char text[TEXT_LENGTH]; /* as written; else, and then `ours`, as shown with a metric unit */
    bool ours;
    enum field_type type;
    enum dimension dimension;
    double si;            /* number; count, flag or index of the choice */
    double sd, low, high; /* spread [SI] that was given, or NAN */
    double min, max;      /* accepted [SI], of what a table of fields has; else both 0 */
    enum origin origin;
    struct place place; /* file or command line, else no file */
    const char *source; /* of a default or part; "" if there is none */
};

struct values {
    struct value *list;
    int count, room;
    bool lost; /* out of memory */
};

/* A default that goes before the table's: of a part, or computed. */
struct preset {
    const char *key; /* NULL ends a list */
    double si;
    const char *source;
};

struct reader {
    const struct source *source;
    struct report *report;
    struct values *values;
    double meter_factor; /* of plain ppm, see units.h */
};

/* A group and the table that says what may stand in it. */
struct section {
    const char *path;         /* "feed" */
    const struct node *group; /* NULL: left out, all defaults */
    const struct field *fields;
    void *base; /* the struct that the offsets are of */
    const struct preset *presets;
    enum origin preset_origin;
    const char *const
        *others; /* keys of this group that are read by hand; ended by NULL; or NULL */
};

/* Reads a section: complains, fills the struct, notes the values. */
void reader_section(struct reader *r, const struct section *s);

/* Complains of the keys of a group that are neither in the table nor among the others. */
void reader_check_keys(struct reader *r, const struct section *s);

/* The node that gives a key, also within a group (restrictor = { flow } for restrictor_flow). */
const struct node *reader_find(const struct node *group, const char *key);

/* Warns of a value of a section that was said (and is not the default) although nothing uses it. */
void reader_unused(struct reader *r, const struct section *s, const char *key, const char *why);

/* Complains about a node. */
void reader_complain(struct reader *r, enum severity severity, const struct node *n,
                     const char *cure, const char *format, ...)
    __attribute__((format(printf, 5, 6)));

/* Complains about a key, not its value; cure may be NULL. */
void reader_complain_key(struct reader *r, const struct node *n, const char *cure,
                         const char *words);

/* Complains about something missing: points at the group if it is there. */
void reader_missing(struct reader *r, const struct node *group, const char *path, const char *key,
                    const char *cure);

/* Notes a value; the last note of a path counts. */
void reader_note(struct reader *r, const struct value *v);
struct value *reader_noted(struct values *values, const char *path); /* or NULL */

/* Sets the text of a value that was not written: metric, for programs get it. */
void reader_show(struct value *v);

/* The text of a value for people: as written, else in units of the taste; out or the text itself. */
const char *reader_shown(const struct value *v, char out[TEXT_LENGTH]);

/* A text, or NULL and a complaint if it is something else.  No complaint if n is NULL. */
const char *reader_text(struct reader *r, const struct node *n, const char *path);

/* Notes a text that was read by hand. */
void reader_note_text(struct reader *r, const char *path, const struct node *n, const char *text);

/* A group, or NULL and a complaint if it is something else.  No complaint if n is NULL. */
const struct node *reader_group(struct reader *r, const struct node *n, const char *path);

#endif
