#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# leat read: the answer comes first, the screen is the stored one, and bad readings get their cure.
#   read.sh LEAT            compares
#   read.sh LEAT --renew    writes the screen anew; say in the commit why it moved
root=$(cd "$(dirname "$0")/../.." && pwd) || exit 64
renew=${2-}
. "$(dirname "$0")/common.inc"
cp "$root/scenarios/demo.cfg" demo.cfg

expect "three readings" 0 read demo.cfg 73,4,1 -q
silent "nothing is said beside" err
[ "$renew" != --renew ] || cp out "$root/tests/golden/demo.read"
check "the screen is the stored one" diff "$root/tests/golden/demo.read" out
check "80 columns" awk 'length > 80 { exit 1 }' out
head -n 1 out >first
says "what is odd stands first" first "Readings    permeate 4 ppm where the model expects"
says "then the likeliest, with chances" out "chances in 100 of this list"
says "then what to measure" out "Measure     catch the drain in a jug by the watch"
says "what no meter sees" out "WHAT NO METER SEES"
says "no certainty" out "A small fault hides"
says "the command that goes on" out 'Next: leat read demo.cfg 73,4,1 --drain "..."'

expect "the proposed jug decides" 0 read demo.cfg 73,4,1 -q --drain "60 mL/min"
says "the drain is closed" out "Likeliest   closed or kinked drain"
expect "or it rules that out" 0 read demo.cfg 73,4,1 -q --drain "480 mL/min"
check "then it is no drain" sh -c '! grep -q "^Likeliest .*drain" out'
expect "readings as they should be" 0 read demo.cfg 73,2,0 -q
says "nothing is wrong but what the model has" out "Likeliest   nothing but what is due by now: carbon"

expect "units, a dash, a date, conditions" 0 read demo.cfg "146 uS/cm,8 uS/cm,-" -q --at 2026-08-01 \
    --temperature "60 degF" --pressure "50 psi" --flow "110 mL/min" --also "hardness=1 mg/L as CaCO3"
says "the temperature was read" out "15.6 degC (read;"
says "the day" out "2026-08-01"
expect "a feed that was not read" 0 read demo.cfg ,4,1 -q --at "100 days"
expect "json" 0 read demo.cfg 73,4,1 -q --format json
for key in readings explanations measure not_shown unseen parts; do
    says "json has $key" out "\"$key\":"
done
check "json is json" sh -c '! command -v python3 >/dev/null || python3 -m json.tool out >/dev/null'

expect "no readings" 64 read demo.cfg
says "what is missing is named" err "which FEED,PERMEATE,PRODUCT?"
expect "no file" 64 read
expect "three operands" 64 read demo.cfg 73,4,1 5
expect "two readings" 64 read demo.cfg 73,4
says "three are needed" err "three readings are needed"
expect "words" 64 read demo.cfg good,fine,nice
says "what is no reading" err 'no reading of a meter: "good"'
expect "below nothing" 64 read demo.cfg 73,-4,1
expect "mixed up" 64 read demo.cfg 1,4,73
says "the order is told" err "FEED,PERMEATE,PRODUCT"
expect "a unit at one of them" 64 read demo.cfg "73 ppm,4,1"
expect "a leading dash is a reading not taken, no option" 0 read demo.cfg -,4,1
expect "and one below nothing is told as such" 64 read demo.cfg -7,4,1
says "by the reading" err "a reading below nothing"
expect "nothing read at all" 64 read demo.cfg ",,"
expect "a bare flow" 64 read demo.cfg 73,4,1 --drain 60
says "a unit is asked for" err "mL/min"
expect "an unknown key" 64 read demo.cfg 73,4,1 --also "silicia=1 mg/L"
says "the nearest is named" err "silica"
expect "no moment" 64 read demo.cfg 73,4,1 --at someday
expect "a moment after the end" 64 read demo.cfg 73,4,1 --at "9000 days"
expect "no such file" 66 read nowhere.cfg 73,4,1
expect "a line without a membrane" 65 read short.cfg 245,7,0 --set 'train=("sediment 5 um")'
says "it is said" err "with a membrane only"
check "nothing was written" test "$(ls -A | sort | tr '\n' ' ')" = "demo.cfg err first out short.cfg "
finish
