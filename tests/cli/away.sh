#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# leat away: the answer in the first three lines, what it says of spans, and that it answers what applies.
#
# release
. "$(dirname "$0")/common.inc"
"$leat" new demo --from demo -q >/dev/null
"$leat" new vacation --from vacation -q >/dev/null
grep -v '^served\|topoff' short.cfg >unserved.cfg
sed 's/topoff = "pump and float switch"/topoff = "none"/; s/"2 days"/"60 days"/' short.cfg >dry.cfg

expect "five days away from a bench" 0 away demo.cfg -q --span "5 days"
head -n 3 out >first
says "whether, and what is done first" first "Leave?      YES for 5 days; first shut the supply valve."
says "what lasts without a fault" first "topped off for 7"
says "what a fault does" first "A fault     floods: 1 in "
says "what is left then" first "then: 1 in "
says "every measure is told" out "shut the supply, unplug the top-off"
says "the best is marked" out "shut the supply valve *"
says "cartridges are told of" out "resin ends"
says "and when in the year they end" out "Not in the 5 days before these days"
says "the valve is named" out "Shut the hand valve of the supply"
says "what was not tried" out "None found does not mean none there"
says "a physical safeguard comes first" out "independent physical safeguard"
check "80 columns" sh -c '! grep -qE "^.{81}" out'
check "it is never said that something cannot be" sh -c '! grep -qi "cannot" out'

expect "a vacation, from a date" 0 away vacation.cfg -q --span "3 days" --leaving 2026-07-06
head -n 3 out >first
says "one may go" first "Leave?      YES for 3 days; first shut the supply valve."
says "nothing ends" first "no cartridge ends"
says "the date is taken" out "that day"
says "a span below a fill cycle is told" out "perhaps not once"
check "80 columns for a date" sh -c '! grep -qE "^.{81}" out'

expect "the span of the scenario" 0 away short.cfg -q --set 'clock.away="1 day"' --format json
says "it is said" out '"span_h": 24.0'
says "whether, for programs" out '"leave": "if"'
says "the best, for programs" out '"best_measure": "shut'
says "the measures, for programs" out '"measure": "fill_shut"'
says "the absences, for programs" out '"case": "all parts new"'
cp out one.json
"$leat" away short.cfg -q --set 'clock.away="1 day"' --format json --jobs 3 >three.json 2>err
check "the same bytes on any number of threads" cmp -s one.json three.json

expect "no clock.away" 65 away short.cfg -q
says "what is taken instead is said" err "clock.away is not given"
says "and the cure" err "--span"
expect "a clock.away longer than the scenario" 65 away short.cfg -q --set 'clock.away="5 days"'
says "it is told" err "clock.away, 5 d"
expect "a span longer than the scenario" 64 away short.cfg -q --span "3 days"
expect "a span of nothing" 64 away short.cfg -q --span "0 days"
says "nothing is too short" err "a minute at least"
expect "a negative span" 64 away short.cfg -q --span "-3 days"
says "less than nothing, too" err "less than no time"
expect "a span without a unit" 64 away short.cfg -q --span 14
says "the unit is asked for" err '--span "14 days"'
expect "a span of metres" 64 away short.cfg -q --span "3 m"
expect "a day that is not in the run" 64 away short.cfg -q --span "1 day" --leaving 2031-01-01

expect "nothing is served" 0 away unserved.cfg -q --span "1 day"
says "the rest is answered" out "nothing is topped off"
expect "nothing tops it off" 0 away dry.cfg -q --span "14 days"
says "the served water goes short" out "NO, not for 14 days: the served water goes short after"
expect "a limit of the scenario is broken" 1 away vacation.cfg -q --span "1 day" \
    --set 'limits.salinity_high="20 g/kg"'
says "what is against it" out "NO, not for 24 h: the salt of the served water leaves its limits."
says "it is told" out "Limits      of the scenario are broken"
finish
