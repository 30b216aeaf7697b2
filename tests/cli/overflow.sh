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
expect "no number of threads" 64 overflow line.cfg --jobs 0
expect "a rate without a unit of time" 65 overflow line.cfg \
    --set 'risk.rates=({part="feed solenoid";mode="weeps";rate=0.1;})'
expect "a fault in a part that is not there" 65 overflow line.cfg \
    --set 'risk.rates=({part="high switch";mode="shows dry";rate="0.1 /yr";})'
finish
