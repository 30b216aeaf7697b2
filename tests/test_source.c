/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * source: what is refused before anything is read, includes, places.
 */
#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "folder.h"
#include "sim/source.h"
#include "sim/tree.h"

TestSuite(source, .init = folder_enter, .fini = folder_leave);

static void put(const char *name, const char *bytes, size_t size)
{
    FILE *f = fopen(name, "wb");
    cr_assert_not_null(f);
    cr_assert_eq(fwrite(bytes, 1, size, f), size);
    fclose(f);
}

/* Reads a file; returns the printed complaints (to be freed); *status. */
static char *read_file(const char *name, enum status *status)
{
    struct report *r = report_create();
    struct source *s = NULL;
    *status = source_read(name, r, &s);
    char *text = NULL;
    size_t size = 0;
    FILE *f = open_memstream(&text, &size);
    report_print(r, f, false);
    fclose(f);
    source_free(s);
    report_free(r);
    return text;
}

static void expect(const char *text, const char *words)
{
    enum status status;
    folder_put("a.cfg", text);
    char *said = read_file("a.cfg", &status);
    if (words == NULL)
        cr_assert_eq(status, STATUS_OK, "'%s' is refused: %s", text, said);
    else
        cr_assert(status == STATUS_SCENARIO && strstr(said, words) != NULL, "'%s' says: %s", text,
                  said);
    free(said);
}

Test(source, accepts_what_the_syntax_allows)
{
    static const char *const good[] = {
        "",
        "// nothing\n",
        "a = 1;",
        "a = 1\r\nb = 2\r\n",
        "a : 1, b = -2; c = +3",
        "a = 0x7fffffff; b = 2147483647; c = -2147483648; d = 5L;",
        "a = 1.5; b = .5; c = 5.; d = 1e5; e = -1.5E-3;",
        "a = true; b = FALSE;",
        "a = \"text \\\" with \\\\ escapes\"; // and # comments",
        "a = { b = ( 1, \"x\", { c = [ 1, 2 ]; } ); d = (); e = []; f = {}; };",
        "/* a comment\n with // another */ a = 1; # and this\n",
        "a = \"// no comment /* none */\";",
    };
    for (size_t i = 0; i < sizeof good / sizeof *good; i++)
        expect(good[i], NULL);
}

Test(source, refuses_numbers_that_do_not_fit)
{
    expect("a = 1;\nb = 2147483648;", "a.cfg:2:5: error: this whole number is too large");
    expect("a = -2147483649;", "too large");
    expect("a = 0xffffffff;", "too large");
    expect("a = 99999999999999999999;", "too large");
    expect("a = 4294967296L;", "too large");
    expect("a = 1e400;", "a.cfg:1:5: error: this number is too large");
    expect("a = 1e-400;", "too small");
    expect("a = nan;", "a.cfg:1:5");
    expect("a = inf;", "a.cfg:1:5");
    expect("a = -inf;", "not a number");
    expect("a = 5cm;", "not a number");
    expect("a = 1.2.3;", "not a number");
    expect("a = .;", "not a number");
    expect("a = 1,5;", "a.cfg:1:7"); /* a decimal comma */
}

Test(source, refuses_what_is_not_closed)
{
    expect("a = \"x;\nb = 1;", "a.cfg:1:5: error: this text is not closed");
    expect("a = \"x\\\";\n", "not closed");
    expect("a = 1; /* x\nb = 1;", "a.cfg:1:8: error: this comment is not closed");
    expect("a = { b = 1;\n", "a.cfg:1:5: error: this \"{\" is not closed");
    expect("a = ( 1 };", "a.cfg:1:9");
    expect("a = 1; }", "closes nothing");
    expect("a = ", "ends before the value");
    expect("a", "ends before the value");
}

Test(source, refuses_bytes_that_are_no_text)
{
    enum status status;
    static const struct {
        const char *bytes;
        size_t size;
        const char *words;
    } bad[] = { { "a = 1;\0b", 8, "a.cfg:1:7: error: a control character (byte 0)" },
                { "\xef\xbb\xbf"
                  "a=1;",
                  7, "a.cfg:1:1: error: the file begins with a byte-order mark" },
                { "a = \"\xe9\";", 8, "a.cfg:1:6: error: this is not UTF-8" },
                { "a = \"\xc3\xa9\x1b\";", 10, "a.cfg:1:7: error: a control character (byte 27)" },
                { "a = \"\xc2\x9b\";", 9, "a.cfg:1:6: error: a control character (U+009B)" },
                { "# \xe2\x80\xae", 5, "a.cfg:1:3: error: a control character (U+202E)" } };
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        put("a.cfg", bad[i].bytes, bad[i].size);
        char *said = read_file("a.cfg", &status);
        cr_assert(status == STATUS_SCENARIO && strstr(said, bad[i].words) != NULL, "%s", said);
        free(said);
    }
}

