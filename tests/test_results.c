/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Tests of sim/results.c and sim/results_old.c: a results folder is whole or not there, and nothing
 * of anybody else's is ever replaced or removed.
 */
#include <criterion/criterion.h>
#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <jansson.h>
#include <sha256.h>
#include <signal.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "folder.h"
#include "sim/results.h"

static char words[RESULTS_WORDS];
static struct results results, second;

/* ---- helpers ----------------------------------------------------------------------------------
 */

static int no_dots(const struct dirent *d)
{
    return strcmp(d->d_name, ".") != 0 && strcmp(d->d_name, "..") != 0;
}

static int entries(const char *folder)
{
    struct dirent **list;
    const int n = scandir(folder, &list, no_dots, NULL);
    for (int i = 0; i < n; i++)
        free(list[i]);
    if (n >= 0)
        free(list);
    return n;
}

TestSuite(results, .init = folder_enter, .fini = folder_leave);

/* A whole small folder of results. */
static enum status make(const char *target, bool force, const char *text)
{
    const enum status status = results_open(&results, target, force, words);
    if (status != STATUS_OK)
        return status;
    FILE *f = results_file(&results, "series.csv");
    if (!f || fputs(text, f) < 0)
        return STATUS_IO;
    return results_commit(&results, 7, words);
}

static json_t *manifest_of(const char *folder)
{
    char path[256];
    snprintf(path, sizeof path, "%s/manifest.json", folder);
    return json_load_file(path, JSON_REJECT_DUPLICATES, NULL);
}

static const char *listed_hash(const json_t *manifest, const char *name)
{
    const json_t *file = json_object_get(json_object_get(manifest, "files"), name);
    return json_string_value(json_object_get(file, "sha256"));
}

/* Every listed file is there and has its hash, and there is at least one. */
static bool is_whole(const char *folder)
{
    json_t *manifest = manifest_of(folder);
    json_t *files = json_object_get(manifest, "files");
    bool fine = json_object_size(files) > 0;
    const char *name;
    json_t *file;
    json_object_foreach(files, name, file)
    {
        char path[512], hex[SHA256_DIGEST_STRING_LENGTH];
        snprintf(path, sizeof path, "%s/%s", folder, name);
        const char *hash = json_string_value(json_object_get(file, "sha256"));
        fine = fine && hash && SHA256File(path, hex) && strcmp(hex, hash) == 0;
    }
    json_decref(manifest);
    return fine;
}

static void expect_refusal(const char *target, bool force, const char *part)
{
    cr_expect_eq(results_open(&results, target, force, words), STATUS_NO_OUTPUT, "%s", target);
    cr_expect(strstr(words, part) != NULL, "%s: \"%s\" does not say \"%s\"", target, words, part);
}

/* ---- a new folder -----------------------------------------------------------------------------
 */

