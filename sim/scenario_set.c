/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * scenario_set: changes of the command line, --set feed.pressure="50 psi", put into the tree before
 * it is read, so that they are checked like the file.
 */
#include <ctype.h>
#include <stdlib.h>
#include <string.h>

#include "scenario_inner.h"
#include "text.h"

struct set {
    struct loading *l;
    const char *shown; /* "--set feed.pressure=50 psi"; lives as long as the scenario */
    int before;        /* bytes of the path before its present word */
};

static enum status complain(const struct set *s, const char *cure, const char *words)
{
    const struct place place = { .file = s->shown };
    report_add(s->l->reader.report, SEVERITY_ERROR, place, NULL, cure, "%s", words);
    return STATUS_SCENARIO;
}

static void mark(const struct set *s, struct node *n)
{
    n->command_line = true;
    n->key = n->value = (struct place){ .file = s->shown };
    for (struct node *c = n->child; c != NULL; c = c->next)
        mark(s, c);
}

/* Keeps a copy of the change for the places that point to it. */
static const char *keep_words(struct scenario *out, const char *set)
{
    char **words = realloc(out->words, sizeof *words * (size_t)(out->words_count + 1));
    if (words == NULL)
        return NULL;
    out->words = words;
    const size_t size = strlen(set) + sizeof "--set ";
    char *copy = malloc(size);
    if (copy == NULL)
        return NULL;
    snprintf(copy, size, "--set %s", set);
    words[out->words_count++] = copy;
    return copy;
}

/* ---- the value ------------------------------------------------------------------------------- */

/* A list, group or quoted text: parsed as in a file. */
static enum status parse_value(const struct set *s, const char *text, struct node **out)
{
    const size_t size = strlen(text) + sizeof "value = ;";
    char *line = malloc(size);
    if (line == NULL)
        return STATUS_MEMORY;
    snprintf(line, size, "value = %s;", text);
    struct source *source = NULL;
    struct node *root = NULL;
    enum status status = source_scan(s->shown, line, s->l->reader.report, &source);
    if (status == STATUS_OK)
        status = tree_parse(source, s->l->reader.report, &root);
    if (status == STATUS_OK) {
        *out = root->child;
        root->child = root->child->next;
        (*out)->next = NULL;
        mark(s, *out);
    }
    tree_free(root);
    source_free(source);
    free(line);
    return status;
}

/* A bare word: true, a number, or else a text. */
static enum status plain_value(const char *text, struct node **out)
{
    const bool flag = strcmp(text, "true") == 0 || strcmp(text, "false") == 0;
    double number = 0.0;
    const char *end = NULL;
    const bool is_number = units_number(text, &number, &end) && *end == '\0';
    const bool whole = is_number && text[strcspn(text, ".eE")] == '\0';
    struct node *n = tree_add(NULL,
                              flag        ? NODE_FLAG
                              : whole     ? NODE_INTEGER
                              : is_number ? NODE_FLOAT
                                          : NODE_TEXT,
                              NULL);
    *out = n;
    if (n == NULL)
        return STATUS_MEMORY;
    n->flag = strcmp(text, "true") == 0;
    n->number = number;
    if (n->type == NODE_TEXT && (n->text = strdup(text)) == NULL)
        return STATUS_MEMORY;
    return STATUS_OK;
}

static enum status read_value(const struct set *s, const char *text, struct node **out)
{
    *out = NULL;
    size_t bad;
    if (!text_is_utf8(text, strlen(text), &bad))
        return complain(s, NULL, "this is not UTF-8");
    for (const char *p = text; *p != '\0'; p++)
        if (text_control(p, strlen(p)) != TEXT_PLAIN)
            return complain(s, NULL, "a value may not hold control characters");
    return text[0] != '\0' && strchr("{([\"", text[0]) != NULL ? parse_value(s, text, out)
                                                               : plain_value(text, out);
}

/* ---- the path -------------------------------------------------------------------------------- */

/* Makes a stage that is a part's name a group, so that keys can be added. */
static enum status open_stage(struct node *n)
{
    if (n->type != NODE_TEXT)
        return STATUS_OK;
    char *part = n->text;
    n->text = NULL;
    n->type = NODE_GROUP;
    struct node *named = tree_add(n, NODE_TEXT, "part");
    if (named == NULL) {
        free(part);
        return STATUS_MEMORY;
    }
    named->text = part;
    named->key = named->value = n->value;
    return STATUS_OK;
}

/* The only stage of a kind; NULL if there is none or more than one. */
static struct node *only_of_kind(const struct node *list, const char *kind)
{
    struct node *found = NULL;
    for (struct node *n = list->child; n != NULL; n = n->next) {
        const struct stage_kind *k = scenario_train_kind(n);
        if (k == NULL || strcmp(k->name, kind) != 0)
            continue;
        if (found != NULL)
            return NULL;
        found = n;
    }
    return found;
}

static enum status find_stage(const struct set *s, struct node *list, const char *word,
                              struct node **out)
{
    char names[STAGES_MAX][NAME_MAX_LENGTH + 1], words[200], cure[640] = "one of";
    const int count = scenario_train_names(list, names);
    struct nearest near = text_nearest_to(word);
    struct node *n = list->child;
    for (int i = 0; i < count; i++, n = n->next) {
        if (strcmp(names[i], word) == 0) {
            *out = n;
            return open_stage(n);
        }
        text_nearest_try(&near, names[i]);
        text_append(cure, sizeof cure, "%s \"%s\"", i > 0 ? "," : "", names[i]);
    }
    if ((*out = only_of_kind(list, word)) != NULL)
        return open_stage(*out);
    snprintf(words, sizeof words, "no stage is called \"%.60s\"", word);
    if (near.name != NULL)
        text_append(words, sizeof words, ": did you mean \"%s\"?", near.name);
    return complain(s, cure, words);
}

