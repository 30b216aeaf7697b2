#!/bin/bash
# SPDX-License-Identifier: GPL-3.0-or-later
#
# The same bytes wherever a scenario is run: in any language, time zone, folder, umask, terminal, size of the
# environment, number of threads; a scenario over a change of clocks and a leap day among them.  Agreement to 1e-9
# where the C library may not use the processor's fused multiplication.  And ten years, hour by hour, without drift.
# $LEAT is a build without sanitizers.
. tests/cli/common.inc

sed -i 's/^clock.*/clock = { length = "4 days"; start = "2028-02-27T06:00"; };/' short.cfg
echo 'events = ( { at = "2028-02-29T12:00"; what = "power cut"; lasts = "1 h"; } );' >>short.cfg

# Locales with a decimal comma, and with letters i that change: made here, where their sources are.
mkdir locales
for name in de_DE tr_TR; do
    localedef -i $name -f UTF-8 locales/$name.UTF-8 2>/dev/null || echo "skipped, $name: no sources of locales here"
done
export LOCPATH=$work/locales

"$leat" run short.cfg -q -o plain --no-figures >out 2>err
cp short.cfg plain.cfg
"$leat" check short.cfg >plain.check 2>&1

# same WORDS COMMAND...: a run by that command gives the same bytes; the last argument is its folder.
same() {
    case=$1
    shift
    rm -rf other
    "$@" run short.cfg -q -o other --no-figures >out 2>err
    if diff -r plain other >different; then ok; else bad "$(head -n 3 different)"; fi
    case="$case: check"
    "$@" check short.cfg >now.check 2>&1
    if cmp -s plain.check now.check; then ok; else bad "another screen"; fi
}

for name in de_DE tr_TR; do
    [ -d locales/$name.UTF-8 ] || continue
    case="the locale $name is really there"
    if [ "$(LC_ALL=$name.UTF-8 /usr/bin/printf %.1f 1,5 2>/dev/null)" = 1,5 ]; then ok; else bad "$(locale 2>&1 | head -n 2)"; fi
    same "language $name" env LC_ALL=$name.UTF-8 LANG=$name.UTF-8 LANGUAGE=${name%_*} "$leat"
done
for zone in Europe/Paris Asia/Kolkata Pacific/Chatham America/St_Johns :/nowhere; do
    same "zone $zone" env TZ=$zone "$leat"
done
same "no environment" env -i "$leat"
same "a large environment" env LARGE="$(head -c 100000 /dev/zero | tr '\0' x)" "$leat"
for terminal in dumb xterm-256color ''; do
    same "terminal '$terminal'" env TERM="$terminal" COLUMNS=40 LINES=5 NO_COLOR=1 "$leat"
done
same "a small stack" sh -c 'ulimit -s 1024; exec "$0" "$@"' "$leat"
same "threads" env OMP_NUM_THREADS=1 "$leat"
same "memory full of ones" env MALLOC_PERTURB_=255 "$leat"
same "no layout of memory by chance" setarch -R "$leat"

case="another folder and umask"
mkdir -p "a far/folder"
(umask 077 && cd "a far/folder" && "$leat" run ../../short.cfg -q -o ../../far --no-figures >/dev/null 2>&1)
if diff -r plain far >different; then ok; else bad "$(head -n 3 different)"; fi

# All numbers of two files, the largest difference over the largest number of its column.
apart() {
    awk -F, '
        FNR == 1 { file++; next }
        { for (i = 1; i <= NF; i++) {
            size = $i < 0 ? -$i : $i
            if (size > most[i]) most[i] = size
            if (file == 1) { value[FNR, i] = $i; rows = FNR }
            else { d = $i - value[FNR, i]; if (d < 0) d = -d; if (d > off[i]) off[i] = d } } }
        END { for (i in off) if (most[i] > 0 && off[i] / most[i] > worst) worst = off[i] / most[i]; printf "%.2e %d\n", worst, rows }
    ' "$1" "$2"
}

# Rounded as they are written, numbers mostly are the same; a last digit may differ.
case="without fused multiplication in the C library"
for form in -AVX2,-FMA,-FMA4 -AVX2_Usable,-FMA_Usable,-FMA4_Usable; do
    rm -rf fused
    GLIBC_TUNABLES=glibc.cpu.hwcaps=$form "$leat" run short.cfg -q -o fused --no-figures >out 2>err
    cmp -s plain/series.csv fused/series.csv && echo "note: the same bytes with $form"
    if awk "BEGIN { exit !($(apart plain/series.csv fused/series.csv | cut -d' ' -f1) <= 1e-5) }"; then
        ok
    else
        bad "$form: $(apart plain/series.csv fused/series.csv)"
    fi
    summary=$(awk -F'[:,]' '
        /": *-?[0-9]/ { n = $2 + 0; key = FNR
            if (FILENAME ~ /^plain/) value[key] = n
            else { d = n - value[key]; if (d < 0) d = -d; s = n < 0 ? -n : n; if (d > 1e-9 * s + 1e-12) print $0 " was " value[key] } }
    ' plain/summary.json fused/summary.json | grep -v balance | head -n 3)
    case="answers agree to 1e-9 with $form"
    if [ -z "$summary" ]; then ok; else bad "$summary"; fi
done

case="ten years, hour by hour"
sed 's/^events.*//' short.cfg >years.cfg
"$leat" run years.cfg -q -o years --no-figures --set 'clock.length="3652 days"' --set 'records.every="1 h"' >out 2>err
rows=$(($(wc -l <years/series.csv) - 1))
if [ $rows = $((3652 * 24 + 1)) ]; then ok; else bad "$rows rows"; fi
case="the last hour is where it belongs"
if [ "$(tail -n 1 years/series.csv | cut -d, -f1)" = 3652 ]; then ok; else bad "$(tail -n 1 years/series.csv)"; fi
case="and each hour before it"
wrong=$(awk -F, 'NR > 1 { d = $1 - (NR - 2) / 24; if (d < 0) d = -d; if (d > 6e-6) n++ } END { print n + 0 }' years/series.csv)
if [ "$wrong" = 0 ]; then ok; else bad "$wrong hours are elsewhere"; fi
case="the balance still closes"
worst=$(sed -n '/"balance_relative_error"/,/}/p' years/summary.json | awk -F'[:,]' '
    /": *-?[0-9]/ { d = $2 < 0 ? -$2 : $2; if (d > most) most = d; n++ } END { print (n > 5 ? most + 0 : 1) }')
if awk "BEGIN { exit !($worst < 1e-9) }"; then ok; else bad "it is off by $worst"; fi
finish