Test(results, stands_whole_under_its_name_after_commit)
{
    cr_assert_eq(make("out", false, "abc"), STATUS_OK, "%s", words);
    cr_expect_str_eq(words, "");
    cr_expect(folder_holds("out/series.csv", "abc"));
    cr_expect(is_whole("out"));
    cr_expect_eq(entries("."), 1, "something is left beside it");
    json_t *m = manifest_of("out");
    cr_expect_str_eq(json_string_value(json_object_get(m, "program")), "leat");
    cr_expect_str_eq(json_string_value(json_object_get(m, "version")), LEAT_VERSION);
    cr_expect_eq(json_integer_value(json_object_get(m, "seed")), 7);
    /* FIPS 180-4, the example of one block, "abc" [from memory] */
    cr_expect_str_eq(listed_hash(m, "series.csv"),
                     "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    json_decref(m);
}

Test(results, is_not_there_before_commit)
{
    cr_assert_eq(results_open(&results, "out", false, words), STATUS_OK);
    FILE *f = results_file(&results, "series.csv");
    cr_assert(f != NULL && fputs("abc", f) >= 0);
    cr_expect(!folder_has("out"));
    cr_expect_eq(results_flush(&results), STATUS_OK);
    cr_expect(!folder_has("out"));
    results_abandon(&results);
    cr_expect_eq(entries("."), 0, "something is left behind");
}

Test(results, are_the_same_bytes_for_the_same_input_wherever_they_stand)
{
    cr_assert_eq(mkdir("deep", 0777), 0);
    cr_assert_eq(make("one", false, "1,2\n"), STATUS_OK);
    umask(077);
    cr_assert_eq(make("deep/other", false, "1,2\n"), STATUS_OK);
    char hex[2][SHA256_DIGEST_STRING_LENGTH];
    cr_assert(SHA256File("one/manifest.json", hex[0]) != NULL);
    cr_assert(SHA256File("deep/other/manifest.json", hex[1]) != NULL);
    cr_expect_str_eq(hex[0], hex[1]);
}

Test(results, take_their_mode_from_the_umask)
{
    umask(027);
    cr_assert_eq(make("out", false, "abc"), STATUS_OK);
    struct stat s;
    cr_assert_eq(stat("out", &s), 0);
    cr_expect_eq(s.st_mode & 07777, 0750, "%o", s.st_mode);
    cr_assert_eq(stat("out/series.csv", &s), 0);
    cr_expect_eq(s.st_mode & 07777, 0640, "%o", s.st_mode);
    cr_assert_eq(stat("out/manifest.json", &s), 0);
    cr_expect_eq(s.st_mode & 07777, 0640, "%o", s.st_mode);
}

Test(results, list_what_another_program_drew_but_no_link)
{
    cr_assert_eq(results_open(&results, "out/", false, words), STATUS_OK);
    char path[RESULTS_PATH + 32];
    snprintf(path, sizeof path, "%s/figures", results.temporary);
    cr_assert_eq(mkdir(path, 0777), 0);
    snprintf(path, sizeof path, "%s/figures/levels.svg", results.temporary);
    folder_put(path, "<svg></svg>");
    snprintf(path, sizeof path, "%s/figures/away.svg", results.temporary);
    cr_assert_eq(symlink("/etc/hostname", path), 0);
    results_add_all(&results, "figures");
    results_add_all(&results, "nothing");
    cr_assert_eq(results_commit(&results, 0, words), STATUS_OK, "%s", words);
    cr_expect(is_whole("out"));
    json_t *m = manifest_of("out");
    cr_expect(listed_hash(m, "figures/levels.svg") != NULL);
    cr_expect(listed_hash(m, "figures/away.svg") == NULL);
    json_decref(m);
}

Test(results, keep_every_byte_of_long_files)
{
    uint64_t lcg = 11;
    cr_assert_eq(results_open(&results, "out", false, words), STATUS_OK);
    FILE *f = results_file(&results, "series.csv");
    char block[997];
    SHA2_CTX hash;
    SHA256Init(&hash);
    for (int i = 0; i < 3000; i++) { /* not in step with any buffer */
        for (size_t k = 0; k < sizeof block; k++) {
            lcg = 6364136223846793005u * lcg + 1442695040888963407u;
            block[k] = (char)(lcg >> 56);
        }
        SHA256Update(&hash, (const uint8_t *)block, sizeof block);
        cr_assert_eq(fwrite(block, 1, sizeof block, f), sizeof block);
    }
    char hex[SHA256_DIGEST_STRING_LENGTH];
    SHA256End(&hash, hex);
    cr_assert_eq(results_commit(&results, 0, words), STATUS_OK);
    json_t *m = manifest_of("out");
    cr_expect_str_eq(listed_hash(m, "series.csv"), hex);
    json_decref(m);
}

/* ---- refusals ---------------------------------------------------------------------------------
 */

Test(results, refuse_names_that_are_no_name)
{
    static const char *const bad[] = { "", ".", "..", "/", "a/..", "./", "../", "//" };
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++)
        cr_expect_eq(results_open(&results, bad[i], true, words), STATUS_NO_OUTPUT, "%s", bad[i]);
    char long_name[300];
    memset(long_name, 'x', sizeof long_name - 1);
    long_name[sizeof long_name - 1] = '\0';
    expect_refusal(long_name, false, "too long");
    char long_path[6000];
    memset(long_path, '/', sizeof long_path - 2);
    strcpy(long_path + sizeof long_path - 2, "x");
    expect_refusal(long_path, false, "");
    cr_expect_eq(entries("."), 0);
}

Test(results, refuse_a_parent_that_is_missing_or_no_folder)
{
    folder_put("file", "");
    expect_refusal("no/out", false, "there is no such folder");
    expect_refusal("file/out", false, "Not a directory");
    cr_expect_eq(entries("."), 1);
}

Test(results, refuse_a_parent_that_cannot_be_written)
{
    cr_assert(mkdir("locked", 0555) == 0 && chmod(".", 0755) == 0);
    if (geteuid() == 0)
        cr_assert_eq(seteuid(65534), 0); /* nothing is read-only to root */
    expect_refusal("locked/out", false, "Permission denied");
    cr_expect_eq(entries("locked"), 0);
    if (getuid() == 0)
        cr_assert_eq(seteuid(0), 0);
}

