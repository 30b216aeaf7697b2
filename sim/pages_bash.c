/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * pages_bash: the completion of bash.  Tables become functions that print words; one constant
 * function uses them.  Page: docs/commands.md.
 *
 * File names go through compgen and are marked as such, so that readline quotes them; nothing of
 * them is evaluated.  No program is run but head, on the tables of a results folder.
 */
#include <string.h>

#include "embed.h"
#include "pages.h"
#include "scenario.h"
#include "verbs.h"

/* ---- tables -----------------------------------------------------------------------------------
 */

static void put_verbs(FILE *out)
{
    fputs("_leat_verbs='", out);
    for (int i = 0; verbs[i].name; i++)
        fprintf(out, "%s%s", i ? " " : "", verbs[i].name);
    fputs(" help'\n\n", out);
}

static void see_name(void *self, const struct options_words *w)
{
    if (w->letter)
        fprintf(self, " -%c", w->letter);
    fprintf(self, " --%s", w->name);
}

static void put_options(FILE *out)
{
    fputs("# _leat_options VERB: the options that it takes\n_leat_options() {\n    case $1 in\n",
          out);
    for (int i = 0; verbs[i].name; i++) {
        fprintf(out, "    %s) echo '", verbs[i].name);
        options_each(&verbs[i], see_name, out);
        fputs("' ;;\n", out);
    }
    fputs("    esac\n}\n\n", out);
}

struct arguments {
    const char *verb;
    FILE *out;
};

/* "check:--format) echo 'words table csv json'": what kind of argument, and which there are. */
static void see_argument(void *self, const struct options_words *w)
{
    const struct arguments *a = self;
    if (!w->argument)
        return;
    fprintf(a->out, "    %s:--%s", a->verb, w->name);
    if (w->letter)
        fprintf(a->out, " | %s:-%c", a->verb, w->letter);
    fprintf(a->out, ") echo '%s%s%s' ;;\n",
            w->values                          ? "words"
            : strcmp(w->argument, "FILE") == 0 ? "page" /* an option's FILE is one to be made */
                                               : w->argument,
            w->values ? " " : "", w->values ? w->values : "");
}

static void put_arguments(FILE *out)
{
    fputs("# _leat_argument VERB:OPTION: what follows it\n_leat_argument() {\n    case $1 in\n",
          out);
    for (int i = 0; verbs[i].name; i++) {
        struct arguments a = { verbs[i].name, out };
        options_each(&verbs[i], see_argument, &a);
    }
    fputs("    esac\n}\n\n", out);
}

static void put_operands(FILE *out)
{
    fputs("# _leat_operand VERB: what stands behind it, and behind that\n"
          "_leat_operand() {\n    case $1 in\n",
          out);
    for (int i = 0; verbs[i].name; i++)
        if (verbs[i].operand)
            fprintf(out, "    %s) echo '%s %s' ;;\n", verbs[i].name, verbs[i].operand,
                    verbs[i].rest   ? verbs[i].rest
                    : verbs[i].many ? verbs[i].operand
                                    : "");
    fputs("    esac\n}\n\n", out);
}

static void put_scenarios(FILE *out)
{
    fputs("_leat_scenarios='", out);
    for (const struct embedded *e = embedded_scenarios; e->name; e++)
        fprintf(out, "%s%.*s", e == embedded_scenarios ? "" : " ", (int)strcspn(e->name, "."),
                e->name);
    fputs("'\n\n", out);
}

/* Keys that --set and --vary take; of a list those of its first entry. */
static void put_keys(FILE *out)
{
    static const char *const lists[] = { "draws", "events", "visits" };
    int column = 0;
    fputs("_leat_keys='", out);
    for (const struct scenario_table *t = scenario_tables; t->path; t++) {
        bool list = false;
        for (size_t i = 0; i < sizeof lists / sizeof *lists; i++)
            list |= strcmp(lists[i], t->path) == 0;
        for (const struct field *f = t->fields; f->key; f++)
            column = fprintf(out, "%s%s.%s%s", column == 0 ? "" : "\n", t->path, list ? "1." : "",
                             f->key);
    }
    fputs("'\n\n", out);
}

/* ---- the function -----------------------------------------------------------------------------
 */

