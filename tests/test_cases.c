/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <criterion/criterion.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "fixture.h"
#include "sim/cases_inner.h"
#include "sim/file.h"
#include "sim/memory.h"

enum { COUNT = 20, PATH = 256 };

static const char NAME[] = "some list";

/* A scenario, a campaign (only its threads are used) and a folder for stores. */
static struct scenario *scenario;
static char top[] = "/tmp/leat-cases.XXXXXX";
static volatile sig_atomic_t stop;

static void begin(void)
{
    scenario = calloc(1, sizeof *scenario);
    struct report *report = report_create();
    cr_assert_eq(scenario_load("scenarios/demo.cfg", NULL, scenario, report), STATUS_OK);
    report_free(report);
    cr_assert_not_null(mkdtemp(top));
}

static char *in_top(const char *name)
{
    static char path[64][PATH];
    static int turn;
    turn = (turn + 1) % 64;
    snprintf(path[turn], PATH, "%s/%s", top, name);
    return path[turn];
}

static char *file_of(const char *name)
{
    static char path[2 * PATH];
    snprintf(path, sizeof path, "%s/%s", in_top(name), CASES_FILE);
    return path;
}

static void forget(const char *name)
{
    unlink(file_of(name));
    char path[2 * PATH];
    snprintf(path, sizeof path, "%s/%s", in_top(name), CASES_SCENARIO);
    unlink(path);
    rmdir(in_top(name));
}

static void end(void)
{
    static const char *const names[] = { "a", "b", "c", "d" };
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++)
        forget(names[i]);
    cr_expect_eq(rmdir(top), 0, "something is left in %s", top);
    scenario_free(scenario);
    free(scenario);
}

TestSuite(cases, .init = begin, .fini = end);

static struct cases_of of(int part, int parts, const char *options)
{
    struct cases_of o = { .verb = "test", .file = "demo.cfg", .part = part, .parts = parts };
    snprintf(o.options, sizeof o.options, "%s", options);
    return o;
}

static struct cases *open_store(const char *name, int part, int parts)
{
    char words[CASES_WORDS] = "";
    struct cases *k = NULL;
    const struct cases_of o = of(part, parts, "--seed 1");
    cr_assert_eq(cases_open(&k, in_top(name), scenario, &o, true, words), STATUS_OK, "%s", words);
    return k;
}

static double right(long i)
{
    return 1.0 / (double)(i + 3);
}

static struct cases_list list_at(double results[COUNT])
{
    memset(results, 0, COUNT * sizeof results[0]);
    return (struct cases_list){
        .name = NAME, .count = COUNT, .size = sizeof(double), .results = results
    };
}

/* A store with all but the first `from` results. */
static void fill(const char *name, long from)
{
    double results[COUNT];
    const struct cases_list l = list_at(results);
    struct cases *k = open_store(name, 1, 1);
    for (long i = from; i < COUNT; i++) {
        results[i] = right(i);
        cr_assert_eq(cases_keep(k, NAME, &l, i), STATUS_OK);
    }
    cases_free(k);
}

/* How many results a store knows; none of them may be wrong. */
static int known_in(struct cases *k)
{
    double results[COUNT];
    const struct cases_list l = list_at(results);
    bool known[COUNT] = { false };
    int n = 0;
    cr_assert_eq(cases_recall(k, NAME, &l, known), STATUS_OK);
    for (long i = 0; i < COUNT; i++) {
        n += known[i];
        cr_assert_eq(results[i], known[i] ? right(i) : 0.0, "result %ld", i);
    }
    return n;
}

static char *bytes_of(const char *name, size_t *size)
{
    const char *words = "";
    char *bytes = file_read(file_of(name), 1 << 20, size, &words);
    cr_assert_not_null(bytes, "%s", words);
    return bytes;
}

static void put_bytes(const char *name, const char *bytes, size_t size)
{
    FILE *f = fopen(file_of(name), "wb");
    cr_assert_not_null(f);
    cr_assert_eq(fwrite(bytes, 1, size, f), size);
    cr_assert_eq(fclose(f), 0);
}

/* ---- the file ---------------------------------------------------------------------------------
 */

Test(cases, come_back_as_they_were_kept)
{
    fill("a", 5);
    struct cases *k = open_store("a", 1, 1);
    cr_assert_eq(known_in(k), COUNT - 5);
    cr_assert_eq(cases_known(k), COUNT - 5);
    cases_free(k);
}

