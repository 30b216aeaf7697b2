#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# leat overflow in parts and with kills: --shard, --keep, --resume and leat gather give the bytes of a run in one go.
. "$(dirname "$0")/common.inc"
"$leat" new demo >out 2>err
short='risk.unattended="3 h"'

whole_run() { "$leat" overflow demo.cfg --set "$short" -q "$@" 2>err; }

# ---- parts -------------------------------------------------------------------------------------

whole_run >whole.txt
whole_run --format json >whole.json
seq 3 | xargs -P2 -I{} "$leat" overflow demo.cfg --set "$short" -q --jobs 1 --shard {}/3 --keep part-{} >out 2>err
check "three parts by xargs" test "$(grep -c '^Part . of 3 is done' out)" = 3
expect "they are gathered in any order" 0 gather part-3 part-1 part-2
check "to the bytes of the whole" cmp -s out whole.txt
says "only the weighted years, which hang on all sets, were run for it" err "gather: 250 cases that no part has"
expect "as json, too" 0 gather part-* --format json
check "to the bytes of the whole" cmp -s out whole.json
"$leat" overflow demo.cfg --set "$short" -q --no-figures -o whole >out 2>err
expect "a folder of results, too" 0 gather part-* --no-figures -o joined
check "with the files of the whole" diff -r whole joined
mkdir elsewhere
cp -r part-* elsewhere
rm demo.cfg
(cd elsewhere && "$leat" gather part-* >../out 2>../err)
check "gathering needs no other file" cmp -s out whole.txt
"$leat" new demo >out 2>err

seq 2 | xargs -P2 -I{} "$leat" overflow demo.cfg --set "$short" --seed 5 --triples --years 0 -q --jobs 1 \
    --shard {}/2 --keep three-{} >out 2>err
whole_run --seed 5 --triples --years 0 >triples.txt
expect "triples with another seed" 0 gather three-1 three-2
check "to the bytes of the whole" cmp -s out triples.txt
silent "and no case was run for it" err

# a plain line, so that it is quick: what the best two safeguards do together no part can know
sed -e 's/topoff = "pump and float switch"; };/topoff = "none"; };/' \
    -e 's/^clock.*/&\nrisk = { unattended = "3 h"; };/' short.cfg >line.cfg
"$leat" overflow line.cfg -q --safeguards >more.txt 2>err
seq 2 | xargs -P2 -I{} "$leat" overflow line.cfg -q --safeguards --jobs 1 --shard {}/2 --keep more-{} >out 2>err
expect "safeguards" 0 gather more-1 more-2
check "to the bytes of the whole" cmp -s out more.txt
says "what was run for it is told" err "cases that no part has were run here"

expect "a part that is missing is named" 66 gather part-1 part-3
says "by its number" err "part 2 of 3 is missing"
silent "and nothing is answered" out
expect "a part that is there twice" 66 gather part-1 part-2 part-3 elsewhere/part-2
says "is named" err "and so is"
expect "parts of two campaigns" 66 gather part-1 part-2 three-1
expect "a folder that is none" 66 gather part-1 nothing
says "is named" err "nothing: holds no cases of a campaign"
expect "another scenario in its folder" 66 overflow demo.cfg -q --shard 1/3 --keep part-1
says "is told" err "another scenario, or to other values of --set"
sed -i 's/^    pressure = .*/    pressure = 3e5;/' elsewhere/part-1/scenario.resolved.cfg
echo 'title = "other";' >>elsewhere/part-1/scenario.resolved.cfg
(cd elsewhere && "$leat" gather part-1 part-2 part-3 >../out 2>../err)
check "a scenario that was changed in the folder is refused" test $? != 0
silent "and nothing is answered" out

for shard in 0/3 4/3 3 a/b 1/3x -1/3 1/0 1/ /3 1/1001 ''; do
    expect "--shard \"$shard\"" 64 overflow demo.cfg --keep never --shard "$shard"
done
expect "a part without a folder" 64 overflow demo.cfg --shard 1/3
says "is told what it needs" err "--keep DIR"
expect "a part with results" 64 overflow demo.cfg --shard 1/3 --keep never -o never
expect "two folders" 64 overflow demo.cfg --keep never --resume part-1
expect "gather of nothing" 64 gather
check "nothing was written" test ! -e never

# ---- kills -------------------------------------------------------------------------------------

long='risk.unattended="1 day"'

# killed SIGNAL: kills a run of one thread once some results are kept; the store is in cut.  A shell lets
# what runs in the background ignore SIGINT.
killed() {
    rm -rf cut
    env --default-signal=INT "$leat" overflow demo.cfg --jobs 1 --set "$long" --keep cut >out 2>err &
    pid=$!
    tries=0
    while [ "$(stat -c %s cut/cases.bin 2>/dev/null || echo 0)" -lt 15000 ] && [ $tries -lt 600 ]; do
        sleep 0.05
        tries=$((tries + 1))
    done
    kill -s "$1" $pid 2>/dev/null
    wait $pid
    status=$?
}
"$leat" overflow demo.cfg -q --set "$long" >long.txt 2>err

killed KILL
check "kill -9" test $status = 137
expect "is not finished" 66 gather cut
says "and says so" err "is not finished"
expect "goes on" 0 overflow demo.cfg -q --set "$long" --resume cut
check "to the same bytes" cmp -s out long.txt
before=$(stat -c %s cut/cases.bin)
expect "once more" 0 overflow demo.cfg -q --set "$long" --keep cut
check "to the same bytes" cmp -s out long.txt
check "and runs nothing" test "$(stat -c %s cut/cases.bin)" = "$before"
expect "a whole run is one part" 0 gather cut
check "to the same bytes" cmp -s out long.txt

killed INT
check "SIGINT" test $status = 130
says "how to go on is told" err "--resume cut"
next=$(sed -n 's/^Next: leat//p' err)
eval "\"\$leat\" $next" >out 2>err
check "in words that can be copied" cmp -s out long.txt

head -c $(($(stat -c %s cut/cases.bin) - 100)) cut/cases.bin >less
cat less >cut/cases.bin
expect "a file that was cut off" 0 overflow demo.cfg -q --set "$long" --resume cut
check "to the same bytes" cmp -s out long.txt

rm -rf full
(
    ulimit -f 20 # blocks of 512 bytes in dash and posix mode, 1024 in others
    "$leat" overflow demo.cfg -q --set "$short" --keep full >out 2>err
)
status=$?
check "a disk that is full" test $status = 74
silent "gives no answer" out
expect "goes on when there is room" 0 overflow demo.cfg -q --set "$short" --keep full
check "to the same bytes" cmp -s out whole.txt
expect "nothing to go on with" 66 overflow demo.cfg -q --resume never
check "nothing is left beside" test -z "$(find . -name '*.??????' -type d ! -name 'elsewhere')"
finish
