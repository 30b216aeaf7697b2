#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# leat along: the screen is the stored one, two dates, odd plants, and what is said where there is nothing to show.
#   along.sh LEAT            compares
#   along.sh LEAT --renew    writes the screens anew; say in the commit why they moved
root=$(cd "$(dirname "$0")/../.." && pwd) || exit 64
renew=${2-}
. "$(dirname "$0")/common.inc"
cp "$root/scenarios/demo.cfg" "$root/scenarios/acid_well.cfg" "$root/scenarios/chloramine.cfg" .

narrow() {
    check "80 columns" awk 'length > 80 { exit 1 }' out
}

expect "new, at the start" 0 along demo.cfg -q
silent "nothing is said beside" err
[ "$renew" != --renew ] || cp out "$root/tests/golden/demo.along"
check "the screen is the stored one" diff "$root/tests/golden/demo.along" out
narrow
says "the command that goes on" out 'Next: leat along demo.cfg --compare "365 days"'
expect "new against worn" 0 along demo.cfg -q --compare 2026-07-20
[ "$renew" != --renew ] || cp out "$root/tests/golden/demo.compare"
check "the screen of two dates is the stored one" diff "$root/tests/golden/demo.compare" out
narrow
expect "a date" 0 along acid_well.cfg -q --at "100 days"
says "the day is told" out "day 100.0 (2026-06-09)"
narrow
expect "chloramine" 0 along chloramine.cfg -q
says "what carbon gives off stands as new" out "new"
narrow

expect "csv" 0 along short.cfg -q --format csv --compare "1 day"
check "every row has all cells" awk -F, 'NR == 1 { n = NF } NF != n { exit 1 }' out
check "a row a part and day" test "$(wc -l <out)" = 19
expect "json" 0 along short.cfg -q --format json
check "json is json" sh -c '! command -v python3 >/dev/null || python3 -m json.tool out >/dev/null'
for key in pressure_kPa meter_ppm mg_per_L meq_per_L mg_per_min used_percent; do
    says "json has $key" out "\"$key\":"
done

expect "a folder" 0 along short.cfg -q -o folder --compare "1 day" --terminal
says "where it is" out "Results: folder/"
says "the picture in letters" out "cations over anions"
says "a full bar" out "|CCCC"
narrow
for file in line.csv along.json answer.txt; do
    check "the folder has $file" test -s folder/$file
done
if command -v gnuplot >/dev/null; then
    check "and the picture" test -s folder/figures/along.svg
    check "that is drawn again by its script" sh -c 'cd folder/figures && cp along.svg old && gnuplot along.gp && cmp -s old along.svg && rm old'
fi
check "every file has its hash" whole folder
expect "a folder that is there is not replaced" 73 along short.cfg -q -o folder
check "nor is its file" grep -q "^1.0000000" folder/line.csv
expect "but with --force" 0 along short.cfg -q -o folder --force --no-figures
check "then it is the new one" sh -c '! grep -q "^1.0000000" folder/line.csv'
check "without pictures" test ! -e folder/figures
expect "a title that is no script" 0 along short.cfg -q -o evil --set 'title="`touch x` \" $(touch y) <b>"'
check "nothing was started" test ! -e x -a ! -e y -a ! -e evil/figures/x
if [ -w /dev/full ]; then
    "$leat" along short.cfg -q >/dev/full 2>err
    check "a full disk is told" test $? = 74
fi
expect "a folder in a place that is none" 73 along short.cfg -q -o nowhere/folder
check "nothing is left beside" test -z "$(strays)"
expect "explained" 0 along short.cfg -q --explain --compare "1 day"
for part in "FEED VALVE" "MEMBRANE" "LINE TO THE TANK" "WATER BEHIND resin AT 25 DEGC"; do
    says "$part is explained" out "$part"
done
for page in water plant sediment carbon membrane wear restrictor resin valve; do
    says "by docs/$page.md" out "docs/$page.md"
done
narrow
check "the folder has it" test -s evil/explain.txt
expect "a part of it" 0 along short.cfg -q --explain --only sediment
says "the part" out "sediment (sediment cartridge)"
check "and no other, and no table" sh -c '! grep -qE "MEMBRANE|^WATER|MG/L  where" out'
expect "a part that is not there" 64 along short.cfg --explain --only "pu$escape[0mmp"
says "the parts are named" err "FEED VALVE, sediment"
check "nothing is printed" [ ! -s out ]
check "no control characters" sh -c '! grep -q "$(printf "\033")" err'
expect "a part of nothing" 64 along short.cfg --only sediment
expect "csv has no room for it" 64 along short.cfg --explain --format csv
says "it is said" err "goes with the table"
expect "no membrane" 0 along short.cfg -q --set 'train=("sediment 5 um","carbon block 10 in")'
check "then no drain" sh -c '! grep -q "drain  " out'
narrow
expect "no resin" 0 along short.cfg -q --set 'train=("membrane 75 gal/day")'
narrow
expect "a booster" 0 along short.cfg -q --set 'train=("sediment 5 um",{kind="pump";},"membrane 75 gal/day","mixed bed 10 in")'
says "it adds pressure" out "booster pump"
says "below nothing is lost" out "-"
narrow
expect "two elements" 0 along short.cfg -q --set 'train=("sediment 5 um",{part="membrane 75 gal/day";elements=2;},"mixed bed 10 in")'
expect "a bladder tank" 0 along short.cfg -q --set 'storage.bladder={volume="12 L";}'
expect "a shut-off valve that cycles" 0 along short.cfg -q --set 'storage.shutoff=["float valve","automatic shut-off valve"]' --set 'storage.tube_bore="0.7 mm"' --set 'storage.tube_length="30 m"'
says "it is told" out "opens and shuts again and again"
expect "a hot feed" 0 along short.cfg -q --set 'feed.coldest="39 degC"' --set 'feed.warmest="41 degC"'
narrow
expect "eight stages with long names" 0 along short.cfg -q --set 'train=({part="sediment 5 um";name="first_sediment_cartridge_of_all";},"sediment 5 um","carbon block 10 in","carbon block 10 in",{kind="pump";},"membrane 75 gal/day","mixed bed 10 in",{part="mixed bed 10 in";name="bed_zwei_mit_langem_namen";})'
narrow

expect "the supply is cut then" 65 along demo.cfg -q --at "170.5 days"
says "it is said why" err "no water is made: the supply is cut off"
silent "and nothing else" out
expect "or at the other moment" 65 along demo.cfg -q --compare "170.5 days"
expect "the power is cut then" 65 along demo.cfg -q --at "45.1 days"
says "it is said" err "the power is off"
expect "the feed valve was left shut" 65 along short.cfg -q --at "2 days" --set 'events=({at="1 day";what="fault";part="hand valve";mode="left shut";})'
says "the fault is named" err "fault: hand valve left shut"
expect "hardly any pressure" 65 along short.cfg -q --set 'feed.pressure="2 kPa"'
says "it is said" err "the pressure is not enough"
expect "a kinked drain" 0 along short.cfg -q --at "2 days" --set 'events=({at="1 day";what="fault";part="drain line";mode="kinked";amount=0.4;})'
says "the fault is a note" out "note: fault: drain line kinked"

expect "no file" 64 along
expect "no moment" 64 along demo.cfg --at someday
expect "no second moment" 64 along demo.cfg --compare 31-12-2026
expect "a moment before the start" 64 along demo.cfg --at 2025-12-31
expect "a moment after the end" 64 along demo.cfg --at "9000 days"
expect "no such file" 66 along nowhere.cfg
finish
