/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Tests of sim/page_*.c: no foreign text reaches a page unescaped, no foreign figure is let in, no
 * folder is believed that is not as it was written, and a page is whole or not there.
 */
#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "folder.h"
#include "sim/page.h"

static char words[PAGE_WORDS];

/* ---- helpers ----------------------------------------------------------------------------------
 */

static char *caught;
static size_t caught_size;

static FILE *catch (void)
{
    free(caught);
    caught = NULL;
    FILE *f = open_memstream(&caught, &caught_size);
    cr_assert(f != NULL);
    return f;
}

static void leave(void)
{
    free(caught);
    folder_leave();
}

TestSuite(page, .init = folder_enter, .fini = leave);

/* ---- text -------------------------------------------------------------------------------------
 */

static const struct {
    const char *text, *cell, *shown;
} escapes[] = {
    { "plain words", "plain words", "plain words" },
    { "<script>alert(1)</script>", NULL, "&lt;script&gt;alert(1)&lt;/script&gt;" },
    { "\"onload='x'&lt;", NULL, "&quot;onload=&#39;x&#39;&amp;lt;" },
    { "</style><!-- -->", NULL, "&lt;/style&gt;&lt;!-- --&gt;" },
    { "\x1b[31m\x07\x7f", NULL, "\\x1b[31m\\x07\\x7f" },
    { "a\nb\tc", NULL, "a\nb\tc" },
    { "\xc2\x85", NULL, "\\x85" },                     /* C1 */
    { "\xe2\x80\xae turned", NULL, "\\u202e turned" }, /* right to left */
    { "\xe2\x81\xa6\xe2\x80\xa8\xef\xbb\xbf", NULL, "\\u2066\\u2028\\ufeff" },
    { "\xff\xc0\xaf\xed\xa0\x80", NULL, "\\xff\\xc0\\xaf\\xed\\xa0\\x80" }, /* no UTF-8 */
    { "\xc3", NULL, "\\xc3" },                                              /* cut off */
    { "\xef\xbf\xbf\xef\xb7\x90\xf0\x9f\xbf\xbe", NULL,
      "\\xef\\xbf\\xbf\\xef\\xb7\\x90\\xf0\\x9f\\xbf\\xbe" }, /* no characters of HTML */
    { "\xef\xbf\xbd \xf0\x9f\x92\xa7", NULL, "\xef\xbf\xbd \xf0\x9f\x92\xa7" },
    { "\xc3\x9c \xc3\xa9 \xe6\xb0\xb4", NULL, "\xc3\x9c \xc3\xa9 \xe6\xb0\xb4" },
    { "=cmd()|x", "&#39;=cmd()|x", "=cmd()|x" },
    { "@sum(1)", "&#39;@sum(1)", "@sum(1)" },
    { "+1+1", "&#39;+1+1", "+1+1" },
    { "-1.52", "-1.52", "-1.52" },
    { "-2+3", "&#39;-2+3", "-2+3" },
    { "", "", "" },
};

Test(page, shows_no_foreign_text_as_markup)
{
    for (size_t i = 0; i < sizeof escapes / sizeof *escapes; i++) {
        FILE *f = catch ();
        page_text(f, escapes[i].text);
        fclose(f);
        cr_expect_str_eq(caught, escapes[i].shown, "text %zu: %s", i, caught);
        f = catch ();
        page_cell(f, escapes[i].text);
        fclose(f);
        cr_expect_str_eq(caught, escapes[i].cell ? escapes[i].cell : escapes[i].shown,
                         "cell %zu: %s", i, caught);
    }
    FILE *f = catch ();
    page_text(f, NULL);
    fclose(f);
    cr_expect_str_eq(caught, "");
}

Test(page, escapes_every_byte_and_pair_of_bytes)
{
    char text[3] = "";
    for (int a = 1; a < 256; a++)
        for (int b = 1; b < 256; b++) {
            text[0] = (char)a;
            text[1] = (char)b;
            FILE *f = catch ();
            page_text(f, text);
            fclose(f);
            cr_assert(strpbrk(caught, "<>\"'") == NULL, "%02x %02x: %s", a, b, caught);
            for (const char *p = caught; *p != '\0'; p++)
                cr_assert((unsigned char)*p >= 0x20 || *p == '\n' || *p == '\t', "%02x %02x", a, b);
        }
}

