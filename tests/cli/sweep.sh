#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# leat sweep: the answer in words, its screens, CSV and JSON that agree, its folder, and what it refuses.
# With --renew the golden screens are written anew.
renew=no
golden=$(realpath "$(dirname "$0")/../golden")
[ "${2-}" != --renew ] || renew=yes
. "$(dirname "$0")/common.inc"

# screen CASE NAME: what was said is the golden screen, 80 columns wide.
screen() {
    [ $renew = no ] || cp out "$golden/$2.sweep"
    check "$1: the golden screen" cmp -s out "$golden/$2.sweep"
    check "$1: 80 columns" sh -c '! grep -qE "^.{81}" out'
}

expect "one key" 0 sweep short.cfg -q --vary 'feed.pressure=30..70 psi/5' --terminal
silent "nothing is complained of" err
head -n 4 out >first
says "what moves most stands first" first "What if?"
says "with both ends" first "at 30 psi"
says "and whether steadily" first "steadily up"
says "then money" first "Money       least"
says "limits" out "Limits      broken in 0 of 5 rows."
says "what never changes is left out, and said so" out "the same in every row: product L"
says "what never comes is said" out "never in any row: meter day"
says "the next command can be copied" out "leat run short.cfg --set 'feed.pressure=70 psi'"
screen "one key" key

expect "two keys" 0 sweep short.cfg -q --vary 'feed.pressure=40..60 psi/3' \
    --vary 'draws.1.take=20,30 L' --terminal
says "every row names both" out "40 psi                 20 L"
screen "two keys" keys
expect "words" 0 sweep short.cfg -q --vary 'feed.treatment=chlorine,chloramine,none'
says "from one to the other" out "chloramine"
expect "a sample of ranges" 0 sweep short.cfg -q --sample 16 --seed 5 --terminal \
    --vary 'feed.pressure=40..60 psi' --vary 'feed.chlorine=0.1..3 mg/L log'
says "quantiles" out "median"
says "ranks" out "feed.chlorine  +"
check "80 columns" sh -c '! grep -qE "^.{81}" out'
expect "a sample of spreads" 0 sweep short.cfg -q --sample 16 \
    --set 'feed.pH={ value = 7.4; sd = 0.1; }' --format csv
says "names its key" out '"feed.pH"'
silent "and nothing is complained of" err

