/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * writer: writes groups of a scenario so that reading them gives back the same bits.
 */
#include "writer.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

#include "units.h"

enum { NUMBER_SIZE = 64 };

void writer_open(FILE *out, const char *name)
{
    fprintf(out, "%s = {\n", name);
}

void writer_close(FILE *out)
{
    fputs("};\n", out);
}

void writer_quoted(FILE *out, const char *text)
{
    fputc('"', out);
    for (const char *p = text; *p != '\0'; p++) {
        const unsigned char c = (unsigned char)*p;
        if (c == '"' || c == '\\')
            fprintf(out, "\\%c", c);
        else if (c < 0x20 || c == 0x7f)
            fprintf(out, "\\x%02x", c);
        else
            fputc(c, out);
    }
    fputc('"', out);
}

void writer_text(FILE *out, const char *key, const char *text)
{
    fprintf(out, "%s = ", key);
    writer_quoted(out, text);
    fputs(";\n", out);
}

void writer_number(FILE *out, const char *key, enum dimension d, double si)
{
    char number[NUMBER_SIZE];
    if (isfinite(si))
        fprintf(out, "%s = \"%s\";\n", key, units_exact(si, d, number, sizeof number));
}

void writer_fields(FILE *out, const struct field *fields, const void *base)
{
    for (const struct field *f = fields; f->key != NULL; f++) {
        const char *at = (const char *)base + f->offset;
        if (f->type == FIELD_NUMBER) {
            double value;
            memcpy(&value, at, sizeof value);
            writer_number(out, f->key, f->dimension, value);
        } else if (f->type == FIELD_FLAG) {
            fprintf(out, "%s = %s;\n", f->key, *(const bool *)at ? "true" : "false");
        } else if (f->type == FIELD_COUNT) {
            fprintf(out, "%s = %d;\n", f->key, *(const int *)at);
        } else if (*(const int *)at >= 0) {
            writer_text(out, f->key, f->choices[*(const int *)at]);
        }
    }
}

void writer_cycle(FILE *out, const struct field *mean, const struct cycle *c)
{
    const enum dimension d = mean->dimension;
    const enum dimension swing = d == DIM_TEMPERATURE ? DIM_TEMPERATURE_DIFFERENCE : d;
    writer_open(out, mean->key);
    writer_number(out, "mean", d, c->mean);
    writer_number(out, "season", swing, c->season);
    writer_number(out, "peak_day", DIM_NONE, c->peak_day);
    writer_number(out, "daily", swing, c->daily);
    writer_number(out, "peak_hour", DIM_NONE, c->peak_hour);
    writer_close(out);
}