Test(page, reads_prose)
{
    static const struct {
        const char *text, *shown;
    } rows[] = {
        { "**A & B.** So *it* is `x<y`.",
          "<strong>A &amp; B.</strong> So <em>it</em> is <code>x&lt;y</code>." },
        { "see [the page](page.md), 2 * 3 [x]", "see the page, 2 * 3 [x]" },
        { "** open", "** open" },
        { "[a](b", "[a](b" },
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        FILE *f = catch ();
        page_prose(f, rows[i].text, strlen(rows[i].text));
        fclose(f);
        cr_expect_str_eq(caught, rows[i].shown, "%zu: %s", i, caught);
    }
}

/* FIPS 180-4 gives the hash of "abc", RFC 4648 the letters; computed by openssl dgst and base64. */
Test(page, knows_the_hash_of_a_policy)
{
    char hash[PAGE_HASH];
    page_policy_hash("abc", 3, hash);
    cr_expect_str_eq(hash, "sha256-ungWv48Bz+pBQUDeXa4iI7ADYaOWF3qctBD/YfIAFa0=");
    page_policy_hash("", 0, hash);
    cr_expect_str_eq(hash, "sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU=");
}

/* ---- figures ----------------------------------------------------------------------------------
 */

#define OPEN                                                                                       \
    "<?xml version=\"1.0\" encoding=\"utf-8\"?>\n<svg width=\"9\" height=\"9\" viewBox=\"0 0 9 "   \
    "9\" "                                                                                         \
    "xmlns=\"http://www.w3.org/2000/svg\" xmlns:xlink=\"http://www.w3.org/1999/xlink\">"
#define CLOSE "</svg>\n"

static bool draws(const char *svg)
{
    const struct page_picture p = { "s1-x", "A <title>", "What \"is\" seen" };
    bool bitmap = false;
    FILE *f = catch ();
    words[0] = '\0';
    const bool fine = page_svg(f, svg, strlen(svg), &p, &bitmap, words);
    fclose(f);
    return fine;
}

Test(page, takes_a_figure_and_makes_its_names_its_own)
{
    cr_assert(
        draws(
            OPEN
            "<title>old</title><desc>by <b/></desc><defs><circle id='gpDot' r='0.5'/>"
            "<pattern id='p1' style='fill:none; stroke:rgb(1,2,3)'><path d='M0,0 L1,1'/></pattern>"
            "<filter id='f'><feFlood flood-color='#fff'/></filter></defs>"
            "<g class=\"gridline\" fill=\"url(#p1)\"><use xlink:href='#gpDot' "
            "transform='translate(1.5,2) scale(3)'/><text x='1'>5 &lt; 6 &amp; "
            "\xc3\xa9</text></g>" CLOSE),
        "%s", words);
    cr_expect(strstr(caught,
                     "<svg role=\"img\" viewBox=\"0 0 9 9\" aria-labelledby=\"s1-x-t s1-x-d\">") !=
              NULL);
    cr_expect(strstr(caught, "<title id=\"s1-x-t\">A &lt;title&gt;</title>") != NULL, "%s", caught);
    cr_expect(strstr(caught, "<desc id=\"s1-x-d\">What &quot;is&quot; seen</desc>") != NULL);
    cr_expect(strstr(caught, "id=\"s1-x-gpDot\"") != NULL);
    cr_expect(strstr(caught, "href=\"#s1-x-gpDot\"") != NULL);
    cr_expect(strstr(caught, "fill=\"url(#s1-x-p1)\"") != NULL);
    cr_expect(strstr(caught, "fill=\"none\" stroke=\"rgb(1,2,3)\"") != NULL);
    cr_expect(strstr(caught, "5 &lt; 6 &amp; \xc3\xa9</text>") != NULL);
    for (const char *const *bad = (const char *const[]){ "old", "xlink", "style", "class", "filter",
                                                         "feFlood", "<?xml", NULL };
         *bad; bad++)
        cr_expect(strstr(caught, *bad) == NULL, "%s in %s", *bad, caught);
}

