#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Screens and answers against stored ones.  A screen of `check` must be the same to the letter and keep to 80
# columns; a number of a summary must agree to 1e-6 of itself (readings are rounded, times located).
#   golden.sh LEAT            compares
#   golden.sh LEAT --renew    writes them anew; say in the commit why they moved
set -u
leat=$1
cd "$(dirname "$0")/../.." || exit 1
passed=0
failed=0
work=$(mktemp -d) || exit 70
trap 'rm -rf "$work"' EXIT

verdict() { # STATUS WORDS
    if [ "$1" = 0 ]; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        echo "not ok: $2"
    fi
}

# Path and number of every number in a JSON file, one a line.
numbers() {
    awk '
        { line = $0; gsub(/^[ \t]+/, "", line) }
        line ~ /^"[^"]*": *\{/ { split(line, part, "\""); depth++; name[depth] = part[2]; next }
        line ~ /^\}/ { depth--; next }
        line ~ /^"[^"]*": *(-?[0-9]|null)/ {
            split(line, part, "\"")
            value = part[3]; gsub(/[:, ]/, "", value)
            path = ""
            for (i = 1; i <= depth; i++) path = path name[i] "."
            print path part[2], value
        }' "$1" | grep -v '^balance_relative_error'
}

compare() { # STORED NEW: prints the numbers that differ by more than 1e-6 of themselves
    join "$1" "$2" | awk '
        $2 == $3 { next }
        $2 == "null" || $3 == "null" { print; next }
        { d = $2 - $3; s = $2 < 0 ? -$2 : $2; if (d < 0) d = -d; if (d > 1e-6 * s + 1e-9) print }'
}

for scenario in tests/golden/dozen.cfg scenarios/*.cfg; do
    name=$(basename "$scenario" .cfg)
    "$leat" check "$scenario" >"$work/$name.check" 2>"$work/$name.talk" </dev/null
    verdict $? "check $scenario"
    long=$(awk 'length > 80' "$work/$name.check" | head -n 1) # complaints are as long as a path is
    [ -z "$long" ]
    verdict $? "a line over 80 columns: $long"
    "$leat" run "$scenario" -o "$work/$name" --no-figures --set 'clock.length="25 days"' \
        --set 'events=()' >/dev/null 2>"$work/$name.talk" </dev/null
    [ $? -le 1 ]
    verdict $? "run $scenario: $(cat "$work/$name.talk")"
    numbers "$work/$name/summary.json" | sort >"$work/$name.numbers"
    if [ "${2-}" = --renew ]; then
        cp "$work/$name.check" "tests/golden/$name.check"
        cp "$work/$name.numbers" "tests/golden/$name.numbers"
        continue
    fi
    diff "tests/golden/$name.check" "$work/$name.check"
    verdict $? "the screen of check $scenario moved"
    cut -d' ' -f1 "tests/golden/$name.numbers" >"$work/a"
    cut -d' ' -f1 "$work/$name.numbers" >"$work/b"
    diff "$work/a" "$work/b"
    verdict $? "the summary of $scenario has other keys"
    moved=$(compare "tests/golden/$name.numbers" "$work/$name.numbers")
    [ -z "$moved" ]
    verdict $? "answers of $scenario moved (stored, now):
$moved"
done
"$leat" keys -q >"$work/keys.md"
diff docs/keys.md "$work/keys.md"
verdict $? "docs/keys.md is not what the program prints: leat keys >docs/keys.md"
"$leat" check scenarios/demo.cfg --format csv | head -n 1 | grep -q '^path,value,si,from$'
verdict $? "check --format csv"
"$leat" check scenarios/demo.cfg --format json | grep -q '"middle_L"'
verdict $? "check --format json"

echo "$passed passed, $failed failed"
[ $failed = 0 ]
