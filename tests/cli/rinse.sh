#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# leat rinse: the answer in words against a stored screen, the same bytes for any number of threads, the
# folder, and what it says where it cannot rinse or judge.
#   rinse.sh LEAT            compares
#   rinse.sh LEAT --renew    writes the screen anew; say in the commit why it moved
#
# release
golden=$(realpath "$(dirname "$0")/../golden")
. "$(dirname "$0")/common.inc"
cp "$golden/rinse.cfg" line.cfg

if [ "${2-}" = --renew ]; then
    "$leat" rinse line.cfg -q >"$golden/rinse.screen"
fi

expect "a line that fouls" 0 rinse line.cfg -q -o folder --jobs 3
check "the screen is the stored one" cmp -s out "$golden/rinse.screen"
head -n 3 out >first
says "the answer stands first" first "Rinse?"
says "and the best" first "Best"
says "with a range" first " to"
says "what it hangs on" out "WHAT NOBODY HAS MEASURED"
check "80 columns" sh -c '! grep -v "^  .control = " out | grep -qE "^.{81}"'
for file in map.csv ways.csv doubts.csv rinse.json answer.txt manifest.json; do
    check "the folder has $file" test -s folder/$file
done
check "every place of the map" sh -c '[ "$(wc -l <folder/map.csv)" = 1026 ]'
if command -v gnuplot >/dev/null; then
    check "and the picture" test -s folder/figures/rinse.svg
fi
expect "a folder that is there is not replaced" 73 rinse line.cfg -o folder

expect "as JSON, on one thread" 0 rinse line.cfg -q --format json --jobs 1
check "the same bytes on any number of threads" cmp -s out folder/rinse.json

# What stands behind Next: is a command that runs, as it was printed.
"$leat" rinse line.cfg -q >answer 2>err
sed -n '/^Next: /,$p' answer | sed 's/^Next: leat /"$leat" /; $s/$/ --no-figures -o next -q/' >next.sh
says "it gives the rinse to the run" next.sh "--set"
case="the next command runs as it was printed"
if . ./next.sh >out 2>err; then ok; else bad "status $?"; fi
says "with the rinse" next/scenario.resolved.cfg "rinse_at"
expect "no membrane" 65 rinse line.cfg --set 'train=("sediment 5 um")'
says "there is nothing to rinse" err "no membrane"
expect "no solenoid" 65 rinse line.cfg --set 'storage.shutoff=["float valve"]'
says "which rinses it cannot do" err "at start, at stop and every so often all need"
expect "water for nothing" 65 rinse line.cfg --set 'prices={water="0 /m3";sewer="0 /m3";}'
says "why that cannot be judged" err "cost nothing"
expect "nothing is used" 65 rinse line.cfg -q --set 'draws=()'
says "then nothing can be weighed" err "nothing is used"
expect "no such file" 66 rinse nowhere.cfg
expect "no number of threads" 64 rinse line.cfg --jobs 0
finish
