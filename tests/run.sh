#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Builds with sanitizers and runs every test.  From any folder:
#   sh tests/run.sh          all of it
#   sh tests/run.sh short    without the release build and the whole scenarios
#
# Ends with a line "N passed, N failed".  Counted are the test cases of Criterion and the cases of the
# shell tests: a shell test gets the program's path as $1 and as $LEAT, and may end with a line
# "N passed, N failed" of its own; without one it counts as one case.  A line "skipped, WHY" is shown.
set -u
cd "$(dirname "$0")/.." || exit 1
root=$(pwd)
targets=
export LC_ALL=C.UTF-8

case ${1-} in
'' | short) ;;
*)
    echo "usage: sh tests/run.sh [short]" >&2
    exit 64
    ;;
esac

build=$root/build-test
logs=$build/logs
passed=0
failed=0

count() {
    passed=$((passed + $1))
    failed=$((failed + $2))
}

finish() {
    echo
    echo "$passed passed, $failed failed"
    if [ "$failed" = 0 ]; then
        echo "Next: sh scenarios/demo.sh   (a year of the demonstration, with pictures)"
        exit 0
    fi
    echo "Next: read the lines that begin with FAILED; whole outputs are in build-test/logs/"
    exit 1
}

# failure NAME WORDS LOG: says so, with the end of the log.
failure() {
    echo "FAILED $1: $2"
    [ ! -s "$3" ] || tail -n "${4:-25}" "$3" | sed 's/^/    /'
}

# ---- sanitizers --------------------------------------------------------------------------------

# What they find goes to files, because Criterion calls a test passed that leaks.
watch_with() {
    rm -f "$logs/$1".sanitizer.*
    export ASAN_OPTIONS="detect_leaks=1:log_path=$logs/$1.sanitizer"
    export UBSAN_OPTIONS="print_stacktrace=1:log_path=$logs/$1.sanitizer"
    export LSAN_OPTIONS="print_suppressions=0"
}

# The name of a file with findings about test $1, if there is any.
findings() {
    find "$logs" -name "$1.sanitizer.*" -size +0 | head -n 1
}

# ---- one test ----------------------------------------------------------------------------------

# The four numbers of Criterion's last line: tested, passing, failing, crashing.
synthesis() {
    sed -n 's/.*Synthesis: Tested: \([0-9]*\) | Passing: \([0-9]*\) | Failing: \([0-9]*\) | Crashing: \([0-9]*\).*/\1 \2 \3 \4/p' "$1" | tail -n 1
}

criterion_test() {
    name=$(basename "$1")
    log=$logs/$name.txt
    watch_with "$name"
    "$1" --color=never >"$log" 2>&1 </dev/null
    status=$?
    numbers=$(synthesis "$log")
    found=$(findings "$name")
    # shellcheck disable=SC2086 # four numbers
    set -- ${numbers:-0 0 0 0}
    if [ "$1" = 0 ]; then
        count 0 1
        failure "$name" "no test ran, status $status" "$log"
    elif [ $status != 0 ] || [ "$2" != "$1" ]; then
        bad=$(($1 - $2))
        [ $bad != 0 ] || bad=1
        count "$2" $bad
        failure "$name" "$bad of $1" "$log"
    elif [ -n "$found" ]; then
        count "$2" 1
        failure "$name" "the sanitizer found a fault" "$found"
    else
        count "$2" 0
        echo "ok $name: $2"
    fi
}

# shell_test NAME FILE ARGUMENT...
shell_test() {
    name=$1
    shift
    log=$logs/$name.txt
    watch_with "$name"
    shell="sh"
    ! head -n 1 "$1" | grep -q bash || shell="bash"
    $shell "$@" >"$log" 2>&1 </dev/null
    status=$?
    found=$(findings "$name")
    numbers=$(sed -n 's/^\([0-9]*\) passed, \([0-9]*\) failed$/\1 \2/p' "$log" | tail -n 1)
    if [ -z "$numbers" ]; then
        numbers="1 0"
        [ $status = 0 ] || numbers="0 1"
    elif [ $status != 0 ] && [ "${numbers#* }" = 0 ]; then
        numbers="${numbers% *} 1"
    fi
    if [ -n "$found" ] && [ "${numbers#* }" = 0 ]; then
        numbers="${numbers% *} 1"
        log=$found
    fi
    # shellcheck disable=SC2086 # two numbers
    count $numbers
    skipped=$(grep -m 1 '^skipped, ' "$log")
    if [ "${numbers#* }" = 0 ]; then
        echo "ok $name: ${numbers% *}${skipped:+, $skipped}"
    else
        failure "$name" "status $status" "$log" 40
    fi
}

