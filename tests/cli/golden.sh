#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Screens and answers against stored ones.  A screen of `check` must be the same to the letter and keep to 80
# columns; a number of a summary must agree to 1e-6 of itself (readings are rounded, times located).
#   golden.sh LEAT                  compares
#   golden.sh LEAT --renew "WHY"    writes them anew, prints the largest change of each, and keeps the reason with
#                                   compiler and libraries in tests/golden/renewed.txt
set -u
leat=$1
if [ "${2-}" = --renew ] && [ -z "${3-}" ]; then
    echo "golden.sh: answers do not move without a reason: golden.sh LEAT --renew \"why they moved\"" >&2
    exit 64
fi
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

largest() { # STORED NEW: the number that moved most, over its own size
    join "$1" "$2" | awk '
        $2 == $3 || $2 == "null" || $3 == "null" { next }
        { d = $2 - $3; s = $2 < 0 ? -$2 : $2; if (d < 0) d = -d; d /= s > 1e-12 ? s : 1e-12
          if (d > most) { most = d; what = $0 } }
        END { if (most > 0) printf "%s (%.1e of itself)", what, most; else printf "no number" }'
}

# reason NAME WORDS: what is kept of a renewal.
reason() {
    built=$(sed -n 's/.*"compiler": "\(.*\)".*/\1/p; s/.*"\(gsl\|libconfig\|jansson\)": "\(.*\)".*/\1 \2/p' "$work/$1/manifest.json" | paste -sd ' ')
    echo "$(date -u +%F) $1: $3; moved most: $2; $built" >>tests/golden/renewed.txt
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
        moved=$(largest "tests/golden/$name.numbers" "$work/$name.numbers" 2>/dev/null)
        echo "$name: moved most: $moved"
        if [ "$moved" != "no number" ] || ! cmp -s "$work/$name.check" "tests/golden/$name.check"; then
            reason "$name" "$moved" "$3"
        fi
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
