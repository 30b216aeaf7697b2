/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * reader: a group against a table of fields.
 */
#include <criterion/criterion.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

#include "sim/reader.h"

struct thing {
    double pressure, share, depth_a, depth_b;
    int cells, color;
    bool open;
};

static const char *const colors[] = { "red", "green", NULL };

static const struct field fields[] = {
    { "pressure", FIELD_NUMBER, DIM_PRESSURE, offsetof(struct thing, pressure), NAN, 1e3, 1e6, 1e5,
      5e5, NULL, "", "" },
    { "share", FIELD_NUMBER, DIM_NONE, offsetof(struct thing, share), 0.5, 0.0, 1.0, 0.0, 1.0, NULL,
      "", "a book" },
    { "depth_a", FIELD_NUMBER, DIM_LENGTH, offsetof(struct thing, depth_a), FIELD_OPTIONAL, 0.0,
      1.0, 0.0, 1.0, NULL, "", "" },
    { "depth_b", FIELD_NUMBER, DIM_LENGTH, offsetof(struct thing, depth_b), FIELD_OPTIONAL, 0.0,
      1.0, 0.0, 1.0, NULL, "", "" },
    { "cells", FIELD_COUNT, DIM_NONE, offsetof(struct thing, cells), 6, 1, 40, 4, 24, NULL, "",
      "" },
    { "color", FIELD_CHOICE, DIM_NONE, offsetof(struct thing, color), 1, 0, 0, 0, 0, colors, "",
      "" },
    { "open", FIELD_FLAG, DIM_NONE, offsetof(struct thing, open), 1, 0, 1, 0, 1, NULL, "", "" },
    { .key = NULL },
};

static const char *const others[] = { "extra", NULL };

struct outcome {
    struct thing thing;
    struct values values;
    char *said;
    int errors, warnings;
};

static struct outcome read_text(const char *text)
{
    struct outcome o = { .said = NULL };
    struct report *report = report_create();
    struct source *source = NULL;
    struct node *root = NULL;
    cr_assert_eq(source_scan("t", text, report, &source), STATUS_OK, "%s", text);
    cr_assert_eq(tree_parse(source, report, &root), STATUS_OK, "%s", text);
    struct reader reader = { .source = source, .report = report, .values = &o.values };
    const struct section s = {
        .path = "thing", .group = root, .fields = fields, .base = &o.thing, .others = others
    };
    reader_section(&reader, &s);
    size_t size = 0;
    FILE *f = open_memstream(&o.said, &size);
    report_print(report, f, false);
    fclose(f);
    o.errors = report_count(report, SEVERITY_ERROR);
    o.warnings = report_count(report, SEVERITY_WARNING);
    tree_free(root);
    source_free(source);
    report_free(report);
    return o;
}

static void discard(struct outcome *o)
{
    free(o->said);
    free(o->values.list);
}

/* One error, which says the words. */
static void expect(const char *text, const char *words)
{
    struct outcome o = read_text(text);
    cr_assert(o.errors == 1 && strstr(o.said, words) != NULL, "'%s' says: %s", text, o.said);
    discard(&o);
}

Test(reader, fills_given_values_and_defaults)
{
    struct outcome o =
        read_text("pressure = \"50 psi\"; cells = 8; color = \"red\"; open = false;");
    cr_assert_eq(o.errors + o.warnings, 0, "%s", o.said);
    cr_assert_float_eq(o.thing.pressure, 344737.86, 0.01);
    cr_assert_eq(o.thing.share, 0.5);
    cr_assert(isnan(o.thing.depth_a), "left out");
    cr_assert_eq(o.thing.cells, 8);
    cr_assert_eq(o.thing.color, 0);
    cr_assert_not(o.thing.open);
    discard(&o);
}

Test(reader, notes_where_every_value_came_from)
{
    struct outcome o = read_text("cells = 8;\npressure = \"50 psi\";");
    const struct value *given = reader_noted(&o.values, "thing.pressure");
    cr_assert_eq(given->origin, ORIGIN_FILE);
    cr_assert_eq(given->place.line, 2);
    cr_assert_eq(given->place.column, 12);
    cr_assert_str_eq(given->text, "50 psi");
    const struct value *preset = reader_noted(&o.values, "thing.share");
    cr_assert_eq(preset->origin, ORIGIN_DEFAULT);
    cr_assert_str_eq(preset->source, "a book");
    cr_assert_null(reader_noted(&o.values, "thing.depth_a"), "nothing to note");
    discard(&o);
}