Test(results, refuse_a_folder_of_results_unless_forced)
{
    cr_assert_eq(make("out", false, "old"), STATUS_OK);
    expect_refusal("out", false, "--force");
    cr_expect(folder_holds("out/series.csv", "old"));
    cr_expect_eq(entries("."), 1);
}

Test(results, refuse_what_is_not_ours_even_if_forced)
{
    folder_put("file", "mine");
    cr_assert_eq(mkdir("empty", 0777), 0);
    cr_assert_eq(mkdir("full", 0777), 0);
    folder_put("full/thesis.txt", "mine");
    cr_assert_eq(mkdir("alike", 0777), 0);
    folder_put("alike/manifest.json", "{\"program\": \"other\", \"files\": {}}");
    cr_assert_eq(mkdir("broken", 0777), 0);
    folder_put("broken/manifest.json", "{\"program\": \"leat\"");
    cr_assert_eq(mkdir("pipe", 0777), 0);
    cr_assert_eq(mkfifo("pipe/manifest.json", 0666), 0);
    static const char *const targets[] = { "empty", "full", "alike", "broken", "pipe" };
    expect_refusal("file", true, "is no folder");
    for (size_t i = 0; i < sizeof targets / sizeof targets[0]; i++)
        expect_refusal(targets[i], true, "holds no results of this program");
    cr_expect(folder_holds("file", "mine") && folder_holds("full/thesis.txt", "mine"));
    cr_expect_eq(entries("."), 6);
}

Test(results, refuse_a_link_even_to_results_of_ours)
{
    cr_assert_eq(make("out", false, "old"), STATUS_OK);
    cr_assert_eq(symlink("out", "link"), 0);
    cr_assert_eq(symlink("nowhere", "dangling"), 0);
    expect_refusal("link", true, "is a link");
    expect_refusal("dangling", true, "is a link");
    cr_expect(folder_holds("out/series.csv", "old") && folder_has("link") &&
              folder_has("dangling"));
}

Test(results, refuse_to_replace_a_folder_that_holds_something_more)
{
    static const char *const strangers[] = { "out/notes.txt", "out/.hidden",
                                             "out/figures/mine.svg" };
    for (size_t i = 0; i < sizeof strangers / sizeof strangers[0]; i++) {
        cr_assert_eq(make("out", i > 0, "old"), STATUS_OK, "%s", words);
        cr_assert_eq(mkdir("out/figures", 0777), 0);
        folder_put(strangers[i], "mine");
        expect_refusal("out", true, strangers[i] + strlen("out/"));
        cr_expect(folder_holds(strangers[i], "mine") && folder_holds("out/series.csv", "old"));
        unlink(strangers[i]);
    }
}

Test(results, refuse_a_listed_name_that_has_become_a_link_or_a_folder)
{
    folder_put("precious", "mine");
    cr_assert_eq(make("out", false, "old"), STATUS_OK);
    cr_assert(unlink("out/series.csv") == 0 && symlink("../precious", "out/series.csv") == 0);
    expect_refusal("out", true, "series.csv");
    cr_assert(unlink("out/series.csv") == 0 && mkdir("out/series.csv", 0777) == 0);
    expect_refusal("out", true, "series.csv");
    cr_expect(folder_holds("precious", "mine"));
}

/* ---- replacing --------------------------------------------------------------------------------
 */

Test(results, replace_their_own_kind_if_forced)
{
    cr_assert_eq(results_open(&results, "out", false, words), STATUS_OK);
    cr_assert(results_file(&results, "balance.csv") != NULL);
    char path[RESULTS_PATH + 32];
    snprintf(path, sizeof path, "%s/figures", results.temporary);
    cr_assert_eq(mkdir(path, 0777), 0);
    snprintf(path, sizeof path, "%s/figures/old.svg", results.temporary);
    folder_put(path, "<svg></svg>");
    results_add_all(&results, "figures");
    cr_assert_eq(results_commit(&results, 0, words), STATUS_OK, "%s", words);
    cr_assert(folder_has("out/figures/old.svg") && folder_has("out/balance.csv"));

    cr_assert_eq(make("out", true, "new"), STATUS_OK, "%s", words);
    cr_expect_str_eq(words, "");
    cr_expect(folder_holds("out/series.csv", "new") && is_whole("out"));
    cr_expect(!folder_has("out/balance.csv") && !folder_has("out/figures"));
    cr_expect_eq(entries("."), 1, "something is left beside it");
}