# rows against runs of their own
expect "rows for programs" 0 sweep short.cfg -q --vary 'feed.pressure=30..70 psi/5' --format csv
cp out rows.csv
check "five rows and a head" [ "$(wc -l <rows.csv)" = 6 ]
"$leat" run short.cfg -q --set 'feed.pressure="60 psi"' --no-figures -o alone >out 2>err
for name in drain_L product_L tank_lowest_cm electricity_kWh; do
    row=$(awk -F, -v name="\"$name\"" 'NR == 1 { for (i = 1; i <= NF; i++) if ($i == name) c = i }
        $2 == "\"60 psi\"" { print $c }' rows.csv)
    run=$(sed -n "s/.*\"$name\": *\([^,]*\).*/\1/p" alone/summary.json | head -n 1)
    check "$name of a row is that of a run" awk -v a="$row" -v b="$run" \
        'BEGIN { exit !(a > 0 && a - b < 1e-7 * a && b - a < 1e-7 * a) }'
done

"$leat" sweep short.cfg -q --vary 'feed.pressure=30..70 psi/5' --format json --jobs 1 >one.json 2>err
"$leat" sweep short.cfg -q --vary 'feed.pressure=30..70 psi/5' --format json --jobs 3 >three.json 2>err
check "the same bytes on any number of threads" cmp -s one.json three.json

# the folder
expect "a folder" 0 sweep short.cfg -q --vary 'feed.pressure=30..70 psi/5' -o kept
says "is named" out "Results: kept/"
says "its picture is counted" out "kept/figures/ (1)"
check "every file has its hash" whole kept
for file in sweep.csv sweep.json sweep.txt scenario.resolved.cfg figures/sweep.svg; do
    check "$file is there" [ -s kept/$file ]
done
check "CSV that is kept is CSV that is printed" cmp -s rows.csv kept/sweep.csv
check "JSON, too" cmp -s one.json kept/sweep.json
# every number of the JSON in the order of the CSV
tr -d ' ' <one.json | awk '/"answers":\{/ { on = 1; next } on && /^\}/ { on = 0; print line; line = "" }
    on { sub(/^"[^"]*":/, ""); sub(/,$/, ""); line = line " " ($0 == "null" ? "-" : $0 + 0) }' >a
sed 1d rows.csv | awk -F, '{ line = ""; for (i = 3; i <= NF; i++) line = line " " ($i == "" ? "-" : $i + 0)
    print line }' >b
check "there are numbers to compare" [ "$(wc -w <a)" -gt 100 ]
check "CSV and JSON agree" cmp -s a b
expect "two keys make a map" 0 sweep short.cfg -q --vary 'feed.pressure=40..60 psi/3' \
    --vary 'draws.1.take=20,30 L' -o map
check "map.svg is there" [ -s map/figures/map.svg ]
expect "an older folder stays" 73 sweep short.cfg -q --vary 'feed.pH=7,8' -o kept
check "as it was" whole kept
expect "unless it is forced" 0 sweep short.cfg -q --vary 'feed.pH=7,8' -o kept --force --no-figures
check "no picture then" [ ! -e kept/figures ]

# parts, kills
vary='feed.pressure=30..70 psi/5'
"$leat" sweep short.cfg -q --vary "$vary" >whole.txt 2>err
for part in 1 2; do
    "$leat" sweep short.cfg -q --vary "$vary" --shard $part/2 --keep part-$part >out 2>err
    says "part $part is done" out "Part $part of 2 is done"
done
mkdir elsewhere
cp -r part-1 part-2 elsewhere
(cd elsewhere && "$leat" gather part-2 part-1 >../out 2>../err)
check "gathered they are the whole" cmp -s out whole.txt
silent "and nothing was run for it" err
expect "a folder, too" 0 gather part-1 part-2 -o joined
check "JSON of the whole" cmp -s joined/sweep.json one.json
check "CSV, too" cmp -s joined/sweep.csv rows.csv
expect "a part that is missing" 66 gather part-1
for part in 1 2 3; do
    "$leat" sweep short.cfg -q --sample 9 --seed 3 --vary 'feed.pressure=40..60 psi' --vary 'feed.pH=7..8' \
        --shard $part/3 --keep third-$part >out 2>err
done
"$leat" sweep short.cfg -q --sample 9 --seed 3 --vary 'feed.pressure=40..60 psi' --vary 'feed.pH=7..8' >drawn.txt 2>err
expect "a sample in parts" 0 gather third-1 third-2 third-3
check "is the whole" cmp -s out drawn.txt
expect "spreads are not split" 64 sweep short.cfg -q --set 'feed.pH={ value = 7.4; sd = 0.1; }' --sample 9 \
    --shard 1/2 --keep spread
expect "other rows are not for this folder" 66 sweep short.cfg -q --vary 'feed.pressure=30..70 psi/4' --resume part-1
"$leat" sweep short.cfg -q --set 'clock.length="90 days"' --vary 'feed.pressure=30..70 psi/24' >long.txt 2>err
"$leat" sweep short.cfg -q --set 'clock.length="90 days"' --vary 'feed.pressure=30..70 psi/24' --jobs 1 \
    --keep going >out 2>err &
sleep 0.3
kill -KILL $! 2>/dev/null
wait $! 2>/dev/null
expect "after a kill it goes on" 0 sweep short.cfg -q --set 'clock.length="90 days"' \
    --vary 'feed.pressure=30..70 psi/24' --keep going
check "to the bytes of the whole" cmp -s out long.txt

# what is refused, in one pass and before anything is run
expect "beyond the range of the model" 65 sweep short.cfg --vary 'feed.pressure=30..700 psi/5' -o beyond
says "the row is named" err "--set feed.pressure=365 psi: error: pressure is out of range"
says "with the range" err "it must lie between"
says "how many" err "3 of 5 rows are refused; nothing was run"
silent "nothing is answered" out
check "no folder is left" [ ! -e beyond ]
expect "two keys at fault" 65 sweep short.cfg --vary 'feed.pressure=30,900 psi' --vary 'feed.pH=7,99'
says "the first is told" err "pressure is out of range"
says "and the second" err "pH is out of range"
expect "a key that there is not" 65 sweep short.cfg --vary 'feed.presure=30..70 psi/3'
says "the nearest is named" err 'did you mean "pressure"?'
expect "no unit" 65 sweep short.cfg --vary 'feed.pressure=30..70/3'
expect "nothing to vary" 64 sweep short.cfg
expect "a range the wrong way" 64 sweep short.cfg --vary 'feed.pressure=70..30 psi/3'
expect "three keys" 64 sweep short.cfg --vary a=1,2 --vary b=1,2 --vary c=1,2
expect "no spread to sample" 64 sweep short.cfg --sample 16
expect "too small a sample" 64 sweep short.cfg --sample 2
expect "no file" 66 sweep nowhere.cfg --vary 'feed.pH=7,8'
expect "a limit that breaks in a row" 1 sweep short.cfg -q --vary 'draws.1.take=30,300 L'
says "the row is told" out "broken in 1 of 2 rows: 300 L"

"$leat" sweep short.cfg -q --set 'clock.length="1800 days"' --vary 'feed.pressure=30..70 psi/40' \
    -o cut >out 2>err &
sleep 0.3
kill -TERM $!
wait $!
status=$?
check "stopped by a person" [ $status = 143 ]
says "and says so" err "interrupted"
check "there is no folder then" [ ! -e cut ]
check "nothing is left beside it" [ -z "$(strays)" ]
finish
