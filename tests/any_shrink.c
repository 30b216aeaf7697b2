/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * any_shrink: judging a text, in a process of its own, and pruning one that breaks a rule.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/wait.h>
#include <unistd.h>

#include "any_check.h"

enum { PATIENCE = 60, TRIES_MOST = 4000 }; /* s for one scenario; texts that shrinking looks at */

static const double DAY = 86400.0; /* s */

/* ---- one text -----------------------------------------------------------------------------------
 */

/* The first complaint, or that there is none, which breaks a rule of its own. */
static void note_refusal(struct report *report, struct any_verdict *v)
{
    char *said = NULL;
    size_t size = 0;
    FILE *f = open_memstream(&said, &size);
    report_print(report, f, false);
    fclose(f);
    const char *error = strstr(said, "error: ");
    v->outcome = error != NULL ? ANY_REFUSED : ANY_BROKEN;
    snprintf(v->rule, sizeof v->rule, "refused by a complaint");
    snprintf(v->words, sizeof v->words, "%.*s", (int)strcspn(error ? error : said, "\n"),
             error ? error : said);
    free(said);
}

void any_judge_file(const char *path, any_property *property, struct any_verdict *v)
{
    static struct scenario s;
    *v = (struct any_verdict){ .outcome = ANY_SOUND };
    struct report *report = report_create();
    const enum status status = scenario_load(path, NULL, &s, report);
    if (status == STATUS_OK) {
        property(&s, v);
        scenario_free(&s);
    } else {
        note_refusal(report, v);
    }
    report_free(report);
}

void any_judge(const struct any_text *t, any_property *property, struct any_verdict *v)
{
    char path[] = "/tmp/leat-any-XXXXXX";
    const int fd = mkstemp(path);
    FILE *f = fd < 0 ? NULL : fdopen(fd, "w");
    if (f == NULL)
        abort();
    any_print(t, f);
    fclose(f);
    any_judge_file(path, property, v);
    unlink(path);
}

/* ---- in a process of its own --------------------------------------------------------------------
 */

static void *shared(size_t size)
{
    void *p = mmap(NULL, size, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    if (p == MAP_FAILED)
        abort();
    return p;
}

/* Waits for a child; what it died of goes to the verdict. */
static void await(pid_t child, struct any_verdict *v)
{
    int status = 0;
    if (child < 0 || waitpid(child, &status, 0) != child)
        abort();
    if (WIFEXITED(status) && WEXITSTATUS(status) == 0)
        return;
    v->outcome = ANY_BROKEN;
    snprintf(v->rule, sizeof v->rule, "no crash");
    if (WIFSIGNALED(status))
        snprintf(v->words, sizeof v->words, "it died of signal %d (%s)", WTERMSIG(status),
                 strsignal(WTERMSIG(status)));
    else
        snprintf(v->words, sizeof v->words, "it ended with status %d", WEXITSTATUS(status));
}

void any_try(const struct any_text *t, any_property *property, struct any_verdict *v)
{
    struct any_verdict *there = shared(sizeof *there);
    fflush(NULL);
    const pid_t child = fork();
    if (child == 0) {
        alarm(PATIENCE);
        any_judge(t, property, there);
        _exit(0);
    }
    await(child, there);
    *v = *there;
    munmap(there, sizeof *there);
}

/* ---- shrinking ----------------------------------------------------------------------------------
 */

struct shrinking {
    struct any_text *text;
    any_property *property;
    struct any_verdict *verdict;
    int tries;
};

/* Whether it still breaks the same rule. */
static bool still(struct shrinking *s)
{
    struct any_verdict v;
    if (s->tries++ >= TRIES_MOST)
        return false;
    any_try(s->text, s->property, &v);
    const bool same = v.outcome == ANY_BROKEN && strcmp(v.rule, s->verdict->rule) == 0;
    if (same)
        *s->verdict = v;
    return same;
}

/* One pass over all that is left, large groups before what is in them. */
static bool prune(struct shrinking *s)
{
    bool any = false;
    for (int i = 0; i < s->text->count;) {
        struct any_item *item = &s->text->item[i];
        if (!item->gone) {
            item->gone = true;
            item->gone = still(s);
            any = any || item->gone;
        }
        i += item->gone ? item->size : 1;
    }
    return any;
}

/* Halves the run while it still breaks. */
static void shorten(struct shrinking *s)
{
    const int i = any_said(s->text, "length");
    struct any_item *item = &s->text->item[i];
    if (i < 0 || item->gone || strstr(item->value, "days") == NULL)
        return;
    for (double days = strtod(item->value + 1, NULL) / 2.0; days > 60.0 / DAY; days /= 2.0) {
        const struct any_item before = *item;
        snprintf(item->value, sizeof item->value, "\"%.3g days\"", days);
        if (!still(s)) {
            *item = before;
            return;
        }
    }
}

void any_shrink(struct any_text *t, any_property *property, struct any_verdict *v)
{
    struct shrinking s = { t, property, v, 0 };
    shorten(&s); /* first, so that the rest is quick */
    while (prune(&s))
        ;
    shorten(&s);
}

/* ---- many ---------------------------------------------------------------------------------------
 */

/* Judges the seed and adds it to the sums; the seed moves on unless it broke. */
static void take(struct any_share *s, unsigned long step, any_property *property)
{
    static struct any_text text;
    s->verdict = (struct any_verdict){ .outcome = ANY_SOUND };
    alarm(PATIENCE);
    any_make(s->seed, &text);
    any_judge(&text, property, &s->verdict);
    const struct any_verdict *v = &s->verdict;
    s->tried++;
    s->refused += v->outcome == ANY_REFUSED;
    s->cut += v->cut;
    s->worst = fmax(s->worst, v->worst);
    s->steps += v->steps;
    s->parcels += v->parcels;
    if (v->outcome != ANY_BROKEN)
        s->seed += step;
}

void any_share(struct any_share *s, unsigned long step, unsigned long end, any_property *property)
{
    struct any_share *there = shared(sizeof *there);
    *there = *s;
    fflush(NULL);
    const pid_t child = fork();
    if (child == 0) {
        there->verdict.outcome = ANY_SOUND;
        while (there->seed < end && there->verdict.outcome != ANY_BROKEN)
            take(there, step, property);
        _exit(0);
    }
    await(child, &there->verdict);
    *s = *there;
    munmap(there, sizeof *there);
}