Test(results, keep_the_old_until_the_new_is_whole)
{
    cr_assert_eq(make("out", false, "old"), STATUS_OK);
    cr_assert_eq(results_open(&results, "out", true, words), STATUS_OK);
    FILE *f = results_file(&results, "series.csv");
    cr_assert(f != NULL && fputs("new", f) >= 0);
    cr_expect(folder_holds("out/series.csv", "old"));
    results_abandon(&results);
    cr_expect(folder_holds("out/series.csv", "old") && is_whole("out"));
    cr_expect_eq(entries("."), 1);
}

Test(results, never_remove_through_the_names_of_a_forged_manifest)
{
    folder_put("precious", "mine");
    cr_assert(mkdir("other", 0777) == 0 && mkdir("out", 0777) == 0);
    folder_put("other/precious", "mine");
    folder_put("out/series.csv", "old");
    folder_put("out/manifest.json",
               "{\"program\": \"leat\", \"files\": {\"series.csv\": {}, \"../precious\": {},"
               " \"figures/../../precious\": {}, \"../other/precious\": {}, \"\": {}, \".\": {},"
               " \"..\": {}, \"figures/\": {}, \"figures/..\": {}}}");
    cr_assert_eq(make("out", true, "new"), STATUS_OK, "%s", words);
    cr_expect(folder_holds("precious", "mine") && folder_holds("other/precious", "mine"));
    cr_expect(folder_holds("out/series.csv", "new"));
    cr_expect_eq(entries("."), 3);
}

Test(results, never_remove_through_a_figures_folder_that_is_a_link)
{
    cr_assert_eq(mkdir("other", 0777), 0);
    folder_put("other/levels.svg", "mine");
    cr_assert_eq(mkdir("out", 0777), 0);
    folder_put("out/manifest.json",
               "{\"program\": \"leat\", \"files\": {\"figures/levels.svg\": {},"
               " \"figures\": {}}}");
    cr_assert_eq(symlink("../other", "out/figures"), 0);
    expect_refusal("out", true, "figures");
    cr_expect(folder_holds("other/levels.svg", "mine"));
}

Test(results, refuse_at_the_end_what_came_to_be_during_the_run)
{
    cr_assert_eq(results_open(&results, "out", false, words), STATUS_OK);
    cr_assert(results_file(&results, "series.csv") != NULL && mkdir("out", 0777) == 0);
    folder_put("out/thesis.txt", "mine");
    cr_expect_eq(results_commit(&results, 0, words), STATUS_NO_OUTPUT);
    cr_expect(strstr(words, "during the run") != NULL, "%s", words);
    cr_expect(folder_holds("out/thesis.txt", "mine"));
    cr_expect_eq(entries("."), 1);
}

Test(results, refuse_at_the_end_to_replace_what_has_got_something_more)
{
    cr_assert_eq(make("out", false, "old"), STATUS_OK);
    cr_assert_eq(results_open(&results, "out", true, words), STATUS_OK);
    cr_assert(results_file(&results, "series.csv") != NULL);
    folder_put("out/thesis.txt", "mine");
    cr_expect_eq(results_commit(&results, 0, words), STATUS_NO_OUTPUT);
    cr_expect(folder_holds("out/thesis.txt", "mine") && folder_holds("out/series.csv", "old"));
    cr_expect_eq(entries("."), 1);
}

/* ---- faults of writing ------------------------------------------------------------------------
 */

Test(results, fail_and_leave_nothing_when_a_file_grows_too_long)
{
    signal(SIGXFSZ, SIG_IGN);
    const struct rlimit limit = { .rlim_cur = 100000, .rlim_max = RLIM_INFINITY };
    cr_assert_eq(results_open(&results, "out", false, words), STATUS_OK);
    FILE *f = results_file(&results, "series.csv");
    cr_assert(f != NULL && setrlimit(RLIMIT_FSIZE, &limit) == 0);
    for (int i = 0; i < 30000; i++)
        fputs("0123456789\n", f);
    cr_expect_eq(results_commit(&results, 0, words), STATUS_IO);
    cr_expect(strstr(words, "series.csv could not be written: File too large") != NULL, "%s",
              words);
    cr_expect_eq(entries("."), 0);
}