/* How many results a damaged file still gives; none may be wrong. */
static int read_from(const char *name)
{
    char words[CASES_WORDS] = "";
    struct cases_file f;
    cr_assert_eq(cases_file_read(&f, in_top(name), words), STATUS_OK, "%s", words);
    struct cases k = { .files = 1, .file = &f, .fd = -1 };
    const int n = known_in(&k);
    free(f.bytes);
    return n;
}

Test(cases, lose_no_more_than_the_last_record_wherever_it_is_cut_off)
{
    fill("a", 1);
    size_t size;
    char *bytes = bytes_of("a", &size);
    const size_t record = sizeof(struct cases_record) + sizeof(double) + CASES_HASH;
    for (size_t cut = 1; cut <= record; cut++) {
        put_bytes("a", bytes, size - cut);
        cr_assert_eq(read_from("a"), COUNT - 2, "cut off by %zu", cut);
    }
    free(bytes);
}

Test(cases, are_appended_behind_what_is_sound)
{
    fill("a", 1);
    size_t size, whole;
    char *bytes = bytes_of("a", &size);
    for (size_t cut = 1; cut < 100; cut += 49) {
        double results[COUNT];
        const struct cases_list l = list_at(results);
        put_bytes("a", bytes, size - cut);
        struct cases *k = open_store("a", 1, 1);
        results[0] = right(0);
        cr_assert_eq(cases_keep(k, NAME, &l, 0), STATUS_OK);
        cases_free(k);
        free(bytes_of("a", &whole));
        cr_assert_eq(whole, size, "the last is gone, another came");
        cr_assert_eq(read_from("a"), COUNT - 1, "cut off by %zu", cut);
    }
    free(bytes);
}

Test(cases, never_give_a_wrong_result_whichever_byte_is_damaged)
{
    fill("a", 0);
    size_t size;
    char *bytes = bytes_of("a", &size);
    const size_t header = sizeof(struct cases_header);
    for (size_t i = 0; i < size; i += i < header ? 7 : 1) {
        bytes[i] ^= 0x10;
        put_bytes("a", bytes, size);
        bytes[i] ^= 0x10;
        if (i >= header) {
            cr_assert_lt(read_from("a"), COUNT, "byte %zu", i);
            continue;
        }
        char words[CASES_WORDS] = "";
        struct cases_file f;
        cr_assert_eq(cases_file_read(&f, in_top("a"), words), STATUS_NO_INPUT, "byte %zu", i);
        cr_assert(strstr(words, "damaged"), "%s", words);
        free(f.bytes);
    }
    free(bytes);
}

static void refused(const char *folder, const struct scenario *s, struct cases_of o,
                    const char *why)
{
    char words[CASES_WORDS] = "";
    struct cases *k = NULL;
    cr_assert_neq(cases_open(&k, in_top(folder), s, &o, true, words), STATUS_OK, "%s", why);
    cr_assert(strstr(words, why), "not \"%s\": %s", why, words);
}

Test(cases, of_something_else_are_refused)
{
    fill("a", 0);
    refused("a", scenario, of(1, 1, "--seed 2"), "--seed 1");
    refused("a", scenario, of(1, 2, "--seed 1"), "part 1 of 1, not of 2");
    struct cases_of other = of(1, 1, "--seed 1");
    other.verb = "other";
    refused("a", scenario, other, "leat test");
    scenario->plan.risk.unattended += 1.0;
    refused("a", scenario, of(1, 1, "--seed 1"), "another scenario");
    scenario->plan.risk.unattended -= 1.0;

    /* of another build: a header that is sound but not ours */
    size_t size;
    char *bytes = bytes_of("a", &size);
    struct cases_header h;
    memcpy(&h, bytes, sizeof h);
    h.build[3] ^= 1;
    memset(h.hash, 0, sizeof h.hash);
    hash_bytes(&h, offsetof(struct cases_header, hash), h.hash);
    memcpy(bytes, &h, sizeof h);
    put_bytes("a", bytes, size);
    free(bytes);
    refused("a", scenario, of(1, 1, "--seed 1"), "another build");
}

Test(cases, are_kept_by_one_run_at_a_time)
{
    struct cases *k = open_store("a", 1, 1);
    refused("a", scenario, of(1, 1, "--seed 1"), "another run");
    cases_free(k);
    cases_free(open_store("a", 1, 1));
}