static const char *const function[] = {
    "# _leat_words WORDS: those that begin as what is typed",
    "_leat_words() {",
    "    mapfile -t COMPREPLY < <(compgen -W \"$1\" -- \"$cur\")",
    "}",
    "",
    "# _leat_files PATTERN: files that end so, and folders; folders alone without one.  What is "
    "typed may be",
    "# quoted already.",
    "_leat_files() {",
    "    local typed=$cur",
    "    case $typed in",
    "    \\'* | \\\"*) typed=${typed:1} ;;",
    "    *) typed=${typed//\\\\/} ;;",
    "    esac",
    "    compopt -o filenames 2>/dev/null",
    "    mapfile -t COMPREPLY < <(",
    "        compgen -d -- \"$typed\"",
    "        [ -z \"$1\" ] || compgen -f -X \"!*$1\" -- \"$typed\" | while IFS= read -r name; do",
    "            [ -d \"$name\" ] || printf '%s\\n' \"$name\"",
    "        done",
    "    )",
    "}",
    "",
    "# _leat_channels DIR: heads of the tables there, of plain letters only",
    "_leat_channels() {",
    "    local folder=$1 file",
    "    case $folder in",
    "    \\'* | \\\"*) folder=${folder:1:${#folder}-2} ;;",
    "    *) folder=${folder//\\\\/} ;;",
    "    esac",
    "    [ -f \"$folder/manifest.json\" ] || return",
    "    for file in \"$folder\"/*.csv; do",
    "        [ -f \"$file\" ] && head -c 4096 -- \"$file\" | head -n 1 | tr -d '\"\\r' | tr ',' "
    "'\\n' |",
    "            grep -E '^[A-Za-z0-9_.]+$' | grep -vxE "
    "'day|hour|second|depth_cm|date|kind|part|words|key'",
    "    done",
    "}",
    "",
    "# _leat_kind KIND ...: completes an argument of this kind",
    "_leat_kind() {",
    "    case $1 in",
    "    words) _leat_words \"${*:2}\" ;;",
    "    FILE) _leat_files .cfg ;;",
    "    page) _leat_files .html ;;",
    "    DIR | DIR...) _leat_files '' ;;",
    "    KEY=*)",
    "        _leat_words \"$_leat_keys\"",
    "        compopt -o nospace 2>/dev/null",
    "        COMPREPLY=(\"${COMPREPLY[@]/%/=}\")",
    "        ;;",
    "    esac",
    "}",
    "",
    "_leat() {",
    "    local cur=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]} "
    "verb=${COMP_WORDS[1]-}",
    "    local i kind word operand='' count=0",
    "    COMPREPLY=()",
    "    if [ \"$COMP_CWORD\" = 1 ]; then",
    "        _leat_words \"$_leat_verbs --help --version --usage\"",
    "        return",
    "    fi",
    "    # \"--format=csv\" comes as three words",
    "    case $cur in = | :) cur='' ;; esac",
    "    if [ \"$before\" = = ] || [ \"${COMP_WORDS[COMP_CWORD]}\" = = ]; then",
    "        i=$((COMP_CWORD - 1))",
    "        [ \"$before\" != = ] || i=$((COMP_CWORD - 2))",
    "        case ${COMP_WORDS[i]} in -*) ;; *) return ;; esac # the value of a key",
    "    fi",
    "    [ \"$before\" != = ] || before=${COMP_WORDS[COMP_CWORD-2]}",
    "    kind=$(_leat_argument \"$verb:$before\")",
    "    if [ \"$verb:$before\" = new:--from ]; then",
    "        _leat_words \"$_leat_scenarios\"",
    "        return",
    "    fi",
    "    if [ -n \"$kind\" ]; then",
    "        # shellcheck disable=SC2086 # several words",
    "        _leat_kind $kind",
    "        return",
    "    fi",
    "    case $cur in",
    "    -*)",
    "        _leat_words \"$(_leat_options \"$verb\")\"",
    "        return",
    "        ;;",
    "    esac",
    "    for ((i = 2; i < COMP_CWORD; i++)); do",
    "        word=${COMP_WORDS[i]}",
    "        case $word in",
    "        = | -*) continue ;;",
    "        esac",
    "        [ \"${COMP_WORDS[i-1]}\" != = ] || continue",
    "        [ -z \"$(_leat_argument \"$verb:${COMP_WORDS[i-1]}\")\" ] || continue",
    "        [ \"$count\" -gt 0 ] || operand=$word",
    "        count=$((count + 1))",
    "    done",
    "    kind=$(_leat_operand \"$verb\")",
    "    if [ \"$count\" = 0 ]; then",
    "        _leat_kind \"${kind%% *}\"",
    "    elif [ \"${kind#* }\" = '[CHANNEL...]' ]; then",
    "        _leat_words \"$(_leat_channels \"$operand\")\"",
    "    elif [ -n \"${kind#* }\" ]; then",
    "        _leat_kind \"${kind#* }\"",
    "    fi",
    "}",
    "",
    "complete -F _leat leat",
    NULL,
};

void pages_bash(FILE *out)
{
    fputs("# shellcheck shell=bash\n"
          "# Completion of leat for bash, made by leat_pages from the tables of the program; do "
          "not edit.\n\n",
          out);
    put_verbs(out);
    put_scenarios(out);
    put_keys(out);
    put_options(out);
    put_arguments(out);
    put_operands(out);
    for (int i = 0; function[i]; i++)
        fprintf(out, "%s\n", function[i]);
}
