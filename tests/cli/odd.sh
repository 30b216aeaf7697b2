#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Odd plants and odd waters: what a screen says must hold for the plant at hand, and what it says to run next must run.
. "$(dirname "$0")/common.inc"

# lacks CASE FILE TEXT: the text does not stand in the file.
lacks() {
    case=$1
    if grep -qF -- "$3" "$2"; then bad "\"$3\" is in $2"; else ok; fi
}

narrow() {
    case="$1 keeps to 80 columns"
    if grep -v "^Next:" out | grep -qE '^.{81}'; then bad "a longer line"; else ok; fi
}

no_membrane='train=("sediment 5 um","carbon block 10 in","mixed bed 10 in")'

expect "a line without a membrane" 0 check short.cfg --set "$no_membrane"
narrow "its sizing"
says "it needs minutes a day, not 0.0 hours" out "it must run 7 min for that"
expect "what each part does" 0 along short.cfg --set "$no_membrane"
lacks "no drain is told of" out "to the drain"
expect "the life of its cartridges" 0 life short.cfg -q --set "$no_membrane" --samples 32
lacks "no permeate is told of" out "permeate"
says "its salt comes with the feed" out "salt in the feed"
expect "its faults" 0 overflow short.cfg -q --set "$no_membrane" --years 0
lacks "nothing is behind a membrane" out "Behind the membrane"
says "but behind the cartridges" out "Behind the cartridges"

expect "leaving a line without overflow or sensor" 0 away short.cfg -q --set 'clock.away="1 day"'
lacks "no overflow is looked after" out "overflow's way"
lacks "no sensor is tried" out "leak sensor."
expect "leaving a line with both" 0 away short.cfg -q --set 'clock.away="1 day"' \
    --set storage.overflow=standpipe --set 'storage.shutoff=["level switches","leak sensor"]'
says "its overflow is looked after" out "overflow's way"
says "its sensor is tried" out "Try the leak sensor"

expect "a tank that nothing stops" 0 overflow short.cfg -q --set 'storage.shutoff=()' --years 0
says "spills without a fault" out "YES, without any fault"
says "and no fault is blamed" out "nothing has to fail: the tank runs over its rim"
says "it is certain" out "How likely  certain"

expect "a run timer that a draw trips" 0 check short.cfg \
    --set 'storage.shutoff=["level switches","run timer"]' --set 'storage.longest_run="5 h"'
says "is told" out "TOO SHORT A RUN TIMER: on a cold day 45.7 L take"
expect "one that gives it the time" 0 check short.cfg --set 'storage.shutoff=["level switches","run timer"]'
lacks "is not" out "TOO SHORT"

expect "a top-off by gravity" 0 overflow short.cfg -q --set 'served.topoff="gravity float"' --years 0
says "its float may stick open" out "top-off float sticks open"
says "and then the served water runs over" out "the served water runs over its rim"
expect "leaving it" 0 away short.cfg -q --set 'served.topoff="gravity float"' --set 'clock.away="1 day"'
lacks "no level is below nothing by nothing" out "-0.0"
expect "a float that sticks a little open" 0 run short.cfg --no-figures -q -o stuck --set 'served.topoff="gravity float"' \
    --set 'events=({ at="1 h"; what="fault"; part="top-off float"; mode="sticks part open"; amount=0.02; })'

expect "nothing but a sediment cartridge" 0 check short.cfg --set 'train=("sediment 5 um")'
lacks "a sediment cartridge has no meter that ends it" out "fresh bed"
expect "two beds, one behind the other" 0 check short.cfg \
    --set 'train=("carbon block 10 in","membrane 75 gal/day","mixed bed 10 in","mixed bed 10 in")'
narrow "their sizing"
expect "carbon that chloramine passes" 0 check short.cfg --set feed.treatment=chloramine
says "is over at once, and so it is said" out "First to end: carbon from the first litre"

# waters of which little is said
feed() {
    printf 'feed = { %s pressure = "50 psi"; };\n' "$1" >water.cfg
    sed '/^feed/,/};$/d' short.cfg >>water.cfg
}
feed 'potassium = "39 mg/L"; chloride = "35.45 mg/L"; pH = 7;'
expect "two ions that balance are taken as part of a common water" 0 check water.cfg
says "which is warned of" err "only 16 % of the ions of this water were given"
says "with the way to say that there is no more" err 'alkalinity = "0 meq/L"'
expect "that way" 0 check water.cfg --set 'feed.alkalinity="0 meq/L"'
silent "leaves no doubt" err
says "and no other ion" out "calcium 0 mol/m3: none: what was given balances without it"
feed 'calcium = "600 mg/L"; sulfate = "1438 mg/L"; pH = 7;'
expect "a sulfate that is blown up to a brine" 65 check water.cfg
says "is not called a wrong unit" err "most of that is assumed"
feed 'ammonium = "18 mg/L"; nitrate = "62 mg/L"; pH = 6.5;'
expect "ammonium and nitrate are a water" 0 check water.cfg
says "of these two" out "nitrate             62 mg/L     1.000 meq/L"
check "and no calcium to speak of" grep -qE '^  calcium +0\.0' out
feed 'meter = "300 ppm"; pH = 3;'
expect "an acid water" 0 check water.cfg
says "has a range of carbon dioxide that can be" out "with pH 0.3 off: 11 to 176 mg/L"

many='"sediment 5 um","sediment 5 um","sediment 5 um"'
expect "a train that is too long" 65 check short.cfg --set "train=($many,$many,$many)" \
    --set 'prices.cartridges.sediment=3'
says "is one complaint, and none of the prices of its parts" err "1 error"

feed 'meter = "0 ppm"; pH = 7;'
expect "pure water" 0 check water.cfg
lacks "of which nothing below nothing is held back" out "-0.0"
expect "along the line" 0 along water.cfg
lacks "neither" out "-0.0"

# of a minute one row is recorded: its axis is a day long, with room for each label
if command -v gnuplot >/dev/null; then
    expect "a run of a minute" 0 run short.cfg -o minute --set 'clock.length="1 min"'
    says "ten labels on its axis" minute/figures/levels.par "xstep = 0.1"
fi

expect "an outlet that lies above the start switch" 0 check short.cfg --set 'storage.outlet="65 cm"'
says "is warned of: nothing would fill the tank again" err "never filled again"
expect "an outlet below it" 0 check short.cfg --set 'storage.outlet="60 cm"'
lacks "is none" err "never filled again"

# what a screen says to run next finds a place for its results
cp short.cfg twice.cfg
expect "a run" 0 run twice.cfg --no-figures -q
mkdir twice-results-2
expect "the plant at a glance, after it" 0 check twice.cfg
says "says where another run has room" out "leat run twice.cfg -o twice-results-3"
expect "which is so" 0 run twice.cfg -o twice-results-3 --no-figures
says "and the next goes beside that" out "-o twice-results-3-2"
finish