/* An element of another list, by number from 1. */
static enum status find_element(const struct set *s, const struct node *list, const char *word,
                                struct node **out)
{
    char words[160];
    const long number = strtol(word, NULL, 10);
    struct node *n = list->child;
    for (long i = 1; n != NULL && i < number; i++)
        n = n->next;
    *out = n;
    if (number >= 1 && n != NULL)
        return STATUS_OK;
    snprintf(words, sizeof words, "\"%.40s\" is no element of %s, which has %d", word, list->name,
             tree_length(list));
    return complain(s, "count from 1", words);
}

/* Groups of the root that are lists: an element of one that is not there cannot be made. */
static bool is_list(const char *word)
{
    return strcmp(word, "train") == 0 || strcmp(word, "draws") == 0 || strcmp(word, "events") == 0;
}

/* The member `word` of *at, made if it is not there; `last`: of the path. */
static enum status step(const struct set *s, struct node **at, const char *word, bool last)
{
    struct node *n = *at;
    if (n->type == NODE_LIST && n->name != NULL && strcmp(n->name, "train") == 0)
        return find_stage(s, n, word, at);
    if (n->type == NODE_LIST)
        return find_element(s, n, word, at);
    if (n->type != NODE_GROUP) {
        char words[200], cure[PATH_LENGTH + 120];
        snprintf(words, sizeof words, "%s has no key \"%.60s\": it is %s",
                 n->name == NULL ? "the element" : n->name, word, tree_words(n));
        snprintf(cure, sizeof cure, "set it as a whole: --set '%.*s={ %.60s = ...; ... }'",
                 s->before - 1, s->shown + sizeof "--set " - 1, word);
        return complain(s, cure, words);
    }
    struct node *member = (struct node *)reader_find(n, word);
    if (member == NULL && !last && n == s->l->root && is_list(word)) {
        char words[200], cure[120];
        snprintf(words, sizeof words, "this scenario has no %.60s yet", word);
        snprintf(cure, sizeof cure, "set the list as a whole: --set '%.60s=( { ... } )'", word);
        return complain(s, cure, words);
    }
    if (member == NULL && (member = tree_add(n, NODE_GROUP, word)) != NULL)
        mark(s, member);
    *at = member;
    return member == NULL ? STATUS_MEMORY : STATUS_OK;
}

static bool is_word(const char *word)
{
    if (word[0] == '\0')
        return false;
    for (const char *p = word; *p != '\0'; p++)
        if (!isalnum((unsigned char)*p) && strchr("-_", *p) == NULL)
            return false;
    return true;
}

/* The part of `set` before the "=", without blanks behind it; false if it is too long. */
static bool path_of(const char *set, char path[PATH_LENGTH])
{
    const char *end = strchr(set, '=');
    while (end > set && end[-1] == ' ')
        end--;
    if (end - set >= PATH_LENGTH)
        return false;
    snprintf(path, PATH_LENGTH, "%.*s", (int)(end - set), set);
    return true;
}

/* What stands behind the "=", as it would in a file: blanks round it and a semicolon behind it are
 * none of the value.  NULL if memory ran out. */
static char *value_of(const char *set)
{
    const char *value = strchr(set, '=') + 1;
    value += strspn(value, " ");
    size_t length = strlen(value);
    while (length > 0 && value[length - 1] == ' ')
        length--;
    if (length > 0 && value[length - 1] == ';')
        length--;
    while (length > 0 && value[length - 1] == ' ')
        length--;
    return strndup(value, length);
}

/* Warns if an earlier change was of the same path. */
static void warn_of_second(const struct set *s, const char *path)
{
    const size_t intro = sizeof "--set " - 1;
    for (int i = 0; i + 1 < s->l->out->words_count; i++) {
        char other[PATH_LENGTH];
        if (!path_of(s->l->out->words[i] + intro, other) || strcmp(other, path) != 0)
            continue;
        const struct place place = { .file = s->shown };
        report_add(s->l->reader.report, SEVERITY_WARNING, place, NULL, NULL,
                   "%s was set before; this one counts", path);
        return;
    }
}

enum status scenario_set(struct loading *l, const char *set)
{
    struct set s = { .l = l, .shown = keep_words(l->out, set) };
    if (s.shown == NULL)
        return STATUS_MEMORY;
    const char *equals = strchr(set, '=');
    if (equals == NULL || equals == set || strlen(set) > SOURCE_BYTES_MAX)
        return complain(&s, NULL, "write --set group.key=value");
    char path[PATH_LENGTH];
    if (!path_of(set, path))
        return complain(&s, NULL, "the path is too long");
    warn_of_second(&s, path);
    struct node *at = l->root, *value;
    char *rest = path;
    for (char *word; (word = strsep(&rest, ".")) != NULL;) {
        if (!is_word(word))
            return complain(&s, NULL, "a path is words with points between, such as feed.pressure");
        s.before = (int)(word - path);
        TRY(step(&s, &at, word, rest == NULL));
    }
    char *text = value_of(set);
    if (text == NULL)
        return STATUS_MEMORY;
    const enum status status = read_value(&s, text, &value);
    free(text);
    if (status != STATUS_OK) {
        tree_free(value);
        return status;
    }
    tree_take(at, value);
    mark(&s, at);
    return STATUS_OK;
}
