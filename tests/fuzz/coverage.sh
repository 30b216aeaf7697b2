#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Which lines of the readers of foreign text the corpus and the tests reach:
#   sh tests/fuzz/coverage.sh [FILE...]     the lines of these files (sim/units.c) that are not reached, too
# Builds with counters in build-coverage/, runs the replays, the Criterion tests of these files and tests/bad,
# and prints a table.  Status 1 if all of them together are not reached to 95 of 100 lines.
set -u
cd "$(dirname "$0")/../.." || exit 1
build=$(pwd)/build-coverage
export LC_ALL=C.UTF-8
readers='source source_scan tree reader reader_keys reader_note units units_table date readings resolved saved
    cases_file cases_gather cases decimal vary rows results_old scenario scenario_set text file report
    series page_folder page_svg page_svg_pass'
tests='source text units date decimal reader report scenario saved cases sweep variant read results tricky manual
    show page render'
. tests/fuzz/targets.inc
targets="leat $(printf 'replay_%s ' $(fuzz_targets)) $(for test in $tests; do
    [ ! -f "tests/test_$test.c" ] || printf 'test_%s ' "$test"
done)"

mkdir -p "$build" || exit 1
if ! { cmake -S . -B "$build" -DCMAKE_BUILD_TYPE=Debug -DCMAKE_C_FLAGS_DEBUG="-O0 -g --coverage" -DLEAT_TESTS=ON &&
    nice cmake --build "$build" -j2 --target $targets; } >"$build/build.log" 2>&1; then
    tail -n 20 "$build/build.log"
    exit 1
fi
find "$build" -name '*.gcda' -delete
sh tests/cli/corpus.sh "$build/leat" | tail -n 1
sh tests/bad/run.sh "$build/leat" || echo "tests/bad failed"
sh tests/cli/pieces.sh "$build/leat" | tail -n 1
for test in $tests; do
    program=$build/tests/test_$test
    [ ! -x "$program" ] || nice "$program" >"$build/$test.txt" 2>&1 || echo "test_$test failed"
done

lines=0
reached=0
for file in $readers; do
    [ -f "sim/$file.c" ] || continue
    said=$(cd "$build" && gcov -n "CMakeFiles/sim.dir/sim/$file.c.gcda" 2>/dev/null |
        sed -n "/File '.*sim\/$file.c'/{n;s/Lines executed:\([0-9.]*\)% of \([0-9]*\)/\1 \2/p}")
    [ -n "$said" ] || { echo "$file: never run" && said="0 100"; }
    share=${said% *}
    of=${said#* }
    printf '%-24s %6s %% of %4s lines\n' "sim/$file.c" "$share" "$of"
    lines=$((lines + of))
    reached=$((reached + $(awk -v s="$share" -v n="$of" 'BEGIN { printf "%.0f", s * n / 100 }')))
done
echo "$reached of $lines lines: $((100 * reached / lines)) %"
for file; do
    echo "$file: not reached"
    (cd "$build" && gcov -t "CMakeFiles/sim.dir/$file.gcda" 2>/dev/null | grep -a '#####' | sed 's/ *#####: */    /')
done
[ $((100 * reached)) -ge $((95 * lines)) ]
