#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# leat run, killed and interrupted at random moments, and with every call of the system for writing failing in
# turn.  LEAT_SEED chooses the moments, LEAT_KILLS how many.  Calls fail by strace, where it is there.
#
. "$(dirname "$0")/../cli/common.inc"
kills=${LEAT_KILLS:-100}
seed=${LEAT_SEED:-$(date +%Y%m)} # the same for a month, so that a failure comes again

# A run of about half a second.
sed 's/"2 days"/"200 days"/' short.cfg >long.cfg
begin=$(date +%s%N)
"$leat" run long.cfg --no-figures -q -o right
took=$((($(date +%s%N) - begin) / 1000000))
echo "a run takes $took ms; seed $seed"

# moments COUNT: so many moments of a run, in seconds, a little beyond its end.
moments() {
    awk -v n="$1" -v most="$took" -v seed="$seed" \
        'BEGIN { srand(seed); for (i = 0; i < n; i++) printf "%.4f\n", 1.1 * rand() * most / 1000 }'
}

# ---- killed ------------------------------------------------------------------------------------

wholes=0
for moment in $(moments "$kills"); do
    "$leat" run long.cfg --no-figures -q -o killed >out 2>err &
    run=$!
    sleep "$moment"
    kill -9 $run 2>/dev/null
    wait $run 2>/dev/null
    if [ -e killed ]; then
        wholes=$((wholes + 1))
        whole killed || echo "after $moment s: half a folder" >>wrong
        rm -rf killed
    fi
    stray=$(find . -maxdepth 1 -name '.killed.??????')
    if [ -n "$stray" ]; then
        "$leat" run short.cfg --no-figures -q -o killed >out 2>err || echo "after $moment s: the next run fails" >>wrong
        grep -qF "left ${stray#./} behind" err || echo "after $moment s: $stray is not named" >>wrong
        whole killed || echo "after $moment s: the next run is not whole" >>wrong
        rm -rf killed "$stray"
    fi
    rm -f .killed.lock
    [ -z "$(find . -maxdepth 1 -name '.killed*')" ] || echo "after $moment s: $(echo .killed*)" >>wrong
done 2>/dev/null
touch wrong
cp wrong err
check "killed at $kills moments, $wholes of them after the end: all or nothing" test ! -s wrong

# Killed while it replaces older results: the old or the new, whole.
"$leat" run short.cfg --no-figures -q -o kept
for moment in $(moments $((kills / 4))); do
    "$leat" run long.cfg --no-figures -q -o kept --force >out 2>err &
    run=$!
    sleep "$moment"
    kill -9 $run 2>/dev/null
    wait $run 2>/dev/null
    whole kept || echo "after $moment s: half a folder" >>wrong
    rm -rf .kept.*
done 2>/dev/null
cp wrong err
check "killed while it replaces results: the old or the new are there" test ! -s wrong

# ---- interrupted -------------------------------------------------------------------------------

resumed=0
for moment in $(moments $((kills / 5))); do
    rm -rf cut more
    "$leat" run long.cfg --no-figures -q -o cut >out 2>err &
    run=$!
    sleep "$moment"
    # to the child of a shell without job control INT is no signal; TERM goes the same way
    kill -TERM $run 2>/dev/null
    wait $run
    status=$?
    case $status in
    143)
        whole cut || echo "after $moment s: what was computed is not whole" >>wrong
        "$leat" run long.cfg --no-figures -q -o more --resume cut >out 2>err || echo "after $moment s: no going on" >>wrong
        diff -r more right >/dev/null || echo "after $moment s: other bytes" >>wrong
        resumed=$((resumed + 1))
        ;;
    0) diff -r cut right >/dev/null || echo "after $moment s: other bytes" >>wrong ;;
    *) [ ! -e cut ] || echo "after $moment s: status $status and a folder" >>wrong ;;
    esac
done 2>/dev/null
cp wrong err
check "interrupted at $((kills / 5)) moments, $resumed gone on with: the bytes of an unbroken run" test ! -s wrong
check "some were gone on with" test $resumed -gt 0

# ---- calls of the system that fail -------------------------------------------------------------

if ! strace -o /dev/null true 2>/dev/null; then
    echo "skipped, no strace that may trace"
    finish
fi

# failing CALL ERROR: each call of that name fails in turn, until none is left to fail.
failing() {
    n=0
    : >wrong
    while [ $n -lt 200 ]; do
        n=$((n + 1))
        rm -rf left .left.*
        strace -f -qq -o trace -e trace="$1" -e inject="$1:error=$2:when=$n" \
            "$leat" run short.cfg --no-figures -q -o left >out 2>err
        status=$?
        grep -q INJECTED trace || break
        case $status in
        0) whole left || echo "$1 $n: status 0, but not whole" >>wrong ;;
        71 | 73 | 74)
            [ ! -e left ] || echo "$1 $n: status $status, but results" >>wrong
            [ -s err ] || echo "$1 $n: no word on stderr" >>wrong
            ;;
        66 | 127) # the scenario cannot be read; 127: not even the libraries
            [ ! -e left ] || echo "$1 $n: status $status, but results" >>wrong
            ;;
        *) echo "$1 $n: status $status" >>wrong ;;
        esac
    done
    n=$((n - 1))
    cp wrong err
    check "$1 fails with $2, each of $n times" test ! -s wrong
    check "and it was called" test $n -gt 0
}
failing write ENOSPC
failing write EIO
failing fsync EIO
failing renameat2 EACCES
failing openat EMFILE
failing mkdir EACCES
failing close EIO
finish