Test(source, refuses_escapes_that_are_no_plain_character)
{
    enum status status;
    static const char *const bad[] = { "\\x00", "\\x1b", "\\x7f", "\\x9b", "\\xff", "\\n",
                                       "\\r",   "\\t",   "\\a",   "\\f",   "\\v",   "\\b" };
    static const char *const good[] = { "\\\\", "\\\"", "\\x41", "\\\\x00", "\\\\n", "" };
    char text[64];
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        const int n = snprintf(text, sizeof text, "a = \"ok%s\";", bad[i]);
        put("a.cfg", text, (size_t)n);
        char *said = read_file("a.cfg", &status);
        cr_expect(status == STATUS_SCENARIO && strstr(said, "a.cfg:1:8: error: this escape"),
                  "%s: %s", text, said);
        free(said);
    }
    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        const int n = snprintf(text, sizeof text, "a = \"ok%s\";", good[i]);
        put("a.cfg", text, (size_t)n);
        char *said = read_file("a.cfg", &status);
        cr_expect_eq(status, STATUS_OK, "%s: %s", text, said);
        free(said);
    }
}

Test(source, names_both_places_of_a_doubled_key)
{
    expect("a = 1;\n  a = 2;", "a.cfg:2:3: error: \"a\" is given twice; first at a.cfg:1:1");
    expect("g = { a = 1; b = 2;\na = 3; };", "first at a.cfg:1:7");
    expect("g = { a = 1; }; h = { a = 1; };", NULL);
}

Test(source, finds_every_mistake_of_number_in_one_pass)
{
    enum status status;
    folder_put("a.cfg", "a = 1e999;\nb = 3000000000;\na = 5;");
    char *said = read_file("a.cfg", &status);
    cr_assert_not_null(strstr(said, "3 errors"), "%s", said);
    free(said);
}

Test(source, limits_size_keys_and_nesting)
{
    enum status status;
    char *big = malloc(SOURCE_BYTES_MAX + 2);
    memset(big, '\n', SOURCE_BYTES_MAX + 1);
    put("a.cfg", big, SOURCE_BYTES_MAX + 1);
    char *said = read_file("a.cfg", &status);
    cr_assert_eq(status, STATUS_NO_INPUT);
    cr_assert_not_null(strstr(said, "too large"), "%s", said);
    free(said);
    size_t n = 0;
    for (int i = 0; i <= SOURCE_KEYS_MAX; i++)
        n += (size_t)sprintf(big + n, "k%d = 1;\n", i);
    put("a.cfg", big, n);
    said = read_file("a.cfg", &status);
    cr_assert_not_null(strstr(said, "a.cfg:1001:1: error: more than 1000 keys"), "%s", said);
    free(said);
    memset(big, '(', 1000000);
    memcpy(big, "a =", 3);
    put("a.cfg", big, 1000000);
    said = read_file("a.cfg", &status);
    cr_assert_not_null(strstr(said, "more than 20 deep"), "%s", said);
    free(said);
    free(big);
}

Test(source, opens_regular_files_only)
{
    enum status status;
    cr_assert_eq(mkfifo("pipe", 0600), 0);
    static const char *const names[] = { "pipe", ".", "/dev/null", "nowhere" };
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        char *said = read_file(names[i], &status);
        cr_assert_eq(status, STATUS_NO_INPUT, "%s", names[i]);
        cr_assert_not_null(strstr(said, "cannot be read"), "%s", said);
        free(said);
    }
}

Test(source, includes_beside_the_including_file)
{
    cr_assert_eq(mkdir("sub", 0700), 0);
    folder_put("a.cfg", "a = 1;\n  @include \"sub/a.cfg\"\nz = 1e999;\n");
    folder_put("sub/a.cfg", "b = 2;\n@include \"b.cfg\"\n");
    folder_put("sub/b.cfg", "c = 3;\nd = 1e999;");
    enum status status;
    char *said = read_file("a.cfg", &status);
    cr_assert_not_null(strstr(said, "sub/b.cfg:2:5: error"), "%s", said);
    cr_assert_not_null(strstr(said, "a.cfg:3:5: error"), "%s", said);
    free(said);
}

