#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Campaigns on four threads under clang's thread sanitizer.  It knows OpenMP through libomp's own tool for it
# (archer); gcc's libgomp would give false alarms.  From the project's folder:
#   sh tests/medium/threads.sh
set -u
root=$(pwd)
build=$root/build-threads
export LC_ALL=C.UTF-8 CC=clang
mkdir -p "$build" || exit 1
{
    cmake -S . -B "$build" -DCMAKE_BUILD_TYPE=Debug -DCMAKE_C_FLAGS_DEBUG="-O1 -g -fsanitize=thread" &&
        cmake --build "$build" -j2 --target leat &&
        clang -O1 -g -fopenmp -fsanitize=thread tests/race_selftest.c -o "$build/race_selftest"
} >"$build/build.log" 2>&1 || {
    tail -n 20 "$build/build.log"
    exit 1
}

set -- "$build/leat"
. tests/cli/common.inc
# what the gate says to the other sanitizers would send reports to files
unset ASAN_OPTIONS UBSAN_OPTIONS LSAN_OPTIONS
export TSAN_OPTIONS="ignore_noninstrumented_modules=1 exitcode=66"
sed -e 's/^clock.*/&\nrisk = { unattended = "1 day"; };/' -e 's/"carbon block 10 in", //' short.cfg >small.cfg

# sound WORDS ARGUMENT...: ends well, and no race was seen.
sound() {
    case=$1
    shift
    "$leat" "$@" >out 2>err
    status=$?
    if grep -q 'WARNING: ThreadSanitizer' err; then
        bad "a race"
    elif [ $status -gt 1 ]; then
        bad "status $status"
    else
        ok
    fi
}

case="a deliberate race is seen"
if "$build/race_selftest" >out 2>err || ! grep -q 'WARNING: ThreadSanitizer' err; then
    bad "nothing that it says means anything"
else
    ok
fi
sound "overflow with years and safeguards" overflow small.cfg -q --years 20 --jobs 4 --safeguards
sound "overflow, what is dissolved steers" overflow small.cfg -q --years 4 --jobs 4 \
    --set 'control.divert_below="5 ppm"'
sound "overflow that is kept" overflow small.cfg -q --years 20 --jobs 4 --keep kept
sound "and gone on with" overflow small.cfg -q --years 20 --jobs 4 --resume kept
sound "life" life small.cfg -q --samples 32 --jobs 4
sound "a sweep" sweep small.cfg -q --vary 'feed.pressure=30..70 psi/6' --jobs 4
sound "rinse" rinse small.cfg -q --jobs 4
sound "away" away small.cfg -q --jobs 4 --span "1 day"
finish
