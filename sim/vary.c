/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * vary: see vary.h.  Points are computed in the unit that was written, and written down again with
 * it: so a row is the run of a --set that a person could have given.
 */
#include "vary.h"

#include <ctype.h>
#include <math.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include "text.h"

#define EXAMPLE "such as --vary 'feed.pressure=30..70 psi/9'"

enum { TEXT_MOST = 4096 };

__attribute__((format(printf, 2, 3))) static bool refuse(char words[VARY_WORDS], const char *format,
                                                         ...)
{
    va_list args;
    va_start(args, format);
    vsnprintf(words, VARY_WORDS, format, args);
    va_end(args);
    return false;
}

/* Without the blanks, and the pair of quotes, around it. */
static char *trim(char *text)
{
    while (isspace((unsigned char)*text))
        text++;
    size_t n = strlen(text);
    while (n > 0 && isspace((unsigned char)text[n - 1]))
        text[--n] = '\0';
    if (n >= 2 && text[0] == '"' && text[n - 1] == '"') {
        text[n - 1] = '\0';
        return trim(text + 1);
    }
    return text;
}

/* A number and the unit behind it. */
static bool split(const char *text, double *number, const char **unit)
{
    const char *end = NULL;
    if (!units_number(text, number, &end))
        return false;
    while (isspace((unsigned char)*end))
        end++;
    *unit = end;
    return true;
}

/* ---- points -----------------------------------------------------------------------------------
 */

static void put(const struct vary *v, double number, struct vary_point *out)
{
    out->number = number;
    snprintf(out->word, VARY_WORD, "%.12g%s%.40s", number, v->unit[0] ? " " : "", v->unit);
}

void vary_at(const struct vary *v, double share, struct vary_point *out)
{
    const double number =
        v->log ? v->from * pow(v->to / v->from, share) : v->from + (v->to - v->from) * share;
    put(v, number, out);
    out->number = strtod(out->word, NULL);
}

static void put_points(struct vary *v)
{
    for (int i = 0; i < v->count; i++)
        vary_at(v, i / (v->count - 1.0), &v->point[i]);
    put(v, v->from, &v->point[0]);
    put(v, v->to, &v->point[v->count - 1]);
}

/* ---- a range ----------------------------------------------------------------------------------
 */

/* Cuts "log" off the end, and what stands before it. */
static void take_log(struct vary *v, char *text)
{
    const size_t n = strlen(text);
    if (n < 4 || strcmp(text + n - 3, "log") != 0)
        return;
    const char before = text[n - 4];
    v->log = isspace((unsigned char)before) || isdigit((unsigned char)before) || before == '/';
    if (v->log)
        text[n - 3] = '\0';
}

/* Cuts "/9" off the end; units have a stroke, too.  False: there is none, *count is as it was. */
static bool take_count(char *text, long *count)
{
    char *stroke = strrchr(text, '/');
    if (!stroke)
        return false;
    const char *digits = trim(stroke + 1);
    char *end;
    const long number = strtol(digits, &end, 10);
    if (*end != '\0' || digits == end)
        return false;
    *count = number;
    *stroke = '\0';
    return true;
}

static bool read_count(struct vary *v, char *text, bool sampled, char words[VARY_WORDS])
{
    long count = 0;
    text = trim(text);
    take_log(v, text);
    const bool given = take_count(text, &count);
    if (sampled && given)
        return refuse(words, "with --sample a range has no number of points: %s=FROM..TO", v->key);
    if (!sampled && !given)
        return refuse(words, "how many points?  Write %s=FROM..TO/N, " EXAMPLE, v->key);
    if (given && (count < 2 || count > VARY_POINTS))
        return refuse(words, "%s: a range has 2 to %d points, both ends among them, not %ld%s",
                      v->key, VARY_POINTS, count,
                      count == 1 ? "; for one value there is --set" : "");
    v->count = (int)count;
    return true;
}

