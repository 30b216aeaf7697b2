#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Fuzzes the readers of foreign files and texts.  From any folder:
#   sh tests/fuzz/run.sh SECONDS [TARGET...]    each target that long; all of them if none is named
#   sh tests/fuzz/run.sh 0                      only replays what is known
# Builds with clang's fuzzer and sanitizers in build-fuzz/, replays the corpus, then fuzzes, one process at a
# time, niced.  What is new and worth keeping goes to build-fuzz/found/TARGET/; tests/fuzz/keep.sh puts it
# into the corpus.  Ends with "N passed, N failed", a target a case; a crash, a leak, a hang (10 s) or too
# much memory (1 GiB) fails it, and the input that shows it is named.
set -u
cd "$(dirname "$0")/../.." || exit 1
root=$(pwd)
build=$root/build-fuzz
export LC_ALL=C.UTF-8

case ${1-} in
'' | *[!0-9]*)
    echo "usage: sh tests/fuzz/run.sh SECONDS [TARGET...]" >&2
    exit 64
    ;;
esac
seconds=$1
shift
. tests/fuzz/targets.inc
[ $# -gt 0 ] || set -- $(fuzz_targets)

# The folder of what crashed, and of the fuzzer's own temporary files.
mkdir -p "$build/found" "$build/crashes" || exit 1
TMPDIR=$(mktemp -d -p "$(fuzz_memory)") || exit 1
export TMPDIR
trap 'rm -rf "$TMPDIR"' EXIT

fuzz_build || exit 1

export ASAN_OPTIONS="detect_leaks=1:allocator_may_return_null=0"
export UBSAN_OPTIONS="print_stacktrace=1"
export LSAN_OPTIONS="print_suppressions=0"

passed=0
failed=0

# failure TARGET LOG: says what was wrong, and where the input is.
failure() {
    failed=$((failed + 1))
    echo "FAILED $1"
    grep -aE 'ERROR|SUMMARY|runtime error|does not hold|Test unit written|^/.*/corpus/' "$2" | tail -n 6 |
        sed 's/^/    /'
    echo "    all of it is in $2; again: build-fuzz/tests/fuzz/fuzz_$1 THE-INPUT"
}

for target; do
    fuzzer=$build/tests/fuzz/fuzz_$target
    [ -x "$fuzzer" ] || { echo "there is no target $target; there are: $(fuzz_targets)" >&2; exit 64; }
    log=$build/$target.log
    found=$build/found/$target
    mkdir -p "$found"
    # shellcheck disable=SC2046 # several folders
    set -- $(fuzz_seeds "$target")
    common="-timeout=10 -rss_limit_mb=1024 -max_len=$(fuzz_length "$target") -artifact_prefix=$build/crashes/$target-"
    # shellcheck disable=SC2086 # several options
    if ! nice "$fuzzer" $common -runs=0 "$found" "$@" >"$log" 2>&1; then
        failure "$target (known inputs)" "$log"
        continue
    fi
    if [ "$seconds" -gt 0 ]; then
        # shellcheck disable=SC2086 # several options
        if ! nice "$fuzzer" $common -max_total_time="$seconds" -print_final_stats=1 -use_value_profile=1 \
            -dict="$build/words.dict" "$found" "$@" >"$log" 2>&1; then
            failure "$target" "$log"
            continue
        fi
        rate=$(sed -n 's/^stat::average_exec_per_sec: *//p' "$log")
        runs=$(sed -n 's/^stat::number_of_executed_units: *//p' "$log")
        echo "ok $target: $runs inputs, $rate a second"
    else
        echo "ok $target"
    fi
    passed=$((passed + 1))
done

echo "$passed passed, $failed failed"
if [ "$failed" = 0 ]; then
    echo "Next: sh tests/fuzz/keep.sh   (puts what was found into the corpus)"
    exit 0
fi
echo "Next: put the input into tests/fuzz/corpus/TARGET/ under a name that says what it shows, then mend it"
exit 1
