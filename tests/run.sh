#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Builds and tests, in three lengths.  From any folder:
#   sh tests/run.sh          the short one, for every change: sanitizers, published values, golden screens, bad
#                            input, layers; what is slow runs without sanitizers
#   sh tests/run.sh medium   what that leaves out: what is slow with sanitizers, whole campaigns, clang, valgrind,
#                            threads, damaged files, fuzzing, faults, peers
#   sh tests/run.sh long     for a release: hours of fuzzing, many random scenarios, wrong models, coverage
#
# Ends with a line "N passed, N failed".  Counted are the test cases of Criterion and the cases of the
# shell tests: a shell test gets the program's path as $1 and as $LEAT, and may end with a line
# "N passed, N failed" of its own; without one it counts as one case.
#
# A test program whose first lines say "Slow:" is slow.  A shell test with the line "# release" runs whole campaigns: in the medium
# gate, and without sanitizers; so does one with "# medium", and those of tests/medium/.
set -u
cd "$(dirname "$0")/.." || exit 1
root=$(pwd)
targets=
export LC_ALL=C.UTF-8

gate=${1:-short}
case $gate in
short | medium | long) ;;
*)
    echo "usage: sh tests/run.sh [short|medium|long]" >&2
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
    if [ "$failed" = 0 ]; then
        echo "Next: sh scenarios/demo.sh   (a year of the demonstration, with pictures)"
    else
        echo "Next: read the lines that begin with FAILED; whole outputs are in build-test/logs/"
    fi
    echo "$passed passed, $failed failed"
    [ "$failed" = 0 ]
    exit
}

# failure NAME WORDS LOG: says so, with the end of the log.
failure() {
    echo "FAILED $1: $2"
    [ ! -s "$3" ] || tail -n "${4:-25}" "$3" | sed 's/^/    /'
}

# Reads lines of arguments of tests/one.sh and runs them, as many at once as there are cores; adds up what
# they counted.
all_of() {
    rm -rf "$logs/counts"
    mkdir -p "$logs/counts" || exit 1
    xargs -P "$(nproc)" -L 1 sh tests/one.sh
    while read -r good bad; do
        count "$good" "$bad"
    done <<EOF
$(cat "$logs"/counts/*)
EOF
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

sanitized() {
    echo "Building with sanitizers in build-test/ ..."
    configure_and_build "$build" -DCMAKE_BUILD_TYPE=Debug -DCMAKE_C_FLAGS_DEBUG="-O1 -g" \
        -DLEAT_SANITIZE=ON -DLEAT_STRICT=ON -DLEAT_TESTS=ON
    rm -rf "$logs"
    mkdir -p "$logs" || exit 1
    export LEAT="$build/leat" logs
}

release() {
    echo "Building the release in build/ ..."
    targets=$1
    configure_and_build "$root/build" -DCMAKE_BUILD_TYPE=Release -DLEAT_TESTS=ON
    targets=
    export LEAT="$root/build/leat"
}

# ---- what there is -----------------------------------------------------------------------------

slow=$(grep -l '^ \* Slow:' tests/test_*.c | sed 's|tests/||; s|\.c$||')

is_slow() {
    echo "$slow" | grep -qx "$1"
}

# -l lists the scripts that run whole campaigns, -L the others.
list_scripts() {
    grep "$1" '^# release$' tests/cli/*.sh tests/bad/run.sh | while read -r script; do
        echo shell "$(echo "${script%.sh}" | tr / _)" "$script" "$LEAT"
    done
}

list_slow() {
    for name in $slow; do
        echo criterion "$1/tests/$name"
    done
}

list_quick() {
    for program in "$build"/tests/test_* "$build"/tests/published_test_*; do
        [ -f "$program" ] && [ -x "$program" ] || continue
        is_slow "$(basename "$program")" || echo criterion "$program"
    done
}

list_medium() {
    for script in tests/medium/*.sh $(grep -l '^# medium$' tests/*/*.sh); do
        echo shell "$(echo "${script%.sh}" | tr / _)" "$script" "$LEAT"
    done
}

# ---- the gates ---------------------------------------------------------------------------------

# The longest first, so that none is left to run alone.
short_gate() {
    sanitized
    {
        list_scripts -L
        echo shell layers_selftest tests/check_layers.sh selftest
        echo leak "$build/tests/leak_selftest"
        echo answer "$build/tests/answer_selftest"
        list_quick
        echo shell layers tests/check_layers.sh
    } >"$logs/list"
    all_of <"$logs/list"
    release "leat $(echo "$slow" | tr '\n' ' ')"
    {
        list_slow "$root/build"
        for scenario in scenarios/*.cfg; do
            echo scenario "$scenario"
        done
    } >"$logs/list"
    all_of <"$logs/list"
}

medium_gate() {
    sanitized
    {
        list_slow "$build"
        echo shell medium_damaged tests/medium/damaged.sh "$LEAT"
    } >"$logs/list"
    all_of <"$logs/list"
    echo "Building with clang in build-clang/, for its warnings ..."
    configure_and_build "$root/build-clang" -DCMAKE_BUILD_TYPE=Debug -DCMAKE_C_COMPILER=clang \
        -DLEAT_STRICT=ON
    count 1 0
    release ""
    {
        echo shell browser tests/browser/run.sh "$LEAT"
        list_scripts -l
        list_medium | grep -v damaged
    } >"$logs/list"
    all_of <"$logs/list"
}

long_gate() {
    sanitized
    release ""
    export LEAT_TRIALS=20000
    echo criterion "$root/build/tests/test_any" >"$logs/list"
    all_of <"$logs/list"
    export LEAT_TRIALS=60 DAMAGED=20000
    {
        echo criterion "$root/build/tests/test_safeguard"
        echo shell medium_damaged tests/medium/damaged.sh "$build/leat"
    } >"$logs/list"
    all_of <"$logs/list"
    unset LEAT_TRIALS DAMAGED
    {
        echo shell mutants tests/mutants/run.sh
        echo shell coverage tests/long/coverage.sh
    } >"$logs/list"
    all_of <"$logs/list"
}

sh tests/install.sh "$gate" || exit 1
"${gate}_gate"
finish
