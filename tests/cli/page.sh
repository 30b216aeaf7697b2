#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# leat report: one page from folders, beside the first or where -o says; what it refuses, what it replaces, and
# that no name of a scenario comes out as markup.
cautions=$(realpath "$(dirname "$0")/../../docs/cautions.md")
. "$(dirname "$0")/common.inc"
title='<script>alert(1)<\/script> \\"x\\" \& '"'y'"' =cmd() <svg\/onload=z>'
sed "s/^title.*/title = \"$title\";/; s/^clock/prices = { currency = \"=<i>\"; water = \"2 \/m3\"; };\nclock/" \
    short.cfg >hostile.cfg

expect "a run leaves its words" 0 run short.cfg -q --no-figures -o run
says "its answer as it is printed" run/summary.txt "Made        "
says "where values come from" run/values.csv '"feed.pressure","50 psi",given,"line 4 of the scenario"'
says "and those that nobody gave" run/values.csv ',default,'
check "no place of this machine" sh -c "! grep -rq '$work' run"
check "the folder is whole" whole run

expect "a page of it" 0 report run
silent "nothing is complained of" err
says "where it stands" out "Page: run.html ("
says "what to do with it" out "Next: xdg-open run.html"
check "the folder stays as it was" whole run
check "nothing else is left" test "$(ls -A | tr '\n' ' ')" = "err hostile.cfg out run run.html short.cfg "
check "it has the mode of the mask" test "$(stat -c %a run.html)" = 644
check "it is well-formed" xmllint --noout --nonet run.html
for words in "<html lang=\"en\">" "default-src 'none'" "style-src 'sha256-" "Skip to the report" "<h1>Two days</h1>" \
    "The question" "The answer in words" "What was assumed" "How sure is this" \
    "no substitute for an independent physical safeguard" "Residual-current" "How this was made"; do
    says "the page has: $words" run.html "$words"
done
check "every caution is there" test "$(grep -c '^\*\*' "$cautions")" = \
    "$(sed -n '/id="cautions"/,/<.section>/p' run.html | grep -c '^<p><strong>')"
check "no script, no style but its own, no address but names in it" \
    sh -c '! grep -qiE "<script|<link|<iframe|<img| style=|javascript:|(href|src)=\"[^#\"]" run.html'
check "the hash is that of its style" sh -c '
    wanted=$(sed -n "s/.*style-src .sha256-\([^'\'']*\).*/\1/p" run.html)
    found=$(awk "/<style>/ { on = 1; sub(/.*<style>/, \"\") } /<\/style>/ { exit } on" run.html |
        openssl dgst -sha256 -binary | base64)
    test "$wanted" = "$found"'

expect "a second one is refused" 73 report run
says "how to replace it" err "--force"
cp run.html first.html
expect "unless forced" 0 report run --force -q
silent "quietly" out
check "the same bytes" cmp -s run.html first.html
expect "another name" 0 report run/ -o "a name.html"
says "it is quoted" out "Next: xdg-open 'a name.html'"
check "the same bytes there" cmp -s "a name.html" first.html
ln -s first.html link.html
expect "a link is not replaced" 73 report run -o link.html --force
check "what it leads to stays" cmp -s run.html first.html
expect "nor a device" 73 report run -o /dev/full --force
expect "nor a folder" 73 report run -o run --force
expect "there is no such folder" 73 report run -o nowhere/x.html
expect "a folder without a name" 64 report "$work/run/." 
says "how to say one" err "-o FILE.html"
"$leat" report run -o told.html >/dev/full 2>err
check "words that could not be printed are told" test $? = 74
check "the page is there all the same" cmp -s told.html first.html
(
    ulimit -f 8 # 4 KiB
    trap '' XFSZ
    "$leat" report run -o large.html >out 2>err
)
check "a page that does not fit is told" test $? = 74
check "and nothing is left of it" test ! -e large.html
check "nor a temporary" test -z "$(strays)"
if [ "$(id -u)" != 0 ]; then
    mkdir shut && chmod 555 shut
    expect "a folder that may not be written" 73 report run -o shut/x.html
    chmod 755 shut
