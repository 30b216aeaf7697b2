#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# leat run: what it leaves, what it says, its exit status.
. "$(dirname "$0")/common.inc"

expect "two days run" 0 run short.cfg
check "the folder is named after the scenario" whole short-results
for file in series.csv events.csv daily.csv front.csv limits.csv balance.csv summary.json \
    scenario.resolved.cfg figures/levels.svg figures/meters.svg; do
    check "$file is there" test -s "short-results/$file"
done
says "the summary says complete" short-results/summary.json '"status": "complete"'
says "the screen begins with the title" out "Two days"
says "the screen says what was made" out "Made "
says "the screen says whether limits were broken" out "Limits "
says "the screen says where the pictures are" out "short-results/figures/"
says "the screen ends with the next command" out "Next: leat run short.cfg"
check "the screen fits 80 columns" awk 'length > 80 { exit 1 }' out
silent "no talk when all is well" err
check "nothing else is left" test -z "$(strays)"

expect "the same place again is refused" 73 run short.cfg
says "--force is named" err "--force"
expect "--force replaces it" 0 run short.cfg --force --no-figures -q
silent "quiet prints nothing" out
check "there are no figures then" test ! -e short-results/figures
echo mine >short-results/notes.txt
expect "--force refuses a folder with something more" 73 run short.cfg --force --no-figures
says "it names what it found" err "notes.txt"
check "that is still there" grep -q mine short-results/notes.txt
expect "a scenario that is missing is no input" 66 run no.cfg
expect "a scenario with a fault is bad data" 65 run short.cfg -o bad --set 'feed.pressure="50"'
check "nothing is written then" test ! -e bad
expect "a place without a parent is refused" 73 run short.cfg -o no/where
expect "a file as the place is refused" 73 run short.cfg -o short.cfg --force
ln -s short-results link
expect "a link as the place is refused" 73 run short.cfg -o link --force
check "nothing else is left after refusals" test -z "$(strays)"

# what a run needs is in its folder, and nothing of the machine is
expect "values can be changed" 0 run short.cfg -o changed --no-figures --seed 9 \
    --set 'clock.length="1 day"'
says "the seed is in the manifest" changed/manifest.json '"seed": 9'
says "the days are in the summary" changed/summary.json '"days": 1.0'
expect "the resolved scenario runs" 0 run changed/scenario.resolved.cfg -o again --no-figures \
    --seed 9
# values.csv tells where values came from, which is now the resolved scenario
check "it gives the same bytes" diff -rq -x values.csv -x manifest.json changed again
mkdir -p "other place"
case="neither place, time zone, language nor umask changes a byte"
(cd "other place" && umask 077 &&
    TZ=Asia/Kolkata LC_ALL=de_DE.UTF-8 COLUMNS=20 HOME=/nowhere \
        "$leat" run ../short.cfg -o x --no-figures --seed 9 --set 'clock.length="1 day"' \
        >../out 2>../err)
if cmp -s changed/manifest.json "other place/x/manifest.json"; then
    ok
else
    bad "manifests differ"
fi

expect "json goes to stdout" 0 run short.cfg -o json --no-figures --format json
check "it is the summary" cmp -s out json/summary.json
expect "a broken limit is status 1" 1 run short.cfg -o dry --no-figures \
    --set 'storage.first="20 cm"' --set 'draws=({ take = "200 L"; every = "1 day"; })'
says "it is told" out "went without water"
check "the folder is whole all the same" whole dry
expect "text figures are drawn on request" 0 run short.cfg -o text --terminal
says "they come before the next command" out "Next: "

case="without gnuplot a run is no failure"
PATH=/nowhere "$leat" run short.cfg -o plain >out 2>err
status=$?
if [ $status = 0 ]; then ok; else bad "status $status"; fi
says "what is missing is told" err "gnuplot was not found"
check "the rest is whole" whole plain
case="nor does -q hide it"
PATH=/nowhere "$leat" run short.cfg -o plain -q --force >out 2>err
if [ $? = 0 ]; then ok; else bad "not 0"; fi
says "what is missing is told then, too" err "gnuplot was not found"