Test(cases, need_a_folder_that_is_theirs)
{
    char words[CASES_WORDS] = "";
    struct cases *k = NULL;
    const struct cases_of o = of(1, 1, "");
    cr_assert_neq(cases_open(&k, in_top("a"), scenario, &o, false, words), STATUS_OK);
    cr_assert(strstr(words, "holds no cases"), "%s", words);
    refused("a/b", scenario, o, "No such file");
    fill("a", 0);
    unlink(file_of("a")); /* a stranger's folder now */
    refused("a", scenario, o, "is there already");
}

Test(cases, that_are_known_but_not_wanted_stay_away)
{
    fill("a", 0);
    struct cases *k = open_store("a", 1, 1);
    double results[COUNT];
    struct cases_list l = list_at(results);
    bool known[COUNT] = { false }, wanted[COUNT] = { false };
    wanted[3] = true;
    l.wanted = wanted;
    cr_assert_eq(cases_recall(k, NAME, &l, known), STATUS_OK);
    for (long i = 0; i < COUNT; i++)
        cr_assert_eq(results[i], i == 3 ? right(3) : 0.0);
    cases_free(k);
}

/* ---- running ----------------------------------------------------------------------------------
 */

struct worker {
    double *results;
    int calls[COUNT];
    int limit; /* stops after so many */
    long poor; /* this case finds no memory; 0: none */
};

static void work(void *self, long i)
{
    struct worker *w = self;
    w->results[i] = right(i);
    w->calls[i]++; /* of its own place: no other thread has it */
    if (w->poor > 0 && i == w->poor) {
        w->results[i] = 0.0;
        memory_ran_out();
    }
    if (w->limit > 0 && --w->limit == 0)
        stop = 1;
}

/* Runs all cases on so many threads with a store, which is closed then. */
static enum status run(struct cases *k, int jobs, struct worker *w, double results[COUNT],
                       bool everywhere)
{
    static struct campaign *c;
    const struct plant p = fixture_plant();
    const struct plan plan = fixture_plan(1.0);
    const struct campaign_options o = { .jobs = jobs, .stop = &stop, .cases = k };
    stop = 0;
    cr_assert_eq(campaign_create(&p, &plan, &o, &c), STATUS_OK);
    struct cases_list l = list_at(results);
    l.everywhere = everywhere;
    w->results = results;
    const enum status status = cases_all(c, &l, work, w);
    campaign_free(c);
    if (k && status == STATUS_OK)
        cr_assert_eq(cases_finish(k), STATUS_OK);
    cases_free(k);
    return status;
}

Test(cases, need_no_store)
{
    double results[COUNT];
    struct worker w = { 0 };
    cr_assert_eq(run(NULL, 2, &w, results, false), STATUS_OK);
    for (int i = 0; i < COUNT; i++) {
        cr_assert_eq(w.calls[i], 1);
        cr_assert_eq(results[i], right(i));
    }
}

Test(cases, that_were_stopped_go_on_where_they_were)
{
    double results[COUNT];
    struct worker first = { .limit = 7 }, second = { 0 };
    cr_assert_eq(run(open_store("a", 1, 1), 1, &first, results, false), STATUS_INTERRUPTED);
    cr_assert_eq(run(open_store("a", 1, 1), 2, &second, results, false), STATUS_OK);
    for (int i = 0; i < COUNT; i++) {
        cr_assert_eq(first.calls[i] + second.calls[i], 1, "case %d", i);
        cr_assert_eq(results[i], right(i));
    }
}

/* What was found without memory is no result: the next run does it again. */
Test(cases, that_found_no_memory_are_not_kept)
{
    double results[COUNT];
    struct worker w = { .poor = 7 };
    cr_assert_eq(run(open_store("a", 1, 1), 1, &w, results, false), STATUS_MEMORY);
    struct cases *k = open_store("a", 1, 1);
    cr_assert_eq(known_in(k), 7);
    cr_assert_eq(w.calls[8], 0, "nothing more is run then");
    cases_free(k);
}

static bool even(const void *result)
{
    for (long i = 0; i < COUNT; i += 2)
        if (*(const double *)result == right(i))
            return true;
    return false;
}

Test(cases, that_may_go_better_another_time_are_not_kept)
{
    double results[COUNT];
    struct cases_list l = list_at(results);
    struct cases *k = open_store("a", 1, 1);
    l.sound = even;
    for (long i = 0; i < COUNT; i++) {
        results[i] = right(i);
        cr_assert_eq(cases_keep(k, NAME, &l, i), STATUS_OK);
    }
    cases_free(k);
    k = open_store("a", 1, 1);
    cr_assert_eq(known_in(k), COUNT / 2);
    cases_free(k);
}