# ---- builds ------------------------------------------------------------------------------------

# configure_and_build FOLDER OPTION...: all of it, or the targets in $targets.
configure_and_build() {
    folder=$1
    shift
    mkdir -p "$folder" || exit 1
    # shellcheck disable=SC2086 # several targets
    if ! { cmake -S . -B "$folder" "$@" && cmake --build "$folder" -j2 ${targets:+--target $targets}; } >"$folder/build.log" 2>&1; then
        count 0 1
        failure "build in $(basename "$folder")" "all of it is in $folder/build.log" \
            "$folder/build.log" 40
        finish
    fi
}

# ---- all ---------------------------------------------------------------------------------------

sh tests/install.sh test || exit 1

echo "Building with sanitizers in build-test/ ..."
configure_and_build "$build" -DCMAKE_BUILD_TYPE=Debug -DCMAKE_C_FLAGS_DEBUG="-O1 -g" \
    -DLEAT_SANITIZE=ON -DLEAT_STRICT=ON -DLEAT_TESTS=ON
rm -rf "$logs"
mkdir -p "$logs" || exit 1

# First the gate itself: a deliberate leak must be seen, or nothing below means anything.
watch_with leak_selftest
"$build/tests/leak_selftest" >"$logs/leak_selftest.txt" 2>&1
if [ -n "$(findings leak_selftest)" ]; then
    count 1 0
    echo "ok leak_selftest: the leak was seen"
else
    count 0 1
    failure leak_selftest "a deliberate leak went unseen" "$logs/leak_selftest.txt"
fi

shell_test layers_selftest tests/check_layers.sh selftest
shell_test layers tests/check_layers.sh

for program in "$build"/tests/test_* "$build"/tests/published_test_*; do
    [ ! -f "$program" ] || [ ! -x "$program" ] || criterion_test "$program"
done

export LEAT="$build/leat"
for script in tests/cli/*.sh tests/bad/run.sh; do
    [ ! -f "$script" ] || shell_test "$(echo "${script%.sh}" | tr / _)" "$script" "$LEAT"
done

[ "${1-}" = short ] && finish

if command -v clang >/dev/null; then
    echo "Building with clang in build-clang/, for its warnings ..."
    configure_and_build "$root/build-clang" -DCMAKE_BUILD_TYPE=Debug -DCMAKE_C_COMPILER=clang \
        -DLEAT_STRICT=ON
    count 1 0
fi

echo "Building the release in build/ ..."
targets="leat test_any"
configure_and_build "$root/build" -DCMAKE_BUILD_TYPE=Release -DLEAT_TESTS=ON

# Many more random scenarios than the sanitizers have time for.
criterion_test "$root/build/tests/test_any"

# Every scenario for real.  Status 1 only says that a limit of the scenario was broken.
export LEAT="$root/build/leat"
runs=$(mktemp -d) || exit 70
trap 'rm -rf "$runs"' EXIT
for scenario in scenarios/*.cfg; do
    [ -f "$scenario" ] || continue
    name=scenario_$(basename "$scenario" .cfg)
    "$LEAT" run "$scenario" -o "$runs/$name" >"$logs/$name.txt" 2>&1 </dev/null
    status=$?
    if [ $status -le 1 ] && [ -s "$runs/$name/manifest.json" ]; then
        count 1 0
        echo "ok $name"
    else
        count 0 1
        failure "$name" "status $status" "$logs/$name.txt"
    fi
done

finish
