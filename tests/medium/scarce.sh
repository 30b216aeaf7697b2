#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# leat when memory runs out: each allocation fails in turn, by a library that is preloaded (tests/faults/scarce.c),
# once alone and once with all that follow.  Demanded is the answer of always, to the byte, or status 71, words on
# stderr and nothing left; never a signal.  The first 200 of a verb are all tried, then every k-th, so that a verb
# takes no more than some 300 runs twice.  What the libraries for syntax and for threads ask for is left out: see
# docs/decisions.md.
#
source=$(cd "$(dirname "$0")/../faults" && pwd)/scarce.c
. "$(dirname "$0")/../cli/common.inc"

if ! "${CC:-cc}" -shared -fPIC -O1 -o scarce.so "$source" -ldl 2>err; then
    case="the library that makes memory scarce is built"
    bad "see below"
    finish
fi
# Without gnuplot: its process has memory of its own.
mkdir empty
scarce() {
    PATH=$work/empty LD_PRELOAD=$work/scarce.so "$leat" "$@" >out 2>err </dev/null
}

# What a run leaves is compared, too; temporaries and locks are named with a point.
same() {
    cmp -s out right.out && { [ ! -e right ] || diff -r left right >/dev/null; }
}

# one N MODE ARGUMENT...: a run with the n-th allocation failing; words if it does not end as it must.
one() {
    n=$1
    mode=$2
    shift 2
    rm -rf left .left.*
    SCARCE_AT=$n SCARCE_EVER=$mode scarce "$@"
    status=$?
    if [ $status = $right ]; then
        same || echo "allocation $n ($mode): status $status, but another answer"
    elif [ $status != 71 ]; then
        echo "allocation $n ($mode): status $status: $(head -c 200 err)"
    elif [ ! -s err ]; then
        echo "allocation $n ($mode): no word on stderr"
    elif [ -n "$(find . -maxdepth 1 -name '.left*')" ]; then
        echo "allocation $n ($mode): $(find . -maxdepth 1 -name '.left*') is left"
    elif [ -e left ] && ! diff -r left right >/dev/null; then # printing comes after the folder
        echo "allocation $n ($mode): half of it is left"
    fi
}

# sweep WORDS ARGUMENT...: all allocations of a verb; its results go to "left", if it leaves any.
sweep() {
    words=$1
    shift
    rm -rf left right .left.*
    SCARCE_COUNT=count scarce "$@"
    right=$?
    mv out right.out
    [ ! -e left ] || mv left right
    count=$(cat count)
    every=$(((count - 200) / 100 + 1))
    [ $every -gt 0 ] || every=1
    : >wrong
    n=1
    tried=0
    while [ "$n" -le "$count" ]; do
        one "$n" 0 "$@" >>wrong
        one "$n" 1 "$@" >>wrong
        tried=$((tried + 1))
        if [ $n -lt 200 ]; then n=$((n + 1)); else n=$((n + every)); fi
    done
    cp wrong err
    check "$words: $tried of $count allocations, each once and for ever" test ! -s wrong
}

sed 's/"2 days"/"1 day"/' short.cfg >day.cfg
printf 'time_days,temperature_degC\n0,8\n1,9\n' >log.csv
sed 's/^feed .*/&  log = "log.csv";/; $a @include "more.cfg"' day.cfg >logged.cfg
echo 'limits = { product = "30 ppm"; };' >more.cfg
printf 'feed = { meter = 3;\n' >bad.cfg

sweep "check" check day.cfg
sweep "check with a log, an included file and --set" check logged.cfg --set 'feed.pressure="3 bar"'
sweep "check of what is wrong" check bad.cfg
sweep "run" run day.cfg -o left
rm -rf half
"$leat" run day.cfg --until "6 h" --no-figures -o half >out 2>err
sweep "run from where another stopped" run day.cfg --resume half -o left --no-figures --format json
sweep "along" along day.cfg
sweep "show" show half
sweep "report" report half -o left
sweep "sweep" sweep day.cfg --vary 'feed.pressure=40,60 psi' -o left --no-figures --jobs 1
finish