/* Each would run, fetch, hide or lead away. */
static const char *const hostile[] = {
    OPEN "<script>alert(1)</script>" CLOSE,
    OPEN "<g onclick='alert(1)'/>" CLOSE,
    OPEN "<g onload=\"x\"/>" CLOSE,
    OPEN "<foreignObject><body xmlns='http://www.w3.org/1999/xhtml'/></foreignObject>" CLOSE,
    OPEN "<a xlink:href='javascript:alert(1)'><text>x</text></a>" CLOSE,
    OPEN "<use xlink:href='http://x/y.svg#a'/>" CLOSE,
    OPEN "<use xlink:href='javascript:alert(1)'/>" CLOSE,
    OPEN "<use href='other.svg#a'/>" CLOSE,
    OPEN "<image xlink:href='http://x/y.png'/>" CLOSE,
    OPEN "<image xlink:href='data:image/svg+xml;base64,AAAA'/>" CLOSE,
    OPEN "<image xlink:href='data:image/png;base64,AA\" onload=\"x'/>" CLOSE,
    OPEN "<g fill='url(http://x/y)'/>" CLOSE,
    OPEN "<g fill='url(#a) url(http://x)'/>" CLOSE,
    OPEN "<g stroke='URL(http://x)'/>" CLOSE,
    OPEN "<path d='url(#a)'/>" CLOSE,
    OPEN "<g style='background:url(http://x)'/>" CLOSE,
    OPEN "<g style='fill:expression(1)'/>" CLOSE,
    OPEN "<g id='a b'/>" CLOSE,
    OPEN "<g id='a\"'/>" CLOSE,
    OPEN "<style>*{}</style>" CLOSE,
    OPEN "<animate attributeName='href'/>" CLOSE,
    OPEN "<set/>" CLOSE,
    OPEN "<svg><g/></svg>" CLOSE,
    OPEN "<x:script xmlns:x='http://www.w3.org/2000/svg'>1</x:script>" CLOSE,
    OPEN "loose words" CLOSE,
    OPEN "<g><![CDATA[<script>]]></g>" CLOSE,
    OPEN "<?php x ?>" CLOSE,
    OPEN "<g>" CLOSE,
    OPEN "<unknown/>" CLOSE,
    OPEN "<g unknown='1'/>" CLOSE,
    "<!DOCTYPE svg [<!ENTITY a \"aaaa\"><!ENTITY b \"&a;&a;\">]><svg viewBox='0 0 1 "
    "1'><text>&b;</text></svg>",
    "<!DOCTYPE svg SYSTEM \"http://x/y.dtd\"><svg viewBox='0 0 1 1'/>",
    "<svg viewBox='0 0 1 1' onload='x'/>",
    "<svg viewBox='0 0 1 1\" onload=\"x'/>",
    "<svg/>",
    "<html viewBox='0 0 1 1'/>",
    "not a picture",
    "",
};

Test(page, refuses_a_hostile_figure)
{
    for (size_t i = 0; i < sizeof hostile / sizeof *hostile; i++) {
        cr_expect_not(draws(hostile[i]), "%zu: %s", i, hostile[i]);
        cr_expect(words[0] != '\0', "%zu says why", i);
    }
}

Test(page, refuses_a_deep_figure_without_falling)
{
    enum { DEEP = 5000 };
    char *svg = malloc(strlen(OPEN) + DEEP * 7 + 64);
    cr_assert(svg != NULL);
    char *p = stpcpy(svg, OPEN);
    for (int i = 0; i < DEEP; i++)
        p = stpcpy(p, "<g>");
    for (int i = 0; i < DEEP; i++)
        p = stpcpy(p, "</g>");
    strcpy(p, CLOSE);
    cr_expect_not(draws(svg));
    free(svg);
}

Test(page, shows_what_stays_text_in_a_figure)
{
    cr_assert(
        draws(OPEN "<text>&lt;script&gt;=cmd()&quot;</text><text><![CDATA[<b>]]></text>" CLOSE),
        "%s", words);
    cr_expect(strstr(caught, "&lt;script&gt;=cmd()&quot;") != NULL, "%s", caught);
    cr_expect(strstr(caught, "&lt;b&gt;") != NULL);
    cr_assert(draws(OPEN "<text>\xe2\x80\xae</text>" CLOSE));
    cr_expect(strstr(caught, "\\u202e") != NULL);
}

/* ---- folders ----------------------------------------------------------------------------------
 */

static struct results results;

