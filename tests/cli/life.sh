#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# leat life: the answer in words, its screen, the same for any number of threads, its folder, and what it says
# of bad input.  With --renew the golden screen is written anew.
#
# release
renew=no
golden=$(realpath "$(dirname "$0")/../golden")
[ "${2-}" != --renew ] || renew=yes
. "$(dirname "$0")/common.inc"

# A small bed, so that little has to be followed.
sed -e 's/"mixed bed 10 in"/{ part = "mixed bed 10 in"; name = "resin"; volume = "150 mL"; depth = "6 cm"; }/' \
    -e 's/^clock.*/clock = { start = "2026-01-01"; length = "2 days"; };/' short.cfg >small.cfg

expect "a line with a small bed" 0 life small.cfg -q --samples 32
silent "nothing is complained of" err
head -n 3 out >first
says "what ends first" first "Ends first  resin"
says "with a range" first "(80 %:"
says "when" first "When        day"
says "why" first "Why         the meter behind it came to its limit"
for words in "CONSUMABLES" "WHAT USES THE RESIN UP" "BY HAND" "WHO NOTICES" "WHAT WOULD HELP" \
    "WHICH INPUTS MATTER" "HOW WELL THE INPUTS ARE KNOWN" "Silica as a band"; do
    says "a part of its own: $words" out "$words"
done
check "80 columns" sh -c '! grep -qE "^.{81}" out'
[ $renew = no ] || cp out "$golden/small.life"
check "the golden screen" cmp -s out "$golden/small.life"

"$leat" life small.cfg -q --samples 32 --jobs 1 --format json >one.json 2>err
"$leat" life small.cfg -q --samples 32 --jobs 2 --format json >two.json 2>err
check "the same bytes on any number of threads" cmp -s one.json two.json
says "JSON has the parts" one.json '"ends_first": "resin"'
says "and the inputs" one.json '"total_between"'

expect "with a spread of its own, into a folder" 0 life small.cfg -q --samples 32 -o lives \
    --set 'feed.pH={ value = 7.4; sd = 0.1; }'
says "the spread that was given" out "given: 7.4, sd 0.1"
check "the folder is whole" whole lives
for file in lives.csv load.csv helps.csv inputs.csv; do
    check "$file is there" test -s lives/$file
done
check "the picture has the title" grep -qxF "$(sed -n 's/^title *= *"\(.*\)";.*/\1/p' small.cfg)" \
    lives/figures/inputs-title.dat
check "no bar and no interval reaches over its axis" awk -F'[= \t]+' 'NR == FNR { if ($1 == "xmax") most = $2; next }
    !/^#/ { for (i = 2; i <= 5; i++) if ($i > most) bad = 1 } END { exit bad || most < 110 }' \
    lives/figures/inputs.par lives/figures/inputs.dat
check "the shares of the load sum to one" awk -F, 'NR > 1 { c += $2; a += $3 }
    END { exit !(c > 0.999999 && c < 1.000001 && a > 0.999999 && a < 1.000001) }' lives/load.csv
check "nothing is left beside it" test -z "$(strays)"
expect "an older folder stays" 73 life small.cfg -q --samples 32 -o lives
expect "unless it is forced" 0 life small.cfg -q --samples 32 -o lives --force

sed 's/, { part = "mixed bed.*}$/ );/; s/, { part = "mixed bed.*} );$/ );/' small.cfg >dry.cfg
expect "without resin" 0 life dry.cfg -q --samples 32
says "it is said" out "There is no resin"

expect "an odd number of samples" 64 life small.cfg --samples 33
expect "too few samples" 64 life small.cfg --samples 2
expect "no file" 66 life nowhere.cfg
expect "a value that is not accepted" 65 life small.cfg --set 'train.resin.volume="0 L"'
expect "a spread that makes no sense" 65 life small.cfg --set 'feed.pH={ value = 7.4; sd = -1; }'
finish
