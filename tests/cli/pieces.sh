#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# leat run in two pieces: --until and --resume give the bytes of the whole run.
. "$(dirname "$0")/common.inc"

# pieces NAME MOMENT: splits a run of the file NAME.cfg there.
pieces() {
    name=$1-$(echo "$2" | tr -d ' ')
    [ -d "$1-whole" ] || "$leat" run "$1.cfg" --no-figures -q -o "$1-whole"
    "$leat" run "$1.cfg" --no-figures -q -o "$name-a" --until "$2"
    "$leat" run "$1.cfg" --no-figures -q -o "$name-b" --resume "$name-a"
    for f in series events daily front wear balance cost pulse limits; do
        check "$1 split at $2: $f.csv" cmp -s "$1-whole/$f.csv" "$name-b/$f.csv"
    done
    check "$1 split at $2: summary.json" cmp -s "$1-whole/summary.json" "$name-b/summary.json"
}

# a month of each, by its resolved form
for s in demo float_only chloramine; do
    "$leat" new "$s" --from "$s" >out
    "$leat" run "$s.cfg" --no-figures -q -o "$s-short" --set 'clock.length="30 days"' \
        --set 'events=({ what = "power cut"; at = "9 days"; lasts = "20 h"; })'
    cp "$s-short/scenario.resolved.cfg" "$s-month.cfg"
done
pieces demo-month "10.37 days"
pieces demo-month "0 days"
pieces float_only-month "17 days"
pieces chloramine-month "3.3 days"

# what is kept has no trace of the process that kept it
"$leat" run demo-month.cfg --no-figures -q -o again --until "10.37 days"
check "two halves alike: the same bytes are kept" cmp -s demo-month-10.37days-a/saved_run.bin again/saved_run.bin

# three pieces
"$leat" run demo-month.cfg --no-figures -q -o one --until "5 days"
"$leat" run demo-month.cfg --no-figures -q -o two --resume one --until "22 days"
"$leat" run demo-month.cfg --no-figures -q -o three --resume two
check "three pieces: series" cmp -s demo-month-whole/series.csv three/series.csv
check "three pieces: summary" cmp -s demo-month-whole/summary.json three/summary.json

# a run that a person interrupts; one that was too quick for us shows nothing
"$leat" run demo.cfg --no-figures -q -o year 2>err
for seconds in 0.3 0.1 0.05; do
    timeout -s INT "$seconds" "$leat" run demo.cfg --no-figures -q -o cut 2>err
    [ -s cut/saved_run.bin ] && break
    rm -rf cut
done
if [ -s cut/saved_run.bin ]; then
    "$leat" run demo.cfg --no-figures -q -o mended --resume cut 2>err
    check "interrupted and resumed: series" cmp -s year/series.csv mended/series.csv
    check "interrupted and resumed: summary" cmp -s year/summary.json mended/summary.json
fi

# refusals: nothing is written
refused() {
    case=$1
    shift
    "$leat" run "$@" --no-figures -o never >out 2>err
    status=$?
    if [ "$status" = 66 ] || [ "$status" = 64 ]; then ok; else bad "status $status"; fi
    check "$case: nothing is written" test ! -e never
}
refused "a folder without a saved run" demo-month.cfg --resume demo-month-whole
says "says which file" err "saved_run.bin"
refused "a folder that does not exist" demo-month.cfg --resume nowhere
refused "another scenario" float_only-month.cfg --resume one
says "says why" err "another scenario"
refused "another value" demo-month.cfg --resume one --set 'feed.pressure="41 psi"'
refused "an end before the start" demo-month.cfg --resume two --until "6 days"
refused "a moment outside" demo-month.cfg --until "31 days"
refused "a moment that is none" demo-month.cfg --until "soon"
cp -r one hurt
printf 'x' | dd of=hurt/saved_run.bin bs=1 seek=5000 conv=notrunc 2>dd
refused "a damaged saved run" demo-month.cfg --resume hurt
says "says damaged" err "damaged"
head -c 100 one/saved_run.bin >hurt/saved_run.bin
refused "a saved run cut short" demo-month.cfg --resume hurt
cp one/saved_run.bin hurt/saved_run.bin
echo >>hurt/series.csv
refused "a series that was changed" demo-month.cfg --resume hurt
says "says which" err "series.csv"
finish
