/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Fuzz target: a store of cases (sim/cases_file.c, sim/cases.c, sim/cases_gather.c).  The input
 * says in lines what stands in the file: record LIST COUNT INDEX SIZE HEX    a record, with its
 * right hash header OFFSET=HEX                   bytes of the header, before its hash is made
 *   finished                            the record that ends a store
 *   @OFFSET=HEX                         bytes of the whole file, after all hashes: damage
 *   cut BYTES                           length of the file
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "fuzz.h"
#include "sim/cases_inner.h"
#include "sim/command.h"
#include "sim/hash.h"

volatile sig_atomic_t command_stop; /* main's */

static const char SCENARIO[] =
    "feed = { meter = \"245 ppm\"; pressure = \"50 psi\"; };\n"
    "train = ( \"membrane 75 gal/day\", \"mixed bed 10 in\" );\n"
    "storage = { diameter = \"50 cm\"; height = \"80 cm\"; shuts_at = \"70 cm\";\n"
    "            shutoff = [ \"level switches\" ]; };\n"
    "served = { surface = \"1.1 m2\"; volume = \"400 L\"; water = \"25 degC\"; };\n";

enum { COUNT = 8, RESULT = 8, FILE_MOST = 1 << 16 };

static struct scenario scenario;
static char header[sizeof(struct cases_header)];
static const struct cases_of of = {
    .verb = "test", .file = "x.cfg", .options = "--seed 1", .part = 1, .parts = 1
};

/* The header of an empty store of ours. */
static void begin(void)
{
    struct report *report = report_create();
    char words[CASES_WORDS] = "";
    struct cases *k = NULL;
    fuzz_write("cases.cfg", SCENARIO, sizeof SCENARIO - 1);
    const enum status status = scenario_load(fuzz_path("cases.cfg"), NULL, &scenario, report);
    if (status != STATUS_OK)
        report_print(report, stderr, false);
    report_free(report);
    fuzz_demand(status == STATUS_OK, "the scenario is sound");
    fuzz_demand(cases_open(&k, fuzz_path("store"), &scenario, &of, true, words) == STATUS_OK,
                "a store can be made");
    cases_free(k);
    FILE *f = fopen(fuzz_path("store/" CASES_FILE), "rb");
    fuzz_demand(f && fread(header, sizeof header, 1, f) == 1, "it has a header");
    fclose(f);
}

struct made {
    char bytes[FILE_MOST];
    size_t size;
};

static void seal(struct made *m, size_t from)
{
    if (m->size + CASES_HASH > sizeof m->bytes)
        return;
    memset(m->bytes + m->size, 0, CASES_HASH);
    hash_bytes(m->bytes + from, m->size - from, m->bytes + m->size);
    m->size += CASES_HASH;
}

static void put_record(struct made *m, const char *list, const long long numbers[3],
                       const char *hex)
{
    struct cases_record r = { .count = numbers[0], .index = numbers[1], .size = numbers[2] };
    const size_t from = m->size;
    snprintf(r.list, sizeof r.list, "%s", list);
    if (m->size + sizeof r + strlen(hex) + CASES_HASH > sizeof m->bytes)
        return;
    memcpy(m->bytes + m->size, &r, sizeof r);
    m->size += sizeof r;
    m->size += fuzz_hex(hex, m->bytes + m->size, strlen(hex));
    seal(m, from);
}

static void put_line(struct made *m, char *line)
{
    const char *list = strsep(&line, " ");
    long long numbers[3] = { 0 };
    for (int i = 0; i < 3 && line; i++)
        numbers[i] = strtoll(strsep(&line, " "), NULL, 10);
    put_record(m, list, numbers, line ? line : "");
}

static void make(char *text, struct made *m)
{
    memcpy(m->bytes, header, sizeof header);
    m->size = sizeof header;
    for (char *line; (line = fuzz_line(&text)) != NULL;) {
        unsigned long cut;
        if (strncmp(line, "header ", 7) == 0) {
            struct cases_header *h = (struct cases_header *)m->bytes;
            fuzz_patch(line + 7, h, offsetof(struct cases_header, hash));
            memset(h->hash, 0, sizeof h->hash);
            hash_bytes(h, offsetof(struct cases_header, hash), h->hash);
        } else if (strncmp(line, "record ", 7) == 0) {
            put_line(m, line + 7);
        } else if (strcmp(line, "finished") == 0) {
            put_record(m, "end", (const long long[3]){ 0 }, "");
        } else if (line[0] == '@') {
            fuzz_patch(line + 1, m->bytes, m->size);
        } else if (sscanf(line, "cut %lu", &cut) == 1 && cut < m->size) {
            m->size = cut;
        }
    }
}

static void recall(struct cases *k)
{
    char results[COUNT][RESULT] = { { 0 } };
    const struct cases_list l = {
        .name = "list", .count = COUNT, .size = RESULT, .results = results
    };
    bool known[COUNT] = { false };
    const enum status status = cases_recall(k, l.name, &l, known);
    fuzz_demand(status == STATUS_OK || cases_trouble(k)[0] != '\0', "trouble is told");
}

static void gather(void)
{
    const char *const folders[] = { fuzz_path("store") };
    char words[CASES_WORDS] = "";
    struct cases_of what;
    struct cases *k = NULL;
    if (cases_gather(&k, folders, 1, &what, words) != STATUS_OK) {
        fuzz_demand(words[0] != '\0', "what is refused is refused in words");
        fuzz_demand_printable(words, strlen(words));
        return;
    }
    static struct options o;
    command_sweep_read(&o, what.options);
    command_overflow_read(&o, what.options);
    cases_fits(k, &scenario);
    recall(k);
    cases_free(k);
}

static void go_on(void)
{
    char words[CASES_WORDS] = "";
    struct cases *k = NULL;
    if (cases_open(&k, fuzz_path("store"), &scenario, &of, false, words) != STATUS_OK) {
        fuzz_demand(words[0] != '\0', "what is refused is refused in words");
        fuzz_demand_printable(words, strlen(words));
        return;
    }
    recall(k);
    fuzz_demand(cases_finish(k) == STATUS_OK, "a store can be finished");
    cases_free(k);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct made m;
    if (header[0] == '\0')
        begin();
    char *text = fuzz_text(data, size);
    make(text, &m);
    fuzz_write("store/" CASES_FILE, m.bytes, m.size);
    gather();
    go_on();
    free(text);
    return 0;
}
