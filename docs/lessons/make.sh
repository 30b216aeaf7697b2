#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Makes the pages of the lessons from docs/lessons/src/, with the numbers of real runs.  From any folder:
#   sh docs/lessons/make.sh LEAT FOLDER      LEAT is the program
#   sh docs/lessons/make.sh LEAT --renew     into docs/lessons/ itself; say in the commit why numbers moved
#
# A lesson N-name has three sources: N-name.md (pupil), N-name-run.md (what the run shows) and
# N-name-answers.md (teacher).  The commands are the lines of the pupil's page that begin with
# "    build/leat ", in their order, and what "@run COMMAND" adds; the K-th leaves its screen in K.txt.
# In all three stand:
#   @{FILE|EXPRESSION|FORMAT}    a number: jq's EXPRESSION on a .json file, on several as a list, or on the
#                                rows of a .csv file;
#                                of a screen EXPRESSION is WORDS, then FORMAT|FIELD: that word of the
#                                first line that holds WORDS
#   @command K                   the K-th command
#   @show K LABEL...             paragraphs of its screen that begin so ("_" stands for a space)
#   @line K WORDS                its lines that hold WORDS
#   @figure FILE NAME WORDS...   a picture of the run, kept as images/NAME.svg, and what it shows in words
# Any complaint ends it with status 1.
set -u
export LC_ALL=C.UTF-8

lessons=$(cd "$(dirname "$0")" && pwd) || exit 1
project=$(cd "$lessons/../.." && pwd) || exit 1

fail() {
    echo "lessons: $*" >&2
    exit 1
}

[ $# = 2 ] || fail "usage: sh docs/lessons/make.sh LEAT FOLDER|--renew"
leat=$(realpath "$1") && [ -x "$leat" ] || fail "no program: $1"
command -v jq >/dev/null || fail "jq is missing: sh tests/install.sh test"
case $2 in
--renew) out=$lessons ;;
*) mkdir -p "$2" && out=$(cd "$2" && pwd) || fail "no folder: $2" ;;
esac
mkdir -p "$out/images" || exit 1
work=$(mktemp -d) || exit 1
trap 'rm -rf "$work"' EXIT

# jq: a number in N digits that count.
digits='def digits(n): if . == 0 then 0 else . as $x | ($x | fabs | log10 | floor) as $e
    | pow(10; n - 1 - $e) as $f | ($x * $f | round) / $f end;'
