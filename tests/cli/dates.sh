#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Dates: of a run that starts at seven in the morning, over a leap day, past 2038 and 2100, and in zones whose clocks
# change; and a series that nobody could keep.
. "$(dirname "$0")/common.inc"

# dated WORDS START WHEN SHOWN: an event at a date is written under that date.
dated() {
    case=$1
    rm -rf folder
    sed -e "s/^clock.*/clock = { length = \"2 days\"; start = \"$2\"; };/" short.cfg >dated.cfg
    echo "events = ( { at = \"$3\"; what = \"power cut\"; lasts = \"1 h\"; } );" >>dated.cfg
    if "$leat" run dated.cfg -q -o folder --no-figures >out 2>err && grep -q "^[0-9.]*,$4,power" folder/events.csv; then
        ok
    else
        bad "$(grep -m 1 power folder/events.csv)"
    fi
}

dated "from midnight" 2026-03-01 2026-03-02T02:30 2026-03-02T02:30:00
dated "from seven in the morning" 2026-03-01T07:00 2026-03-02T02:30 2026-03-02T02:30:00
dated "over a leap day" 2028-02-28T12:00 2028-02-29T12:00 2028-02-29T12:00:00
dated "over the end of February in 2100, which has no leap day" 2100-02-28 2100-03-01T06:00 2100-03-01T06:00:00
dated "past the end of 32 bits" 2038-01-18 2038-01-19T04:00 2038-01-19T04:00:00

for zone in Europe/Paris Asia/Kolkata Pacific/Chatham; do
    export TZ=$zone
    for day in 2026-03-28 2026-04-04 2026-09-26 2026-10-24; do
        next=$(date -u -d "$day + 1 day" +%F)
        dated "an hour that $zone may not have, $next" $day "${next}T02:30" "${next}T02:30:00"
    done
done
unset TZ

for day in 2026-02-31 2027-02-29 2100-02-29 2026-13-01 2026-04-31 26-01-01 2026-03-01T24:00; do
    expect "$day is no date" 65 check short.cfg --set "clock.start=\"$day\""
done
expect "a leap day is one" 0 check short.cfg --set 'clock.start="2028-02-29"'

expect "a series that nobody could keep is refused" 65 check short.cfg --set 'clock.length="36500 days"' \
    --set 'records.every="1 s"'
says "with its size in words" err "3.15e+09 rows"
expect "and one that a large disk holds is not" 0 check short.cfg --set 'clock.length="365 days"' --set 'records.every="1 s"'
finish