Test(source, includes_nothing_from_outside)
{
    cr_assert_eq(mkdir("sub", 0700), 0);
    folder_put("b.cfg", "secret = 1;\n");
    cr_assert_eq(symlink("../b.cfg", "sub/b.cfg"), 0);
    cr_assert_eq(mkfifo("pipe", 0600), 0);
    static const struct {
        const char *line, *words;
    } rows[] = { { "@include \"../b.cfg\"", "outside the folder" },
                 { "@include \"b.cfg\"", "outside the folder" }, /* a link */
                 { "@include \"/etc/passwd\"", "not from the root" },
                 { "@include \".\"", "outside the folder" },
                 { "@include \"nowhere\"", "No such file" },
                 { "@include \"\"", "on a line of its own" },
                 { "@include b.cfg", "on a line of its own" },
                 { "@include \"b.cfg\" x = 1;", "on a line of its own" },
                 { "x = 1; @include \"b.cfg\"", "line of its own" } };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        enum status status;
        folder_put("sub/a.cfg", rows[i].line);
        char *said = read_file("sub/a.cfg", &status);
        cr_assert(status == STATUS_SCENARIO && strstr(said, rows[i].words) != NULL, "%s: %s",
                  rows[i].line, said);
        cr_assert_null(strstr(said, "secret"), "quotes a file that it may not read");
        free(said);
    }
    expect("@include \"pipe\"", "not a regular file");
    expect("@include \"a.cfg\"", "more than 10 deep");
    expect("// @include \"nowhere\"\n/*\n@include \"nowhere\"\n*/ a = 1;", NULL);
}

Test(source, limits_how_many_files_are_included)
{
    char text[4000] = "";
    for (int i = 0; i <= SOURCE_INCLUDES_MAX; i++)
        strcat(text, "@include \"b.cfg\"\n");
    folder_put("b.cfg", "// nothing\n");
    expect(text, "a.cfg:65:10: error: cannot include \"b.cfg\": more than 64 files");
}

/* The places of all nodes, in the order of the text. */
static void show_places(const struct node *n, FILE *out)
{
    for (const struct node *c = n->child; c != NULL; c = c->next) {
        fprintf(out, "%s %d:%d %d:%d;", c->name == NULL ? "-" : c->name, c->key.line, c->key.column,
                c->value.line, c->value.column);
        show_places(c, out);
    }
}

Test(source, marks_the_place_of_every_key_and_value)
{
    folder_put("a.cfg", "a = 1; /* x\n */ bb = ( \"\xc3\xa9\", { c\n = [ 2, 3 ]; } ); d = true;");
    struct report *r = report_create();
    struct source *s = NULL;
    struct node *root = NULL;
    cr_assert_eq(source_read("a.cfg", r, &s), STATUS_OK);
    cr_assert_eq(tree_parse(s, r, &root), STATUS_OK);
    char *text = NULL;
    size_t size = 0;
    FILE *f = open_memstream(&text, &size);
    show_places(root, f);
    fclose(f);
    cr_assert_str_eq(text, "a 1:1 1:5;bb 2:5 2:10;- 0:0 2:12;- 0:0 2:17;c 2:19 3:4;- 0:0 3:6;"
                           "- 0:0 3:9;d 3:19 3:23;");
    free(text);
    tree_free(root);
    source_free(s);
    report_free(r);
}

static unsigned long long seed = 7;

static unsigned chance(unsigned n)
{
    seed = seed * 6364136223846793005ULL + 1442695040888963407ULL;
    return (unsigned)(seed >> 33) % n;
}

/* Whatever passes the scan must be understood by the parser in the same way. */
Test(source, and_parser_agree_on_random_text)
{
    static const char *const pieces[] = {
        "a",    "bb",   " = ",     ";",  "\n",  "{",   "}",     "(",
        ")",    "[",    "]",       ",",  "1",   "2.5", "\"x\"", "true",
        " ",    "#c\n", "/* c */", "-3", "1e5", ":",   "\"",    "@include \"b.cfg\"\n",
        "0x1f", "5L",   "c-d_e",   "*",  "\\",  "//"
    };
    int passed = 0;
    folder_put("b.cfg", "q = 1;\n");
    for (int i = 0; i < 30000; i++) {
        char text[400] = "";
        /* half of them well begun, or hardly any would pass */
        for (unsigned n = 1 + chance(12); n > 0; n--) {
            char key[32];
            snprintf(key, sizeof key, "k%u = ", n);
            if (chance(3) > 0)
                strcat(text, key);
            strcat(text, pieces[chance(sizeof pieces / sizeof *pieces)]);
        }
        struct report *r = report_create();
        struct source *s = NULL;
        struct node *root = NULL;
        if (source_scan("random", text, r, &s) == STATUS_OK) {
            passed++;
            cr_assert_eq(tree_parse(s, r, &root), STATUS_OK, "the parser refuses '%s'", text);
        }
        tree_free(root);
        source_free(s);
        report_free(r);
    }
    cr_assert_gt(passed, 500, "only %d passed", passed);
}