# a program that hangs is stopped by the first Ctrl-C, and the results stay
mkdir hangs
printf '#!/bin/sh\nexec /bin/sleep 60\n' >hangs/gnuplot
chmod +x hangs/gnuplot
case="interrupted while drawing is 130"
# shells start what runs behind with INT ignored: TERM is the same way
PATH="$PWD/hangs:$PATH" "$leat" run short.cfg -o stopped >out 2>err &
drawer=$!
tries=0
while [ $tries -lt 100 ] && ! ls -d .stopped.*/figures >/dev/null 2>&1; do
    sleep 0.05
    tries=$((tries + 1))
done
kill -TERM $drawer
wait $drawer
status=$?
if [ $status = 143 ]; then ok; else bad "status $status"; fi
check "the results are whole" whole stopped
check "there are no pictures" test ! -e stopped/figures
says "it is told" err "without pictures"
check "nothing else is left then" test -z "$(strays)"

# every command that is offered works
expect "a run for its next command" 0 run short.cfg -o first --no-figures
next=$(sed -n 's/^Next: leat //p' out)
case="the next command of a run works"
if eval "\"\$leat\" $next --no-figures" >out 2>err; then ok; else bad "leat $next"; fi
case="and of a scenario with an odd name"
cp short.cfg "it's a; b.cfg"
"$leat" check "it's a; b.cfg" >out 2>err
next=$(sed -n 's/^Next: leat //p' out)
if eval "\"\$leat\" $next --no-figures" >out 2>err; then ok; else bad "leat $next"; fi

# without water nothing is a number
expect "no water at all" 0 run short.cfg -o none --no-figures --set 'draws=()' \
    --set 'events=({ at = "0 s"; what = "supply cut"; lasts = "2 days"; })'
case="no screen says nan"
if grep -qiw nan out; then bad "nan"; else ok; fi
says "it says that no water passed" out "no water passed"

# one valve for all protections: said before, and in the log
cat >stuck.cfg <<'END'
feed     = { meter = "245 ppm"; hardness = "150 mg/L as CaCO3"; alkalinity = "120 mg/L as CaCO3";
             pH = 7.4; pressure = "50 psi"; coldest = "6 degC"; warmest = "18 degC"; };
train    = ( "sediment 5 um", "membrane 75 gal/day" );
storage  = { diameter = "50 cm"; height = "80 cm"; shuts_at = "65 cm"; opens_at = "50 cm"; high_at = "72 cm";
             shutoff = [ "level switches", "high switch", "leak sensor" ]; };
events   = ( { at = "1 h"; what = "fault"; part = "feed solenoid"; mode = "sticks open"; } );
clock    = { length = "2 days"; };
END
expect "a sound scenario" 0 check stuck.cfg
says "that all act on one valve is told" out "act on ONE feed solenoid"
expect "a solenoid that sticks spills" 1 run stuck.cfg -o stuck --no-figures
says "the log says what was ordered" stuck/events.csv "tells the feed solenoid to shut"
case="and not that it was done"
if grep -q "shuts the feed solenoid" stuck/events.csv; then bad "shuts"; else ok; fi

# cold water in a muggy room takes vapour up: that serves no draw
expect "a room that condenses" 0 run short.cfg -o muggy --no-figures --set 'served.water="10 degC"' \
    --set 'served.air="30 degC"' --set served.humidity=0.95 --set 'clock.length="9 days"'
says "no water is needed for that" out "Needed      240 L; 240 L drawn."
says "and it is said" out "condensed on the served water"
expect "the need of such a room" 0 check short.cfg --set 'served.water="10 degC"' \
    --set 'served.air="30 degC"' --set served.humidity=0.95
says "is its draws" out "needed: 30.0 L/day on average, 30.0"
expect "served water that nothing tops off" 0 run short.cfg -o alone --no-figures --set served.topoff=none
says "needs nothing" out "Needed      30.0 L; 30.0 L drawn."
says "though it evaporates" out "evaporated, which nothing tops off"
expect "an hour with a price and no use" 0 run short.cfg -o hour --no-figures --set 'clock.length="1 h"' \
    --set 'prices.water="2 /m3"'
says "costs nothing" out "Cost        nothing."

sed 's/Two days/two\\x1b[31m days/' short.cfg >"odd${escape}[31m.cfg"
"$leat" run "odd${escape}[31m.cfg" -o odd --no-figures >out 2>err
check "no line of the screen has one" sh -c "! cat out err | grep -q '$escape'"

finish
