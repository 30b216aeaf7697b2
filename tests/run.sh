#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Builds with sanitizers and runs every test.  From any folder:
#   sh tests/run.sh          all of it
#   sh tests/run.sh short    without the release build and the whole scenarios
#
# Ends with a line "N passed, N failed".  Counted are the test cases of Criterion and the cases of the
# shell tests: a shell test gets the program's path as $1 and as $LEAT, and may end with a line
# "N passed, N failed" of its own; without one it counts as one case.
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

# ---- all ---------------------------------------------------------------------------------------

sh tests/install.sh test || exit 1

echo "Building with sanitizers in build-test/ ..."
configure_and_build "$build" -DCMAKE_BUILD_TYPE=Debug -DCMAKE_C_FLAGS_DEBUG="-O1 -g" \
    -DLEAT_SANITIZE=ON -DLEAT_STRICT=ON -DLEAT_TESTS=ON
rm -rf "$logs"
mkdir -p "$logs" || exit 1

# Scripts with the line "# release" run whole campaigns, for which sanitizers are too slow; -l lists those, -L
# the others.
list_scripts() {
    grep "$1" '^# release$' tests/cli/*.sh tests/bad/run.sh | while read -r script; do
        echo shell "$(echo "${script%.sh}" | tr / _)" "$script" "$LEAT"
    done
}

# The longest first, so that none is left to run alone.
list_tests() {
    echo leak "$build/tests/leak_selftest"
    echo answer "$build/tests/answer_selftest"
    echo shell layers_selftest tests/check_layers.sh selftest
    list_scripts -L
    echo shell layers tests/check_layers.sh
    for program in "$build"/tests/test_any "$build"/tests/test_* "$build"/tests/published_test_*; do
        [ ! -f "$program" ] || [ ! -x "$program" ] || echo criterion "$program"
    done | awk '!seen[$0]++'
}

export LEAT="$build/leat" logs
list_tests >"$logs/list"
all_of <"$logs/list"

[ "${1-}" = short ] && finish

if command -v clang >/dev/null; then
    echo "Building with clang in build-clang/, for its warnings ..."
    configure_and_build "$root/build-clang" -DCMAKE_BUILD_TYPE=Debug -DCMAKE_C_COMPILER=clang \
        -DLEAT_STRICT=ON
    count 1 0
fi

echo "Building the release in build/ ..."
targets="leat test_any test_safeguard"
configure_and_build "$root/build" -DCMAKE_BUILD_TYPE=Release -DLEAT_TESTS=ON

# Many more random scenarios than the sanitizers have time for, and every scenario for real.
export LEAT="$root/build/leat"
{
    list_scripts -l
    echo criterion "$root/build/tests/test_safeguard"
    echo criterion "$root/build/tests/test_any"
    for scenario in scenarios/*.cfg; do
        echo scenario "$scenario"
    done
} >"$logs/list"
all_of <"$logs/list"

finish