# jq: a value of the answer of check, in SI units.
value_of='def value_of(key): .values[] | select(.path == key) | .si;'
# jq: rows of a CSV file as objects.
rows='split("\n") | map(select(length > 0 and (startswith("#") | not)) | split(",")) | .[0] as $head
    | [.[1:][] | [$head, .] | transpose | map({(.[0]): (.[1] | tonumber? // .)}) | add] |'

# Runs the commands of lesson $1 in a folder of its own, $bench, that looks like the project's.
run_all() {
    bench=$work/$1
    mkdir -p "$bench/build" "$bench/results" || exit 1
    ln -s "$leat" "$bench/build/leat"
    ln -s "$project/scenarios" "$bench/scenarios"
    {
        grep '^    build/leat ' "$lessons/src/$1.md" | sed 's/^ *//'
        sed -n 's/^@run //p' "$lessons/src/$1.md" "$lessons/src/$1-run.md" "$lessons/src/$1-answers.md"
    } >"$bench/commands"
    k=0
    while IFS= read -r line; do
        k=$((k + 1))
        (cd "$bench" && sh -c "$line" >$k.txt 2>$k.err </dev/null)
        status=$?
        [ $status -le 1 ] || fail "$1: status $status of: $line
$(cat "$bench/$k.err")"
    done <"$bench/commands"
}

# The value of one mark, without its @{ and }.
value() {
    file=${1%%|*}
    rest=${1#*|}
    words=${rest%|*}
    form=${rest##*|}
    cd "$bench" || exit 1
    case $file in
    *' '*)
        # shellcheck disable=SC2086 # several files
        got=$(jq -s -r "$digits $value_of $words" $file)
        ;;
    *.json) got=$(jq -r "$digits $value_of $words" "$file") ;;
    *.csv) got=$(jq -R -s -r "$digits $rows $words" "$file") ;;
    *)
        field=$form
        form=${words##*|}
        got=$(grep -F -m 1 -e "${words%|*}" "$file" | awk -v n="$field" '{ print $n }' | tr -d '(),;')
        ;;
    esac || fail "$page: @{$1}"
    case $got in '' | null | *[!0-9.eE+-]*) fail "$page: no number, but \"$got\": @{$1}" ;; esac
    printf "$form" "$got"
}

# Paragraphs of a screen: from a line that begins with a label to the next that is not indented.
show() {
    screen=$bench/$1.txt
    shift
    for label in "$@"; do
        awk -v label="$(echo "$label" | tr _ ' ')" '
            index($0, label) == 1 { on = 1; print "    " $0; found = 1; next }
            on && /^ / { print "    " $0; next }
            { on = 0 }
            END { exit !found }' "$screen" || fail "$page: no \"$label\" in $screen"
    done
}

# Keeps a picture, and the hash of the data it was drawn from: that does not hang on the gnuplot there is.
figure() {
    file=$bench/$1
    name=$2
    shift 2
    [ -s "$file" ] || fail "$page: no picture $file"
    cp "$file" "$out/images/$name.svg" || exit 1
    echo "$(sha256sum <"${file%.svg}.dat" | cut -d' ' -f1)  $name" >>"$work/hashes"
    printf '![%s](images/%s.svg)\n' "$*" "$name" | fold -s -w 118 | sed 's/ *$//'
}

# Numbers in place of the marks; paragraphs that had marks are filled anew.
numbers() {
    grep -o '@{[^}]*}' "$1" | sort -u | while IFS= read -r mark; do
        inner=${mark#@\{}
        got=$(value "${inner%\}}") || exit 1
        printf '%s\t%s\n' "$mark" "$got"
    done >"$work/values" || exit 1
    marks=$(grep -o '@{[^}]*}' "$1" | sort -u | wc -l)
    [ "$(wc -l <"$work/values")" = "$marks" ] || exit 1
    awk -F '\t' -v wide=118 -v values="$work/values" '
        # A paragraph, or an item of a list, into lines of its own width; further lines are indented.
        function fill(text, indent,    word, n, i, line) {
            n = split(text, word, " ")
            line = word[1]
            for (i = 2; i <= n; i++)
                if (length(line " " word[i]) > wide && word[i] !~ /^([-+*#>]|[0-9]+[.)])$/) {
                    print line
                    line = sprintf("%*s", indent, "") word[i]
                } else
                    line = line " " word[i]
            print line
        }
        function flush_block(    i, text, indent, list) {
            list = block[1] ~ /^(-|[0-9]+\.) /
            if (moved && block[1] !~ /^( {4}|[|#!])/) {
                for (i = 1; i <= lines; i++) {
                    if (i > 1 && list && block[i] ~ /^(-|[0-9]+\.) /) {
                        fill(text, indent)
                        text = ""
                    }
                    if (text == "")
                        indent = !list ? 0 : block[i] ~ /^- / ? 2 : 3
                    text = text == "" ? block[i] : text " " block[i]
                }
                fill(text, indent)
            } else
                for (i = 1; i <= lines; i++)
                    print block[i]
            lines = moved = 0
        }
        BEGIN { while ((getline < values) > 0) value[$1] = $2 }
        /^$/ { flush_block(); print; next }
        {
            for (mark in value)
                while ((at = index($0, mark)) > 0) {
                    $0 = substr($0, 1, at - 1) value[mark] substr($0, at + length(mark))
                    moved = 1
                }
            block[++lines] = $0
        }
        END { flush_block() }' "$1"
}

# One page: what begins with @ is carried out, then the numbers are put in.
make_page() {
    page=$1
    while IFS= read -r line; do
        case $line in
        '@run '*) ;;
        '@command '*) echo "    $(sed -n "${line#@command }p" "$bench/commands")" ;;
        '@show '*)
            # shellcheck disable=SC2086 # several words
            show ${line#@show } || exit 1
            ;;
        '@line '*)
            rest=${line#@line }
            grep -F -e "${rest#* }" "$bench/${rest%% *}.txt" | sed 's/^/    /' | grep . ||
                fail "$page: no line for $line"
            ;;
        '@figure '*)
            # shellcheck disable=SC2086 # several words
            figure ${line#@figure } || exit 1
            ;;
        *) printf '%s\n' "$line" ;;
        esac
    done <"$lessons/src/$page.md" >"$work/whole" || exit 1
    cat -s "$work/whole" >"$work/text"
    numbers "$work/text" >"$out/$page.md.new" || fail "$page: not made"
    mv "$out/$page.md.new" "$out/$page.md"
}

for source in "$lessons"/src/[0-9]*-run.md; do
    lesson=$(basename "$source" -run.md)
    run_all "$lesson"
    for page in "$lesson" "$lesson-run" "$lesson-answers"; do
        make_page "$page"
    done
    [ "${QUIET-}" ] || echo "$lesson"
done
sort -k 2 "$work/hashes" >"$out/images/data.sha256"