Test(cases, of_the_parts_are_all_of_them_and_each_once)
{
    static const char *const name[] = { "a", "b", "c" };
    int calls[COUNT] = { 0 };
    double results[COUNT];
    for (int part = 0; part < 3; part++) {
        struct worker w = { 0 };
        cr_assert_eq(run(open_store(name[part], part + 1, 3), 2, &w, results, false), STATUS_OK);
        for (int i = 0; i < COUNT; i++) {
            calls[i] += w.calls[i];
            cr_assert_eq(w.calls[i], i % 3 == part);
        }
    }
    const char *const folders[] = { in_top("c"), in_top("a"), in_top("b") };
    char words[CASES_WORDS] = "";
    struct cases_of o;
    struct cases *k = NULL;
    cr_assert_eq(cases_gather(&k, folders, 3, &o, words), STATUS_OK, "%s", words);
    cr_assert_str_eq(o.options, "--seed 1");
    cr_assert_str_eq(o.file, "demo.cfg");
    cr_assert(cases_fits(k, scenario));
    cr_assert_eq(known_in(k), COUNT);
    struct worker none = { 0 };
    cr_assert_eq(run(k, 1, &none, results, false), STATUS_OK);
    for (int i = 0; i < COUNT; i++) {
        cr_assert_eq(calls[i], 1, "case %d", i);
        cr_assert_eq(none.calls[i], 0, "gathered, not run");
    }
}

static void not_gathered(const char *const folders[], int n, const char *why)
{
    char words[CASES_WORDS] = "";
    struct cases_of o;
    struct cases *k = NULL;
    cr_assert_eq(cases_gather(&k, folders, n, &o, words), STATUS_NO_INPUT, "%s", why);
    cr_assert(strstr(words, why), "not \"%s\": %s", why, words);
}

Test(cases, that_are_not_all_there_are_not_gathered)
{
    double results[COUNT];
    struct worker w = { 0 };
    run(open_store("a", 1, 3), 1, &w, results, false);
    run(open_store("c", 3, 3), 1, &w, results, false);
    const char *folders[] = { in_top("a"), in_top("c"), in_top("b"), in_top("a") };
    not_gathered(folders, 1, "parts 2, 3 of 3 are missing");
    not_gathered(folders, 2, "part 2 of 3 is missing");
    not_gathered(folders, 3, "holds no cases");
    cases_free(open_store("b", 2, 3)); /* begun, not finished */
    not_gathered(folders, 3, "not finished");
    run(open_store("b", 2, 3), 1, &w, results, false);
    not_gathered(folders, 4, "and so is");
    run(open_store("d", 2, 4), 1, &w, results, false);
    folders[2] = in_top("d");
    not_gathered(folders, 3, "part 2 of 4, not of 3");
}

/* What every part runs must be the same to the bit: another kind of processor is found. */
Test(cases, that_differ_between_parts_are_not_mixed)
{
    double results[COUNT];
    struct worker w = { 0 };
    run(open_store("a", 1, 2), 1, &w, results, true);
    struct cases *k = open_store("b", 2, 2);
    const struct cases_list l = list_at(results);
    results[4] = right(4) * (1.0 + 0x1p-52);
    cr_assert_eq(cases_keep(k, NAME, &l, 4), STATUS_OK);
    run(k, 1, &w, results, true);
    const char *const folders[] = { in_top("a"), in_top("b") };
    char words[CASES_WORDS] = "";
    struct cases_of o;
    cr_assert_eq(cases_gather(&k, folders, 2, &o, words), STATUS_OK, "%s", words);
    bool known[COUNT] = { false };
    cr_assert_eq(cases_recall(k, NAME, &l, known), STATUS_NO_INPUT);
    cr_assert(strstr(cases_trouble(k), "processors of one kind"), "%s", cases_trouble(k));
    cases_free(k);
}

Test(cases, agree_or_are_refused)
{
    static struct campaign *c;
    const struct plant p = fixture_plant();
    const struct plan plan = fixture_plan(1.0);
    const double moment[] = { 1.0, 2.0 }, other[] = { 1.0, 2.5 };
    for (int i = 0; i < 3; i++) {
        struct cases *k = open_store("a", 1, 1);
        const struct campaign_options o = { .cases = k, .name = "it" };
        cr_assert_eq(campaign_create(&p, &plan, &o, &c), STATUS_OK);
        const enum status status = cases_agree(c, "year", i < 2 ? moment : other, sizeof moment);
        cr_assert_eq(status, i < 2 ? STATUS_OK : STATUS_NO_INPUT);
        campaign_free(c);
        cases_free(k);
    }
}
