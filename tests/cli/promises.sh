#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# docs/promises.md: every test that it names is there (files, scripts, functions of Criterion), and in the gate that
# it says: a script of the short gate (S) is not one that only the others run.
root=$(cd "$(dirname "$0")/../.." && pwd) || exit 64
page=${PROMISES:-$root/docs/promises.md}
cd "$root" || exit 70
passed=0
failed=0

# verdict WORDS: a case; failed if there are words.
verdict() {
    if [ -z "$2" ]; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        echo "FAILED: $1: $2"
    fi
}

# Of the rows of the tables the cells with tests: a line "ROW LEVEL NAME" for each name in them.
names() {
    awk -F'|' '/^\| [0-9]+ \|/ {
        row = $2 + 0
        level = "-"
        n = split($4, part, "`")
        for (i = 1; i <= n; i++) {
            if (i % 2 == 0) {
                print row, level, part[i]
                continue
            }
            m = split(part[i], word, /[^A-Za-z]+/)
            for (k = 1; k <= m; k++)
                if (word[k] ~ /^[SML]$/)
                    level = word[k]
        }
    }' "$page"
}

# Where a name leads: files, one a line.
found() {
    case $1 in
    test_*) ls "tests/$1.c" ;;
    */* | *.sh) ls -d tests/$1 || ls -d $1 ;;
    *) ls "tests/$1.c" || grep -lE "^Test\([a-z_]+, $(echo "$1" | sed 's/\*/[a-z_0-9]*/g')[,)]" tests/*.c tests/published/*.c ;;
    esac 2>/dev/null
}

# The gate of a script.
gate_of() {
    case $1 in
    tests/medium/* | tests/peers/* | tests/browser/*) echo M ;;
    tests/long/* | tests/mutants/*) echo L ;;
    *) if grep -qE '^# (release|medium)$' "$1"; then echo M; else echo S; fi ;;
    esac
}

names >"${TMPDIR:-/tmp}/promises.$$"
trap 'rm -f "${TMPDIR:-/tmp}/promises.$$"' EXIT
while read -r row level name; do
    case $name in
    -*) continue ;;      # an option of a compiler
    *[_/.]*) ;;
    *) continue ;;       # a word
    esac
    where=$(found "$name")
    verdict "row $row: \`$name\` is there" "$([ -n "$where" ] || echo "no such file, and no such test in tests/")"
    case $where in
    *.sh) verdict "row $row: \`$name\` is in gate $level" \
        "$([ "$level" = - ] || [ "$(gate_of "$where")" = "$level" ] || echo "it is in $(gate_of "$where")")" ;;
    esac
done <"${TMPDIR:-/tmp}/promises.$$"
rows=$(cut -d' ' -f1 "${TMPDIR:-/tmp}/promises.$$" | sort -un | wc -l)
verdict "every row names a test" "$([ "$rows" = 28 ] || echo "$rows of 28 do")"
echo "$passed passed, $failed failed"
[ $failed = 0 ]