Test(results, follow_no_link_that_was_planted_in_their_folder)
{
    cr_assert_eq(results_open(&results, "out", false, words), STATUS_OK);
    char path[RESULTS_PATH + 32];
    snprintf(path, sizeof path, "%s/series.csv", results.temporary);
    cr_assert_eq(symlink("../precious", path), 0);
    cr_expect(results_file(&results, "series.csv") == NULL);
    cr_expect_eq(results_commit(&results, 0, words), STATUS_IO);
    cr_expect(strstr(words, "series.csv") != NULL, "%s", words);
    cr_expect_eq(entries("."), 0, "the link led somewhere");
}

Test(results, fail_when_a_listed_file_is_gone_or_there_are_too_many)
{
    cr_assert_eq(results_open(&results, "out", false, words), STATUS_OK);
    results_add(&results, "figures/never.svg");
    cr_expect_eq(results_commit(&results, 0, words), STATUS_IO);
    cr_expect(strstr(words, "figures/never.svg") != NULL, "%s", words);
    cr_assert_eq(results_open(&results, "out", false, words), STATUS_OK);
    for (int i = 0; i < RESULTS_FILES_MAX; i++) {
        char name[32];
        snprintf(name, sizeof name, "%d.csv", i);
        cr_assert(results_file(&results, name) != NULL, "%s", name);
    }
    cr_expect(results_file(&results, "more.csv") == NULL);
    cr_expect_eq(results_commit(&results, 0, words), STATUS_IO);
    cr_expect_eq(entries("."), 0);
}

/* ---- others at the same time ------------------------------------------------------------------
 */

Test(results, let_one_run_at_a_time_write_to_a_target)
{
    cr_assert_eq(results_open(&second, "out", false, words), STATUS_OK);
    expect_refusal("out", false, "another run");
    expect_refusal("./out/", true, "another run");
    cr_expect_eq(make("other", false, "abc"), STATUS_OK, "%s", words);
    results_abandon(&second);
    cr_expect_eq(make("out", false, "abc"), STATUS_OK, "%s", words);
    cr_expect_eq(entries("."), 2);
}

Test(results, tell_what_a_killed_run_left_and_go_on)
{
    const pid_t child = fork();
    if (child == 0) {
        results_open(&results, "out", false, words);
        raise(SIGKILL);
    }
    waitpid(child, NULL, 0);
    cr_assert_eq(entries("."), 2); /* folder and lock */
    cr_assert_eq(results_open(&results, "out", false, words), STATUS_OK);
    cr_expect(strstr(words, ".out.") != NULL, "%s", words);
    cr_expect_eq(results_commit(&results, 0, words), STATUS_OK);
    cr_expect_eq(entries("."), 2); /* results and what was left: it is not ours to delete */
}

Test(results, count_what_many_killed_runs_left)
{
    for (int i = 0; i < 4; i++) {
        const pid_t child = fork();
        if (child == 0) {
            results_open(&results, "out", false, words);
            raise(SIGKILL);
        }
        waitpid(child, NULL, 0);
    }
    cr_assert_eq(results_open(&results, "out", false, words), STATUS_OK);
    cr_expect(strstr(words, "and 3 more") != NULL, "%s", words);
    results_abandon(&results);
}

Test(results, drop_a_subfolder_that_was_not_noted)
{
    cr_assert_eq(results_open(&results, "out", false, words), STATUS_OK);
    cr_assert_eq(mkdirat(results.folder, "figures", 0777), 0);
    const int below = openat(results.folder, "figures/a.svg", O_WRONLY | O_CREAT, 0666);
    cr_assert_geq(below, 0);
    close(below);
    results_drop(&results, "figures");
    cr_expect_neq(faccessat(results.folder, "figures", F_OK, 0), 0);
    cr_expect_eq(results_commit(&results, 0, words), STATUS_OK, "%s", words);
}

static void replace_for_ever(void)
{
    char text[64];
    for (int i = 0;; i++) {
        snprintf(text, sizeof text, "row %d\n", i);
        make("out", true, text);
    }
}

Test(results, are_old_or_new_but_never_half_whenever_a_run_is_killed)
{
    uint64_t lcg = 5;
    cr_assert_eq(make("out", false, "first"), STATUS_OK);
    for (int round = 0; round < 60; round++) {
        const pid_t child = fork();
        if (child == 0)
            replace_for_ever();
        lcg = 6364136223846793005u * lcg + 1442695040888963407u;
        usleep((useconds_t)(lcg >> 48) % 30000);
        kill(child, SIGKILL);
        waitpid(child, NULL, 0);
        cr_assert(is_whole("out"), "round %d", round);
    }
    cr_expect_eq(make("out", true, "last"), STATUS_OK, "%s", words);
    cr_expect(folder_holds("out/series.csv", "last"));
}