fi

# several folders
expect "a sweep" 0 sweep short.cfg -q --vary 'feed.pressure=45,50 psi' --no-figures -o sweep
expect "another" 0 sweep short.cfg -q --vary 'feed.pH=7.2,7.4' --no-figures -o other
expect "any order, several sweeps" 0 report sweep run other -o three.html
check "the run comes first" sh -c '
    test "$(grep -n "<h2" three.html | head -n 3 | sed "s/.*\">//; s/<.*//" | tr "\n" ,)" = \
        "What will happen,What if (1),What if (2),"'
check "it is well-formed, too" xmllint --noout --nonet three.html
check "it stands beside the first folder of the page" sh -c '"$1" report sweep run -q --force && test -s run.html' - "$leat"
expect "two runs are one too many" 64 report run run -o x.html
says "it says so" err "two folders of leat run"
expect "a sweep alone is fine" 0 report sweep
expect "of another scenario" 0 run short.cfg -q --no-figures --set 'feed.pH=7.9' -o changed
expect "side by side" 0 report changed sweep -o x.html
says "is told" x.html "Another scenario."
says "what was changed is told" changed/values.csv 'changed,"by --set"'

# units of another taste than the page's
expect "a run in other units" 0 run short.cfg -q --no-figures -o gallons --units us
expect "the page in the same ones" 0 report gallons --units us -o same.html
check "says nothing of it" sh -c '! grep -q "Other units" same.html'
expect "the page in others" 0 report gallons sweep -o mixed.html
says "says so" mixed.html "Other units.</strong> Words and pictures that stand in this folder are in US units, the tables here are metric."
check "of that folder alone" test "$(grep -c "Other units" mixed.html)" = 1
check "it is well-formed" xmllint --noout --nonet mixed.html
expect "and the other way round" 0 report run --units us -o turned.html
says "says so" turned.html "are metric, the tables here are in US units."

# what is not as it was written
cp -r run bent
echo "9,2026-01-01T00:00:00,spill,\"tank\",\"x\"" >>bent/events.csv
expect "a folder that was changed is refused" 66 report bent
says "which file" err "bent: events.csv is not as it was written"
check "nothing is written" test ! -e bent.html
cp -r run cut && rm cut/cost.csv
expect "a file is missing" 66 report cut
says "which" err "cut: cost.csv is missing"
mkdir empty
expect "a foreign folder" 66 report empty
says "why" err "no results of this program"
expect "no folder" 66 report short.cfg
expect "none at all" 64 report
says "which is asked" err "leat report: which DIR"

# hostile names
expect "a run with hostile names" 0 run hostile.cfg -q -o hostile
expect "a page of it" 0 report hostile
check "well-formed" xmllint --noout --nonet hostile.html
check "no markup of theirs" sh -c '! grep -qE "<script|<svg/|<i>|onload=\"|onload=z>" hostile.html'
says "they are shown as they are" hostile.html "&lt;script&gt;alert(1)&lt;/script&gt;"
says "no formula in a cell" hostile.html "&#39;=&lt;i&gt;"
expect "a folder with a hostile name" 0 run short.cfg -q --no-figures -o "<b>\"x'${escape}[31m"
expect "a page of that" 0 report "<b>\"x'${escape}[31m" -o named.html
check "its name is not in it" sh -c '! grep -q "<b>" named.html'
expect "it stands beside it" 0 report "<b>\"x'${escape}[31m"
check "no control character is printed" sh -c "! grep -q '$escape' out"

# limits
expect "a limit that breaks" 1 run short.cfg -q --no-figures --set 'limits.permeate="1 ppm"' -o broken
expect "its page" 0 report broken
says "says so first" broken.html "A limit of the scenario was broken."
check "the other does not" sh -c '! grep -q "A limit of the scenario was broken" run.html'

# early ends
expect "a run that stopped" 0 run short.cfg -q --no-figures --until "1 day" -o early
expect "its page" 0 report early
says "says so" early.html "Not to the end."

expect "the help" 0 report --help
check "80 columns" awk 'length > 80 { exit 1 }' out
finish
