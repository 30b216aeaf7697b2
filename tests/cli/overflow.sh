#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# leat overflow: the answer in words, the same for any number of threads, and what it says of bad input.
. "$(dirname "$0")/common.inc"
sed -e 's/^served.*/served = { surface = "1.1 m2"; volume = "400 L"; water = "25 degC";/' \
    -e 's/topoff = "pump and float switch"; };/topoff = "none"; };/' \
    -e 's/^clock.*/&\nrisk = { unattended = "1 day"; };/' short.cfg >line.cfg
sed 's/"level switches" \]/"level switches", "high switch", "guard valve" ]/' line.cfg >guarded.cfg

expect "a line with level switches alone" 0 overflow line.cfg -q --years 300
head -n 3 out >first
says "whether stands in the first lines" first "Overflow?"
says "one fault is enough" first "one fault is enough"
says "the likeliest is named" out "feed solenoid sticks open"
says "how likely" out "How likely"
says "what was not tried" out "None found does not mean none there"
says "a physical safeguard comes first" out "independent physical safeguard"
says "both routes stand side by side" out "HOW LIKELY, BY TWO ROUTES"
says "simulated years" out "From 300 simulated years with random faults"
says "weighted years" out "From 75 more"
says "chemistry is decided upon" out "what is dissolved does not steer it"
says "lines that come off are told apart" out "NO OVERFLOW, BUT WET"
check "80 columns" sh -c '! grep -qE "^.{81}" out'
"$leat" overflow line.cfg -q --years 20 --set 'control.divert_below="5 ppm"' >out 2>err
says "or that it is followed, where it steers" out "with all that is dissolved in it"

"$leat" overflow line.cfg -q --years 40 --format json --jobs 1 >one.json 2>err
"$leat" overflow line.cfg -q --years 40 --format json --jobs 3 >three.json 2>err
check "the same bytes on any number of threads" cmp -s one.json three.json

check "years are in the answer for programs" grep -q '"years_with_spill"' one.json
expect "without simulated years" 0 overflow line.cfg -q --years 0
check "nothing is said of them" sh -c '! grep -q "TWO ROUTES" out'

expect "with an overflow pipe" 0 overflow line.cfg -q --years 100 --set 'storage.overflow="standpipe"'
says "the pipe is told of" out "dependably"
check "80 columns with a pipe" sh -c '! grep -qE "^.{81}" out'

expect "a high switch with a valve of its own" 0 overflow guarded.cfg -q --seed 7 --years 0
says "no single fault then" out "NOT BY ONE FAULT"
says "but a pair" out "feed solenoid sticks open + high switch shows dry"

expect "no number of years" 64 overflow line.cfg --years many
"$leat" overflow guarded.cfg -q --seed 7 --safeguards --set 'prices.currency="EUR"' \
    --set prices.safeguards.overflow_pipe=40 --set prices.safeguards.drip_pan=5 >out 2>err
says "a price is shown" out "40 EUR"
says "which one first" out "First  "
says "a missing price is told of" out "when prices.safeguards has all prices"
sed 's/^risk = {/& rates = ( { part = "feed solenoid"; mode = "sticks open"; rate = "0 \/yr"; } );/' line.cfg >zero.cfg
"$leat" overflow zero.cfg -q >out 2>err
says "rates of nothing are not \"none found\"" out "never, by the rates that were given"
# the folder
expect "results in a folder" 0 overflow line.cfg -q --years 20 -o kept --terminal
says "the folder is named" out "Results: kept/"
says "the pictures are counted" out "kept/figures/ (4)"
says "pictures as text, too" out "MATRIX OF PAIRS"
check "80 columns with pictures" sh -c '! grep -qE "^.{81}" out'
check "every file has its hash" whole kept
for name in overflow.json overflow.txt sets.csv parts.csv levels.csv limits.csv scenario.resolved.cfg \
    figures/times.svg figures/pairs.svg figures/shares.svg figures/worst.svg; do
    check "$name is there" [ -s kept/$name ]
done
"$leat" overflow line.cfg -q --years 20 --format json >printed.json 2>err
check "what is printed is what is kept" cmp -s printed.json kept/overflow.json
expect "the resolved scenario is sound" 0 check kept/scenario.resolved.cfg
cp -r kept before
expect "an older folder stays" 73 overflow line.cfg -q --years 20 -o kept
check "byte for byte" diff -r kept before
expect "unless it is forced" 0 overflow line.cfg -q --years 20 -o kept --force --seed 9 --no-figures
check "no pictures then" [ ! -e kept/figures ]
check "again every file has its hash" whole kept
mkdir other && echo mine >other/file
expect "a folder of somebody else is never replaced" 73 overflow line.cfg -q --years 20 -o other --force
check "what is in it stays" grep -q mine other/file
PATH=$work/empty expect "without gnuplot" 0 overflow line.cfg -q --years 20 -o bare
says "words say so" err "gnuplot was not found"
check "the data are there" [ -s bare/figures/pairs.dat ]
check "but no picture" [ ! -e bare/figures/pairs.svg ]
# so many years that no machine has done when it is asked to stop
"$leat" overflow line.cfg -q --years 1000000 -o cut --triples >out 2>err &
sleep 0.3
kill -TERM $!
wait $!
status=$?
check "stopped by a person" [ $status = 143 ]
check "there is no folder then" [ ! -e cut ]
expect "text needs no folder and no gnuplot" 0 overflow line.cfg -q --years 20 --terminal
says "levels as text" out "LEVELS after the sets"
check "nothing half-written is left" [ "$(strays)" = "" ]
mkdir sealed && cd sealed && expect "without -o" 0 overflow ../line.cfg -q --years 20
cd ..
check "no file is written" [ "$(ls -A sealed | grep -vE '^(out|err)$')" = "" ]

expect "no number of threads" 64 overflow line.cfg --jobs 0
expect "a rate without a unit of time" 65 overflow line.cfg \
    --set 'risk.rates=({part="feed solenoid";mode="weeps";rate=0.1;})'
expect "a fault in a part that is not there" 65 overflow line.cfg \
    --set 'risk.rates=({part="high switch";mode="shows dry";rate="0.1 /yr";})'
finish