/* A small folder as a run leaves it. */
static void make(const char *target, const char *svg, const char *summary)
{
    char why[RESULTS_WORDS];
    cr_assert_eq(results_open(&results, target, false, why), STATUS_OK, "%s", why);
    const char *const files[][2] = {
        { "summary.json", summary },
        { "summary.txt",
          "2 days from 2026-01-01\n\nMade        5 L of <b>product</b>\n            and more.\n" },
        { "events.csv",
          "day,date,kind,part,words\n0.5,2026-01-01T12:00:00,fault,\"<i>\",\"'=cmd()\"\n" },
        { "values.csv", "path,value,origin,words\n\"feed.pH\",\"7 \"\"x\"\"\",default,\"<u>\"\n" },
        { "scenario.resolved.cfg", "title = \"<script>\\\"&'\";\nclock = { start = \"2026-01-01\"; "
                                   "length = \"172800 s\"; };\n" },
        { "cost.csv", "part,amount,currency\n\"water\",1.5,\"<EUR>\"\n" },
    };
    for (size_t i = 0; i < sizeof files / sizeof *files; i++) {
        FILE *f = results_file(&results, files[i][0]);
        cr_assert(f != NULL && fputs(files[i][1], f) >= 0);
    }
    cr_assert_eq(results_flush(&results), STATUS_OK);
    if (svg) {
        char path[2 * RESULTS_PATH];
        snprintf(path, sizeof path, "%s/figures", results.temporary);
        cr_assert_eq(mkdir(path, 0777), 0);
        strcat(path, "/levels.svg");
        folder_put(path, svg);
        results_add_all(&results, "figures");
    }
    cr_assert_eq(results_commit(&results, 7, why), STATUS_OK, "%s", why);
}

static const char SUMMARY[] =
    "{\"cost\": {\"total\": 1.5, \"currency\": \"<EUR>\"}, \"status\": \"complete\","
    " \"levels\": {\"tank_lowest_cm\": 1, \"tank_highest_cm\": null}}";

static struct page_part part;

Test(page, makes_a_page_of_a_folder_twice_the_same)
{
    const struct page_part *const parts[] = { &part, NULL };
    char *bytes[2];
    size_t size[2];
    make("out", OPEN "<text>a</text>" CLOSE, SUMMARY);
    cr_assert_eq(page_folder_read(&part, "out", words), STATUS_OK, "%s", words);
    cr_expect_str_eq(part.kind->verb, "run");
    cr_expect_str_eq(part.title, "<script>\"&'");
    cr_expect_float_eq(part.length, 172800.0, 1e-9);
    for (int i = 0; i < 2; i++)
        cr_assert_eq(page_write(parts, 1, &bytes[i], &size[i], words), STATUS_OK, "%s", words);
    cr_expect(size[0] == size[1] && memcmp(bytes[0], bytes[1], size[0]) == 0);
    static const char *const wanted[] = { "<h1>&lt;script&gt;&quot;&amp;&#39;</h1>",
                                          "5 L of &lt;b&gt;product&lt;/b&gt; and more.",
                                          "&lt;i&gt;",
                                          "&#39;=cmd()",
                                          "7 &quot;x&quot;",
                                          "&lt;u&gt;",
                                          "&lt;EUR&gt;",
                                          "default-src 'none'",
                                          "no substitute",
                                          part.fingerprint };
    for (size_t i = 0; i < sizeof wanted / sizeof *wanted; i++)
        cr_expect(strstr(bytes[0], wanted[i]) != NULL, "%s", wanted[i]);
    cr_expect(strstr(bytes[0], "The tank stays") == NULL, "a sentence without its number");
    cr_expect(strstr(bytes[0], "<script") == NULL && strstr(bytes[0], "img-src") == NULL);
    free(bytes[0]);
    free(bytes[1]);
    page_folder_free(&part);
}

Test(page, allows_bitmaps_only_if_there_is_one)
{
    const struct page_part *const parts[] = { &part, NULL };
    char *bytes;
    size_t size;
    make("out", OPEN "<image x='1' y='1' xlink:href='data:image/png;base64,AAAA'/>" CLOSE, SUMMARY);
    cr_assert_eq(page_folder_read(&part, "out", words), STATUS_OK, "%s", words);
    cr_assert_eq(page_write(parts, 1, &bytes, &size, words), STATUS_OK, "%s", words);
    cr_expect(strstr(bytes, "href=\"data:image/png;base64,AAAA\"") != NULL);
    cr_expect(strstr(bytes, "; img-src data:; ") != NULL);
    free(bytes);
    page_folder_free(&part);
}

static void refused(const char *folder, const char *why)
{
    cr_expect_eq(page_folder_read(&part, folder, words), STATUS_NO_INPUT, "%s", folder);
    cr_expect(strstr(words, why) != NULL, "%s: \"%s\" is not in \"%s\"", folder, why, words);
}

