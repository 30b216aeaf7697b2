#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# leat show: the list, channels as text and as CSV, and folders that are damaged or hostile.
. "$(dirname "$0")/common.inc"

# narrow FILE: 80 columns at most, nothing that a terminal would obey.
narrow() {
    ! grep -qE '^.{81}' "$1" && ! grep -q "[$(printf '\001-\010\013-\037\177')]" "$1"
}

"$leat" run short.cfg -q --no-figures -o two >out 2>err || exit 70

expect "the list" 0 show two
silent "nothing is complained of" err
says "files and their axis" out "series.csv: 289 rows along day, 0 to 2"
says "channels with their unit" out "tank_level_cm"
says "blocks along one axis are counted" out "pulse.csv: 300 rows along second, 2 to 298, 4 times"
says "events are counted" out "events.csv: $(($(wc -l <two/events.csv) - 1)) events"
says "and how to see one" out "Next: leat show two feed_temperature_degC"
check "80 columns" narrow out
next=$(sed -n 's/^Next: leat //p' out)
# shellcheck disable=SC2086 # words of a command
expect "the next command works as it stands" 0 $next
expect "the list for programs" 0 show two --format csv
says "a row a channel" out 'series.csv,"tank_level_cm",cm,289,'
awk -F, 'NR == 1 { for (i = 1; i <= NF; i++) if ($i == "tank_level_cm") c = i }
         NR > 1 { v = $c + 0; if (NR == 2 || v < low) low = v; if (NR == 2 || v > high) high = v }
         END { printf "%.9g,%.9g\n", low, high }' two/series.csv >extremes
says "with the extremes of the file" out "$(cat extremes)"

expect "two channels" 0 show two tank_level product_flow_mL_min
check "each has its head" [ "$(grep -c ', mean ' out)" = 2 ]
check "one scale below both" [ "$(grep -c '^      day ' out)" = 1 ]
check "80 columns" narrow out
expect "files are named before a colon" 0 show two daily:produced wear:product_flow
expect "blocks" 0 show two pulse:permeate_ppm
says "a curve each, named" out "1: rest_h 0.25; 2: rest_h 1; 3: rest_h 8; 4: rest_h 24"
expect "a table" 0 show two cost:amount
says "a bar for each row" out "a bar for each row of cost.csv"
check "80 columns" narrow out

expect "a window by time, and events" 0 show two tank_level --from "6 h" --to "1.5 days" --events
says "events are counted" out "how many in each place"
expect "by date" 0 show two tank_level --from 2026-01-01T06:00 --to 2026-01-02T12:00 --events
check "is the same" sh -c '"$0" show two tank_level --from "6 h" --to "1.5 days" --events | cmp -s - out' "$leat"
expect "a window without rows" 0 show two tank_level --from "5 days" --to "6 days"
says "says so" out "no number here"
expect "a window turned round is a fault" 64 show two tank_level --from "2 days" --to "1 day"
expect "a word that is no time is a fault" 64 show two tank_level --from noon
expect "tables have no time" 64 show two cost:amount --from "1 day"
expect "two axes have no one window" 64 show two tank_level pulse:permeate --from "1 h"

expect "rows for programs" 0 show two tank_level product_flow --format csv
check "all of them" [ "$(wc -l <out)" = 290 ]
check "as they are in the file" awk -F, 'NR == FNR { if (FNR == 1) for (i = 1; i <= NF; i++) at[$i] = i
        else { day[FNR] = $1; level[FNR] = $at["tank_level_cm"] } next }
    FNR > 1 && ($1 - day[FNR] > 1e-8 || $2 - level[FNR] > 1e-8 || level[FNR] - $2 > 1e-8) { exit 1 }' \
    two/series.csv out
expect "thinned" 0 show two tank_level --format csv --points 10
check "ten rows" [ "$(wc -l <out)" = 11 ]
check "that keep the extremes" sh -c 'awk -F, "NR > 1 { if (NR == 2 || \$2 < low) low = \$2
    if (NR == 2 || \$3 > high) high = \$3 } END { printf \"%.9g,%.9g\n\", low, high }" out | cmp -s - extremes'
expect "rows of two files are refused" 64 show two tank_level daily:produced --format csv
expect "json is no form of it" 64 show two --format json
says "the forms are named" err "table or csv"
expect "no points are a fault" 64 show two tank_level --format csv --points 0
expect "tables are not thinned" 64 show two cost:amount --format csv --points 5

expect "an unknown channel is a fault" 64 show two tank_levle nothing_alike_at_all
says "the nearest is named" err "did you mean tank_level"
says "each that is wrong is told" err "nothing_alike_at_all: is no channel"
says "and where they are listed" err "leat show two lists them"
silent "nothing is printed then" out
expect "part of a name is told, too" 64 show two wear:sediment
says "by what holds it" err "did you mean sediment_drop_kPa?"
expect "no folder" 66 show nowhere
expect "a file is no folder" 66 show short.cfg
expect "a folder without results" 66 show .
says "what would leave some" err "leat run"
expect "without a folder it is a fault" 64 show

# damage
cp -r two hurt
head -c 20000 two/series.csv >hurt/series.csv
expect "a file that was cut is shown" 0 show hurt tank_level
says "its hash differs" err "series.csv: is not as it was written"
says "a short row is told" err "1 row is shorter than the head"
cp -r two gaps
awk -F, -v OFS=, 'NR > 100 && NR < 140 { $9 = NR % 2 ? "nan" : "-inf" } { print }' two/series.csv >gaps/series.csv
expect "cells that are no number leave a gap" 0 show gaps tank_level
check "and no extreme" sh -c '! grep -qE "inf|nan" out'
cp -r two evil
{ printf 'day,x%s[31mred_cm,\302\233y_cm,"a\tb, ""c"""\n0,1,2,3\n1,2,3,4\n' "$escape"; } >evil/series.csv
printf '\000\001\002day\n' >evil/daily.csv
expect "hostile heads are listed" 0 show evil
says "escaped" out '\x1b[31mred_cm'
check "nothing reaches the terminal raw" narrow out
expect "and drawn" 0 show evil "x${escape}[31mred"
check "nothing reaches the terminal raw" narrow out
expect "and printed" 0 show evil "x${escape}[31mred" --format csv
check "nothing reaches the terminal raw" narrow out
expect "complaints are escaped" 64 show evil "z${escape}[2J"
check "nothing reaches the terminal raw" narrow err
rm evil/series.csv evil/wear.csv
ln -s /dev/zero evil/series.csv
expect "a file that is a device, and one that is gone" 0 show evil
says "are told" err "series.csv: is not as it was written"
says "what is gone is called missing" err "wear.csv: is missing"
cp -r two "odd 'name"
expect "an odd folder" 0 show "odd 'name"
says "is quoted in the next command" out "leat show 'odd '\\''name' "

# other folders
"$leat" sweep short.cfg -q --vary 'feed.pressure=40..60 psi/3' -o swept --no-figures >out 2>err
expect "a folder of a sweep" 0 show swept
check "80 columns" narrow out
expect "a bar a row" 0 show swept electricity
says "named by what was varied" out "50 psi"

case="a reader who goes early"
"$leat" show two series:tank_level --format csv 2>err | head -n 1 >out
if [ ! -s err ] && [ "$(cat out)" = "day,tank_level_cm" ]; then ok; else bad "not quiet"; fi
case="a full disk"
"$leat" show two >/dev/full 2>err
if [ $? = 74 ]; then ok; else bad "not told"; fi
check "nothing was written" [ "$(ls -A two | wc -l)" = "$(ls -A hurt | wc -l)" ]
finish
