#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# leat when memory runs out: every verb, each allocation failing in turn, by a library that is preloaded
# (tests/faults/scarce.c), once alone and once with all that follow.  Demanded is the answer of always, to the
# byte, or status 71, words on stderr of which the last line says so, and nothing left; never a signal.  A campaign
# that keeps what it found must, when it is called again, end as if nothing had been.  All are tried where they are
# few; else the first 100, the first and the last of each place (a chain of callers), and every k-th, some 50 of them.
# What the libraries for syntax and for threads ask for is left out: see docs/decisions.md.
#   scarce.sh LEAT [WORD]    only the cases with WORD in their name
# With sanitizers, which have an allocator of their own, it is linked in (the program's own allocations only):
#   cc -g -DSCARCE_INSIDE -c tests/faults/scarce.c tests/faults/scarce_split.c
#   cmake ... -DLEAT_SANITIZE=ON -DCMAKE_EXE_LINKER_FLAGS="$PWD/scarce.o $PWD/scarce_split.o -ldl
#       -Wl,--wrap=malloc,--wrap=calloc,--wrap=realloc"
#   SCARCE_INSIDE=1 sh tests/medium/scarce.sh LEAT
#
only=${2-}
[ ! -w /dev/shm ] || export TMPDIR=/dev/shm # nothing waits for a disk there
here=$(cd "$(dirname "$0")" && pwd)
. "$here/../cli/common.inc"

if ! "${CC:-cc}" -shared -fPIC -O1 -o scarce.so "$here/../faults/scarce.c" "$here/../faults/scarce_split.c" -ldl 2>err; then
    case="the library that makes memory scarce is built"
    bad "see below"
    finish
fi
. "$here/ground.inc"

# scarce ARGUMENT...: a run in play/, with the settings of the caller.
scarce() {
    preload=$work/scarce.so
    [ -z "${SCARCE_INSIDE:-}" ] || preload=
    (cd play && PATH=$work/empty LD_PRELOAD=$preload exec "$leat" "$@" >out 2>err </dev/null)
}

# judge FOLDER ARGUMENT...: words if the run there did not end as it must.
judge() {
    folder=$1
    shift
    status=$(cat "$folder/status")
    at="allocation ${folder##*/} (.0 once, .1 for ever)"
    if [ "$status" = $right ]; then
        cmp -s "$folder/out" right/out && alike "$folder" right || echo "$at: status $status, but another answer"
    elif [ "$status" != 71 ]; then
        echo "$at: status $status: $(grep -vxFf right/err "$folder/err" | head -c 200)"
    elif [ "$(tail -n 1 "$folder/err")" != "leat: memory ran out; there is no answer" ]; then
        echo "$at: status 71, but no last word: $(tail -n 1 "$folder/err")"
    elif [ -n "$(find "$folder" -maxdepth 1 -name '.?*')" ]; then
        echo "$at: $(cd "$folder" && echo .?*) is left"
    elif [ -n "$kept" ]; then
        again "$folder" "$@" || echo "$at: called again it has another answer"
    elif ! alike "$folder" ground && ! alike "$folder" right; then # printing comes after the folder
        echo "$at: half of it is left"
    fi
}

# The numbers to be tried, of $count.
points() {
    every=$((count / 50 + 1))
    [ "$count" -gt 200 ] || every=1
    { seq 100; seq 1 $every "$count"; cat places; } | awk -v most="$count" '$1 <= most' | sort -un
}

# sweep WORDS ARGUMENT...: all allocations of a verb; its results go to "left", if it leaves any.
kept=
sweep() {
    words=$1
    shift
    case $words in *"$only"*) ;; *) return ;; esac
    rm -rf right tried
    fresh
    SCARCE_COUNT=$work/count SCARCE_PLACES=$work/places scarce "$@"
    right=$?
    mv play right
    count=$(cat count)
    points >numbers
    fresh
    mkdir tried
    SCARCE_SPLIT=$work/numbers SCARCE_TO=$work/tried scarce "$@"
    status=$?
    : >wrong
    [ $status = $right ] && cmp -s play/out right/out && alike play right || echo "without a fault: status $status, or another answer" >>wrong
    n=0
    for folder in tried/*; do
        [ -e "$folder" ] || continue # a verb that asks for none
        judge "$folder" "$@" >>wrong
        n=$((n + 1))
    done
    cp wrong err
    : >out
    check "$words: $(wc -l <numbers) of $count allocations, each once and for ever" test ! -s wrong
    check "and all were tried" test $n = $((2 * $(wc -l <numbers)))
    rm -rf tried
}

# ---- the verbs ---------------------------------------------------------------------------------

sweep "new" new left
sweep "new --list" new --list
sweep "keys" keys
sweep "check" check day.cfg
sweep "check with a log, an included file and --set" check logged.cfg --set 'feed.pressure="3 bar"'
sweep "check of what is wrong" check bad.cfg
sweep "check as CSV" check day.cfg --format csv
sweep "run" run day.cfg -o left
sweep "run with pictures of letters" run day.cfg -o left --terminal --units us
sweep "run from where another stopped" run day.cfg --resume half -o left --no-figures --format json
sweep "overflow" overflow hour.cfg --years 0 --jobs 1 -o left
sweep "overflow with years" overflow hour.cfg --years 1 --jobs 1 --format json
sweep "away" away hour.cfg --span "1 h" --jobs 1
sweep "away as JSON" away hour.cfg --span "1 h" --jobs 1 --format json
sweep "gather" gather part-1 part-2 -o left --jobs 1
sweep "gather of rows" gather row-1 row-2 -o left --jobs 1
sweep "rinse" rinse bare.cfg --jobs 1 -o left
sweep "read" read day.cfg 245,13,0
sweep "read as JSON" read day.cfg 245,13,0 --format json --drain "90 mL/min" --also 'hardness=4 mg/L as CaCO3'
sweep "life" life filter.cfg --samples 32 --jobs 1 -o left
sweep "along" along day.cfg -o left --terminal
sweep "along --explain" along day.cfg --explain
sweep "along --compare" along day.cfg --compare "12 h" --format json
sweep "along --animate" along busy.cfg --animate --frames 2
sweep "along --animate into a folder" along busy.cfg --animate --frames 2 -o left
sweep "sweep" sweep day.cfg --vary 'feed.pressure=40,60 psi' -o left --jobs 1
sweep "sweep of a sample" sweep day.cfg --vary 'feed.pressure=40..60 psi' --sample 8 --format csv --jobs 1
sweep "show" show half
sweep "show of a channel" show half tank_level product_meter --events
sweep "show as CSV" show half tank_level --format csv --points 5
sweep "report" report half risks -o left
kept=yes
sweep "sweep --keep" sweep day.cfg --vary 'feed.pressure=40,60 psi' --keep kept --jobs 1
sweep "overflow --keep" overflow hour.cfg --years 0 --keep kept --jobs 1
finish
