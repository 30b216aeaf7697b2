#!/bin/bash
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Scenarios damaged at random: whatever stands in a file, `leat check` ends in time with a status that means something.
# $LEAT is the build with sanitizers.  DAMAGED in the environment asks for another number of them, SEED for others.
set -u
leat=$(realpath "${1:-${LEAT:?}}") || exit 64
here=$(pwd)
work=$(mktemp -d) || exit 70
trap 'rm -rf "$work"' EXIT
export LC_ALL=C ASAN_OPTIONS="${ASAN_OPTIONS:-detect_leaks=0}:exitcode=99"
RANDOM=${SEED:-1}
passed=0
failed=0
files=("$here"/scenarios/*.cfg "$here"/tests/found/*.cfg)

# One damage, as an awk program over the file: a line lost, doubled, cut short, swapped, a character changed, a number
# made large, negative or nothing, a word of another line put in.
damage() {
    awk -v kind=$((RANDOM % 9)) -v at=$((RANDOM)) -v char=$((RANDOM % 96 + 32)) -v place=$((RANDOM)) '
    { line[NR] = $0 }
    END {
        n = at % NR + 1; m = place % NR + 1
        for (i = 1; i <= NR; i++) {
            s = line[i]
            if (i == n) {
                p = place % (length(s) + 1)
                if (kind == 0) continue
                if (kind == 1) print s
                if (kind == 2) s = substr(s, 1, p)
                if (kind == 3) s = line[m]
                if (kind == 4) s = substr(s, 1, p) sprintf("%c", char) substr(s, p + 2)
                if (kind == 5) gsub(/[0-9.]+/, "1e40", s)
                if (kind == 6) gsub(/[0-9.]+/, "-&", s)
                if (kind == 7) gsub(/[0-9.]+/, "0", s)
                if (kind == 8) s = substr(s, 1, p) substr(line[m], p)
            }
            print s
        }
    }' "$1"
}

for trial in $(seq 1 "${DAMAGED:-600}"); do
    cp "${files[RANDOM % ${#files[@]}]}" "$work/now.cfg"
    for _ in $(seq 0 $((RANDOM % 3))); do
        damage "$work/now.cfg" >"$work/next.cfg" && mv "$work/next.cfg" "$work/now.cfg"
    done
    timeout 20 "$leat" check "$work/now.cfg" >"$work/out" 2>"$work/err"
    status=$?
    case $status in
    0) passed=$((passed + 1)) ;;
    65)
        if grep -q 'error' "$work/err"; then
            passed=$((passed + 1))
        else
            failed=$((failed + 1))
            echo "FAILED: trial $trial: refused without a word"
        fi
        ;;
    *)
        failed=$((failed + 1))
        echo "FAILED: trial $trial: status $status"
        head -n 5 "$work/err"
        sed 's/^/    /' "$work/now.cfg"
        ;;
    esac
done
echo "$passed passed, $failed failed"
[ $failed = 0 ]
