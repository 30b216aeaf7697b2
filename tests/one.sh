#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Runs one test for tests/run.sh, from the project's folder, with $logs and $LEAT from there:
#   sh tests/one.sh criterion PROGRAM
#   sh tests/one.sh shell NAME FILE ARGUMENT...
#   sh tests/one.sh scenario FILE       a whole run
#   sh tests/one.sh leak PROGRAM        one that leaks on purpose, and must be caught
#   sh tests/one.sh answer PROGRAM      one with a wrong answer on purpose, which some of its tests must see
# Tells in one go how it went, and leaves "PASSED FAILED" in $logs/counts/NAME.
set -u
: "${logs:?}"
said=$(mktemp) || exit 70
trap 'rm -f "$said"' EXIT

# counts GOOD BAD: the result of test $name.
counts() {
    echo "$1 $2" >"$logs/counts/$name"
}

# What took long is told.
took() {
    seconds=$(($(date +%s) - began))
    [ $seconds -lt 10 ] || echo ", $seconds s"
}

# failure WORDS LOG [LINES]: says so, with the end of the log.
failure() {
    echo "FAILED $name: $1"
    [ ! -s "$2" ] || tail -n "${3:-25}" "$2" | sed 's/^/    /'
}

# What sanitizers find goes to files, because Criterion calls a test passed that leaks.
watch() {
    rm -f "$logs/$name".sanitizer.*
    export ASAN_OPTIONS="detect_leaks=1:log_path=$logs/$name.sanitizer"
    export UBSAN_OPTIONS="print_stacktrace=1:log_path=$logs/$name.sanitizer"
    export LSAN_OPTIONS="print_suppressions=0"
}

# The name of a file with findings, if there is any.
findings() {
    find "$logs" -name "$name.sanitizer.*" -size +0 | head -n 1
}

# The four numbers of Criterion's last line: tested, passing, failing, crashing.
synthesis() {
    sed -n 's/.*Synthesis: Tested: \([0-9]*\) | Passing: \([0-9]*\) | Failing: \([0-9]*\) | Crashing: \([0-9]*\).*/\1 \2 \3 \4/p' "$1" | tail -n 1
}

criterion_test() {
    name=$(basename "$1")
    case $1 in */build/*) name=release_$name ;; esac
    log=$logs/$name.txt
    watch
    "$1" --color=never >"$log" 2>&1 </dev/null
    status=$?
    numbers=$(synthesis "$log")
    found=$(findings)
    # shellcheck disable=SC2086 # four numbers
    set -- ${numbers:-0 0 0 0}
    if [ "$1" = 0 ]; then
        counts 0 1
        failure "no test ran, status $status" "$log"
    elif [ $status != 0 ] || [ "$2" != "$1" ]; then
        bad=$(($1 - $2))
        [ $bad != 0 ] || bad=1
        counts "$2" $bad
        failure "$bad of $1" "$log"
    elif [ -n "$found" ]; then
        counts "$2" 1
        failure "the sanitizer found a fault" "$found"
    else
        counts "$2" 0
        echo "ok $name: $2$(took)"
    fi
}

shell_test() {
    name=$1
    shift
    log=$logs/$name.txt
    watch
    shell="sh"
    ! head -n 1 "$1" | grep -q bash || shell="bash"
    $shell "$@" >"$log" 2>&1 </dev/null
    status=$?
    found=$(findings)
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
    counts $numbers
    if [ "${numbers#* }" = 0 ]; then
        skipped=$(grep -m 1 '^skipped, ' "$log")
        echo "ok $name: ${numbers% *}${skipped:+, $skipped}"
    else
        failure "status $status" "$log" 40
    fi
}

# Status 1 only says that a limit of the scenario was broken.
whole_run() {
    name=scenario_$(basename "$1" .cfg)
    results=$(mktemp -d) || exit 70
    "$LEAT" run "$1" -o "$results/$name" >"$logs/$name.txt" 2>&1 </dev/null
    status=$?
    if [ $status -le 1 ] && [ -s "$results/$name/manifest.json" ]; then
        counts 1 0
        echo "ok $name"
    else
        counts 0 1
        failure "status $status" "$logs/$name.txt"
    fi
    rm -rf "$results"
}

# Unless a deliberate leak is seen nothing that the sanitizers say means anything.
leak_test() {
    name=leak_selftest
    watch
    "$1" >"$logs/$name.txt" 2>&1
    if [ -n "$(findings)" ]; then
        counts 1 0
        echo "ok $name: the leak was seen"
    else
        counts 0 1
        failure "a deliberate leak went unseen" "$logs/$name.txt"
    fi
}

# Nor does anything that the tests say, unless they notice a deliberate wrong answer.
answer_test() {
    criterion_test "$1" >/dev/null
    read -r good bad <"$logs/counts/$name"
    if [ "$bad" -gt 0 ] && [ "$good" -gt 0 ]; then
        counts 1 0
        echo "ok $name: the wrong answer was seen"
    else
        counts 0 1
        failure "a deliberate wrong answer went unseen" "$logs/$name.txt"
    fi
}

kind=$1
shift
began=$(date +%s)
case $kind in
criterion) criterion_test "$@" >"$said" ;;
shell) shell_test "$@" >"$said" ;;
scenario) whole_run "$@" >"$said" ;;
leak) leak_test "$@" >"$said" ;;
answer) answer_test "$@" >"$said" ;;
esac
cat "$said"