Test(reader, says_what_is_wrong_with_a_value)
{
    expect("", "\"pressure\" is missing in thing");
    expect("pressure = 50;", "t:1:12: error: a bare number: pressure needs a unit");
    expect("pressure = true;", "pressure must be a pressure, but this is true or false");
    expect("pressure = \"50 L\";", "a unit of volume, not of pressure");
    expect("pressure = \"500 psi\";", "between 0.145 psi and 145 psi");
    expect("pressure = \"-1 bar\";", "out of range");
    expect("pressure = \"1e400 psi\";", "too large");
    expect("pressure = \"1 bar\"; cells = 2.5;", "cells must be a whole number");
    expect("pressure = \"1 bar\"; cells = 100;", "cells is out of range");
    expect("pressure = \"1 bar\"; color = \"gren\";", "did you mean \"green\"?");
    expect("pressure = \"1 bar\"; color = 1;", "color must be a word");
    expect("pressure = \"1 bar\"; open = 1;", "open must be true or false");
}

Test(reader, knows_keys_that_are_near)
{
    expect("presure = \"1 bar\"; pressure = \"1 bar\";", "did you mean \"pressure\"?");
    expect("pressure = \"1 bar\"; extr = 1;", "did you mean \"extra\"?");
    expect("pressure = \"1 bar\"; depth = { c = \"1 m\"; };", "unknown key \"c\" in thing");
}

Test(reader, takes_keys_with_a_common_beginning_as_a_group)
{
    struct outcome o =
        read_text("pressure = \"2 bar\"; depth = { a = \"10 cm\"; b = \"20 cm\"; };");
    cr_assert_eq(o.errors, 0, "%s", o.said);
    cr_assert_eq(o.thing.depth_a, 0.1);
    cr_assert_eq(o.thing.depth_b, 0.2);
    discard(&o);
}

Test(reader, warns_of_the_unusual)
{
    struct outcome o = read_text("pressure = \"9 bar\";");
    cr_assert_eq(o.errors, 0);
    cr_assert_eq(o.warnings, 1);
    cr_assert_not_null(strstr(o.said, "usual is 1 bar to 5 bar"), "%s", o.said);
    discard(&o);
}

Test(reader, keeps_a_spread)
{
    struct outcome o = read_text("pressure = { value = \"2 bar\"; sd = \"20 kPa\"; };"
                                 "share = { value = 0.5; low = 0.4; high = \"70 %\"; };");
    cr_assert_eq(o.errors, 0, "%s", o.said);
    cr_assert_eq(o.thing.pressure, 2e5);
    cr_assert_eq(reader_noted(&o.values, "thing.pressure")->sd, 2e4);
    cr_assert_eq(reader_noted(&o.values, "thing.share")->low, 0.4);
    cr_assert_float_eq(reader_noted(&o.values, "thing.share")->high, 0.7, 1e-15);
    discard(&o);
    expect("pressure = { value = \"2 bar\"; };", "makes no sense");
    expect("pressure = { value = \"2 bar\"; sd = \"0 bar\"; };", "makes no sense");
    expect("pressure = { value = \"2 bar\"; sd = \"1 L\"; };", "not of pressure");
    expect("pressure = { value = \"2 bar\"; low = \"3 bar\"; high = \"4 bar\"; };",
           "makes no sense");
    expect("pressure = { value = \"2 bar\"; low = \"1 bar\"; };", "makes no sense");
    expect("pressure = { sd = \"1 bar\"; };", "\"value\" is missing");
    expect("pressure = { value = \"2 bar\"; sdd = \"1 bar\"; sd = \"1 bar\"; };",
           "did you mean \"sd\"?");
}

Test(reader, finds_all_errors_in_one_pass)
{
    struct outcome o =
        read_text("presure = 1; cells = 1.5; color = \"blue\"; open = 3; share = 2;");
    cr_assert_eq(o.errors, 6, "%s", o.said);
    discard(&o);
}