Test(page, believes_no_folder_that_is_not_as_it_was_written)
{
    make("a", OPEN CLOSE, SUMMARY);
    folder_put("a/events.csv", "day,date,kind,part,words\n");
    refused("a", "a: events.csv is not as it was written");
    make("b", OPEN CLOSE, SUMMARY);
    folder_put("b/figures/levels.svg", OPEN "<script/>" CLOSE);
    refused("b", "figures/levels.svg is not as it was written");
    make("c", NULL, SUMMARY);
    cr_assert_eq(unlink("c/cost.csv"), 0);
    refused("c", "c: cost.csv is missing");
    make("d", NULL, SUMMARY);
    cr_assert(unlink("d/cost.csv") == 0 && symlink("/etc/hostname", "d/cost.csv") == 0);
    refused("d", "cost.csv cannot be opened");
    make("e", NULL, SUMMARY);
    cr_assert(unlink("e/cost.csv") == 0 && mkfifo("e/cost.csv", 0666) == 0);
    refused("e", "cost.csv is not a plain file");
    make("f", NULL, "[1, 2");
    refused("f", "summary.json holds no answer");
}

Test(page, knows_a_foreign_folder)
{
    cr_assert(mkdir("a", 0777) == 0 && mkdir("b", 0777) == 0 && mkdir("c", 0777) == 0);
    refused("a", "no results of this program");
    folder_put("b/manifest.json", "{\"program\": \"leat\", \"files\": {\"other.txt\": {}}}");
    refused("b", "nothing that a page could tell");
    folder_put(
        "c/manifest.json",
        "{\"program\": \"leat\", \"files\": {\"summary.json\": {}, \"../x\": {\"sha256\": \"\"}}}");
    refused("c", "has no hash");
    folder_put(
        "c/manifest.json",
        "{\"program\": \"leat\", \"files\": {\"../x\": {\"sha256\": \"\"}, \"summary.json\": {}}}");
    refused("c", "cannot be opened");
    folder_put("file", "");
    refused("file", "is no folder");
    refused("missing", "No such file");
}

Test(page, refuses_a_folder_with_a_hostile_figure)
{
    const struct page_part *const parts[] = { &part, NULL };
    char *bytes = NULL;
    size_t size;
    make("out", OPEN "<script>1</script>" CLOSE, SUMMARY);
    cr_assert_eq(page_folder_read(&part, "out", words), STATUS_OK, "%s", words);
    cr_expect_eq(page_write(parts, 1, &bytes, &size, words), STATUS_NO_INPUT);
    cr_expect(strstr(words, "figures/levels.svg holds an element \"script\"") != NULL, "%s", words);
    cr_expect(bytes == NULL);
    page_folder_free(&part);
}

/* ---- the file ---------------------------------------------------------------------------------
 */

Test(page, saves_whole_and_replaces_only_by_force)
{
    umask(027);
    cr_assert_eq(page_save("a.html", false, "one", 3, words), STATUS_OK, "%s", words);
    struct stat s;
    cr_assert(stat("a.html", &s) == 0);
    cr_expect_eq(s.st_mode & 0777, 0640u);
    cr_expect_eq(page_save("a.html", false, "two", 3, words), STATUS_NO_OUTPUT);
    cr_expect(strstr(words, "--force") != NULL && folder_holds("a.html", "one"), "%s", words);
    cr_expect_eq(page_save("a.html", true, "two", 3, words), STATUS_OK, "%s", words);
    cr_expect(folder_holds("a.html", "two"));
}

Test(page, saves_through_no_link_and_into_no_device)
{
    folder_put("target", "mine");
    cr_assert(symlink("target", "link.html") == 0 && mkdir("folder", 0777) == 0 &&
              mkfifo("pipe", 0666) == 0);
    cr_expect_eq(page_save("link.html", true, "x", 1, words), STATUS_NO_OUTPUT);
    cr_expect(folder_holds("target", "mine"));
    cr_expect_eq(page_save("folder", true, "x", 1, words), STATUS_NO_OUTPUT);
    cr_expect_eq(page_save("pipe", true, "x", 1, words), STATUS_NO_OUTPUT);
    cr_expect_eq(page_save("/dev/full", true, "x", 1, words), STATUS_NO_OUTPUT);
    cr_expect_eq(page_save("nowhere/a.html", false, "x", 1, words), STATUS_NO_OUTPUT);
    cr_expect_not(folder_has("nowhere"));
}
