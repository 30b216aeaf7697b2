#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Which lines and branches of models/ and sim/ the tests go through: all programs of tests/ and the quick shell tests,
# in a build of its own, build-coverage/.  From the project's folder:
#   sh tests/long/coverage.sh           all of it; lists the files with the most lines never reached
#   sh tests/long/coverage.sh quick     without those marked slow
# A branch is one of gcov's, compiler's own among them (a call that may not return, a switch): 100 is not to be had.
# Fails below $lines_least and $branches_least of 100, which only go up.
set -u
root=$(pwd)
build=$root/build-coverage
export LC_ALL=C.UTF-8 LEAT_TRIALS=40
lines_least=${LINES_LEAST:-96}
branches_least=${BRANCHES_LEAST:-86}
quick=${1:-}
[ "$quick" = quick ] || quick=

mkdir -p "$build" || exit 70
{
    cmake -S . -B "$build" -DCMAKE_BUILD_TYPE=Debug -DCMAKE_C_FLAGS_DEBUG="-O0 --coverage" -DLEAT_TESTS=ON &&
        cmake --build "$build" -j2
} >"$build/build.log" 2>&1 || {
    tail -n 20 "$build/build.log"
    echo "0 passed, 1 failed"
    exit 1
}
find "$build" -name '*.gcda' -delete

slow=$(grep -l '^ \* Slow:' tests/test_*.c | sed 's|tests/||; s|\.c$||')
red=0
for program in "$build"/tests/test_* "$build"/tests/published_test_*; do
    [ -f "$program" ] && [ -x "$program" ] || continue
    name=$(basename "$program")
    if [ -n "$quick" ] && echo "$slow" | grep -qx "$name"; then
        continue
    fi
    "$program" --color=never >"$build/$name.log" 2>&1 </dev/null || {
        echo "red: $name"
        red=$((red + 1))
    }
done
for script in tests/cli/*.sh; do
    ! grep -q '^# release$' "$script" || [ -z "$quick" ] || continue
    LEAT="$build/leat" sh "$script" "$build/leat" >"$build/$(basename "$script").log" 2>&1 </dev/null || {
        echo "red: $script"
        red=$((red + 1))
    }
done

# Of each source: folder, name, lines, reached, branches, taken.
for part in models sim leat; do
    find "$build/CMakeFiles/$part.dir" -name '*.gcda' | while read -r data; do
        (cd "$build" && gcov -b -n "$data" 2>/dev/null)
    done
done | awk -v root="$root/" '
    function number(text) { sub(/.*of /, "", text); return text + 0 }
    function share(text) { sub(/.*:/, "", text); return text / 100 }
    /^File/ {
        file = $0; sub(/^File ./, "", file); sub(/.$/, "", file)
        if (index(file, root) == 1) file = substr(file, length(root) + 1)
        sub(/^(\.\.\/)+/, "", file)
        keep = file ~ /^(models|sim)\/[a-z0-9_]*\.c$/
    }
    keep && /^Lines executed/ { lines[file] = number($0); reached[file] = share($0) * lines[file] }
    keep && /^Taken at least once/ { branches[file] = number($0); taken[file] = share($0) * branches[file] }
    END { for (f in lines) printf "%s %d %d %d %d\n", f, lines[f], reached[f] + 0.5, branches[f], taken[f] + 0.5 }
' | sort >"$build/coverage"

awk '
    { split($1, part, "/"); l[part[1]] += $2; r[part[1]] += $3; b[part[1]] += $4; t[part[1]] += $5 }
    END { for (p in l) printf "%-7s lines %5d of %5d, %.1f %%; branches %5d of %5d, %.1f %%\n", p, r[p], l[p], 100 * r[p] / l[p], t[p], b[p], 100 * t[p] / (b[p] > 0 ? b[p] : 1) }
' "$build/coverage" | sort
echo "most lines never reached:"
awk '$2 > $3 { print $2 - $3, $1 }' "$build/coverage" | sort -rn | head -n 15 | sed 's/^/    /'
awk -v ll="$lines_least" -v bl="$branches_least" -v red="$red" '
    { l += $2; r += $3; b += $4; t += $5 }
    END {
        good = l > 0 && 100 * r / l >= ll && 100 * t / b >= bl && red == 0
        printf "all: lines %.1f %%, branches %.1f %%; wanted %d and %d\n%d passed, %d failed\n", 100 * r / l, 100 * t / b, ll, bl, good, !good
        exit !good
    }' "$build/coverage"
