#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# leat run when the machine does not play along: full disks, readers that have gone, signals.
. "$(dirname "$0")/common.inc"
sed 's/"2 days"/"10000 days"/' short.cfg >long.cfg

# ends CASE STATUS: the status in $status is that.
ends() {
    case=$1
    if [ "$status" = "$2" ]; then ok; else bad "status $status, not $2"; fi
}

for verb in "--help" "--version" "check short.cfg" "run short.cfg --no-figures -o loud" \
    "new --list"; do
    # shellcheck disable=SC2086 # several words
    "$leat" $verb >/dev/full 2>err
    status=$?
    ends "$verb: a full standard output is an error" 74
done
check "the results are whole all the same" whole loud
"$leat" run short.cfg --no-figures -o closed >&- 2>err
status=$?
ends "a closed standard output is an error" 74
check "no file of results took its place" whole closed

(ulimit -f 40; "$leat" run short.cfg --no-figures -o full >out 2>err)
status=$?
ends "a disk that fills is an error of writing" 74
says "the file is named" err "could not be written"
check "no half results are left" test ! -e full
check "nothing else is left" test -z "$(strays)"

("$leat" run short.cfg --no-figures -o piped 2>err; echo $? >status) | true
status=$(cat status)
ends "a reader who has gone does not spoil a run" 0
check "its results are whole" whole piped

timeout --preserve-status -s TERM 3 "$leat" run long.cfg -o cut >out 2>err
status=$?
ends "TERM ends a run with 143" 143
check "what was computed is kept" whole cut
says "the summary says interrupted" cut/summary.json '"status": "interrupted"'
says "the screen says so, too" out "interrupted"
check "it counts what was made" sh -c "! grep -q '\"product_L\": 0.0' cut/summary.json"
check "nothing is left beside it" test -z "$(strays)"
timeout --preserve-status -s INT 3 "$leat" run long.cfg -o cut --force >out 2>err
status=$?
ends "INT ends a run with 130" 130
check "the older interrupted results were replaced" whole cut

"$leat" run long.cfg -o twice >out 2>err &
sleep 1
kill -TERM $!
kill -TERM $!
wait $!
status=$?
ends "two signals in a blink are one" 143
check "what was computed is kept then, too" whole twice

"$leat" run long.cfg -o killed >out 2>err &
sleep 1
"$leat" run long.cfg -o killed >out2 2>err2
status=$?
ends "a second run to the same place is refused" 73
says "the reason is told" err2 "another run"
kill -9 $!
wait $! 2>/dev/null
check "a killed run leaves no results" test ! -e killed
"$leat" run short.cfg --no-figures -o killed >out 2>err
status=$?
ends "the next run goes on" 0
says "it tells what was left" err "left .killed."
check "its results are whole" whole killed
rm -rf .killed.*

# on a terminal: colors, and a line of progress that is erased
# a bare root without /dev/pts has no terminals to try
if command -v script >/dev/null && script -qec true /dev/null </dev/null >/dev/null 2>&1; then
    sed 's/50 psi/50/' short.cfg >bad.cfg
    on_terminal() {
        TERM=xterm script -qec "$1" /dev/null </dev/null >out 2>&1
    }
    on_terminal "'$leat' run bad.cfg"
    check "complaints have colors on a terminal" grep -q "$escape" out
    on_terminal "'$leat' run bad.cfg --no-color"
    check "--no-color has none" sh -c "! grep -q '$escape' out"
    on_terminal "NO_COLOR=1 '$leat' run bad.cfg"
    check "NO_COLOR has none" sh -c "! grep -q '$escape' out"
    on_terminal "TERM=dumb '$leat' run bad.cfg"
    check "a dumb terminal has none" sh -c "! grep -q '$escape' out"
    on_terminal "timeout -s INT 2 '$leat' run long.cfg -o shown"
    says "progress is shown on a terminal" out "% done"
    on_terminal "timeout -s INT 2 '$leat' run long.cfg -o shown --force -q"
    check "but not if quiet" sh -c "! grep -q 'done' out"
fi

finish