static bool read_ends(struct vary *v, char *from, char *to, char words[VARY_WORDS])
{
    const char *unit = "", *other = "";
    from = trim(from);
    to = trim(to);
    const size_t n = strlen(to);
    if (from[0] == '"' && n > 0 && to[n - 1] == '"') { /* "30..70 psi" */
        from++;
        to[n - 1] = '\0';
    }
    if (!split(from, &v->from, &other) || !split(to, &v->to, &unit))
        return refuse(words, "%s: both ends of a range are numbers, " EXAMPLE, v->key);
    if (strlen(unit) > 40)
        return refuse(words, "%s: \"%.60s\" is no unit", v->key, unit);
    if (other[0] != '\0' && strcmp(other, unit) != 0)
        return refuse(words, "%s: both ends need the same unit, not \"%.40s\" and \"%.40s\"",
                      v->key, other, unit);
    snprintf(v->unit, sizeof v->unit, "%s", unit);
    if (!(v->from < v->to))
        return refuse(words, "%s: a range goes from the less to the more: %.6g..%.6g has no inside",
                      v->key, v->from, v->to);
    if (v->log && !(v->from > 0.0))
        return refuse(words, "%s: steps by ratios (log) need both ends above 0", v->key);
    if (!isfinite(v->log ? v->to / v->from : v->to - v->from))
        return refuse(words, "%s: the ends of a range are too far apart: %.6g..%.6g", v->key,
                      v->from, v->to);
    return true;
}

static bool read_range(struct vary *v, char *from, char *to, bool sampled, char words[VARY_WORDS])
{
    v->range = v->numbers = true;
    if (!read_count(v, to, sampled, words) || !read_ends(v, from, to, words))
        return false;
    if (v->count > 0)
        put_points(v);
    return true;
}

/* ---- a list -----------------------------------------------------------------------------------
 */

/* The unit behind the last number counts for those that have none. */
static void spread_unit(struct vary *v)
{
    double number;
    const char *unit = "";
    v->numbers = true;
    for (int i = 0; i < v->count; i++)
        v->numbers = split(v->point[i].word, &number, &unit) && v->numbers;
    v->numbers = v->numbers && strlen(unit) <= 40; /* longer is none: the scenario will say so */
    if (!v->numbers)
        return;
    snprintf(v->unit, sizeof v->unit, "%s", unit);
    for (int i = 0; i < v->count; i++) {
        struct vary_point *p = &v->point[i];
        split(p->word, &p->number, &unit);
        if (unit[0] == '\0')
            put(v, p->number, p);
        else if (strcmp(unit, v->unit) != 0)
            v->numbers = false; /* numbers of two units have no order that we would see */
    }
}

static bool read_list(struct vary *v, char *rest, char words[VARY_WORDS])
{
    for (char *item; (item = strsep(&rest, ",")) != NULL;) {
        item = trim(item);
        if (item[0] == '\0')
            return refuse(words, "%s: a value is missing; write %s=A,B,C, or a range, " EXAMPLE,
                          v->key, v->key);
        if (v->count == VARY_POINTS)
            return refuse(words, "%s: %d values at most", v->key, VARY_POINTS);
        if (strchr("{([", item[0]))
            return refuse(words, "%s: a list or group is no value of --vary; say it by --set",
                          v->key);
        struct vary_point *p = &v->point[v->count++];
        p->number = NAN;
        if (!text_copy(p->word, VARY_WORD, item))
            return refuse(words, "%s: \"%.40s...\" is too long for a value", v->key, item);
        for (int i = 0; i + 1 < v->count; i++)
            if (strcmp(v->point[i].word, item) == 0)
                return refuse(words, "%s: \"%s\" stands there twice", v->key, item);
    }
    if (v->count < 2)
        return refuse(words,
                      "%s: one value is no sweep: there is --set for that; or a range, " EXAMPLE,
                      v->key);
    spread_unit(v);
    return true;
}

/* -----------------------------------------------------------------------------------------------
 */

bool vary_parse(const char *text, bool sampled, struct vary *out, char words[VARY_WORDS])
{
    char copy[TEXT_MOST];
    memset(out, 0, sizeof *out);
    const char *equals = strchr(text, '=');
    if (!equals || equals == text)
        return refuse(words, "--vary needs KEY=FROM..TO/N or KEY=A,B,C, " EXAMPLE);
    if (equals - text >= PATH_LENGTH || !text_copy(copy, sizeof copy, equals + 1))
        return refuse(words, "what --vary says is too long");
    snprintf(out->key, sizeof out->key, "%.*s", (int)(equals - text), text);
    char *dots = strstr(copy, "..");
    if (!dots)
        return sampled
                   ? refuse(words, "%s: --sample needs a range: %s=FROM..TO", out->key, out->key)
                   : read_list(out, copy, words);
    *dots = '\0';
    return read_range(out, copy, dots + 2, sampled, words);
}
