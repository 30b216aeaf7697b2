#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# The lessons: every command runs again, and every page, number and picture must be what it makes; the web
# pages are sound, whole and without network.
# release
docs=$(cd "$(dirname "$0")/../../docs" && pwd) || exit 70
lessons=$docs/lessons
project=$(dirname "$docs")
. "$(dirname "$0")/common.inc"

# ---- scenarios ---------------------------------------------------------------------------------

for scenario in "$project"/scenarios/lessons/*.cfg; do
    name=$(basename "$scenario" .cfg)
    expect "$name: the scenario is sound" 0 check "$scenario"
    says "$name: it says that it is invented" "$scenario" "All values are invented"
    for page in "$name" "$name-run" "$name-answers"; do
        check "$page has a source" test -s "$lessons/src/$page.md"
    done
    expect "$name: leat new copies it" 0 new "mine-$name" --from "$name"
    check "$name: the copy is the scenario" cmp -s "mine-$name.cfg" "$scenario"
done

# ---- pages and pictures ------------------------------------------------------------------------

case="every command of the lessons runs"
if QUIET=1 sh "$lessons/make.sh" "$leat" made >out 2>err; then ok; else bad "make.sh failed"; fi
for source in "$lessons"/src/*.md; do
    page=$(basename "$source")
    diff "$lessons/$page" "made/$page" >out 2>&1
    check "$page is what the runs make" test ! -s out
    check "$page has no mark left" sh -c "! grep -q '@' '$lessons/$page'"
done

# Pictures are the same to the byte if the same gnuplot drew them; their data always is.
drawn_by() { sed -n 's/.*<desc>\(Produced by .*\)<\/desc>.*/\1/p' "$1" | head -n 1; }
check "the data of the pictures are as they were" cmp "$lessons/images/data.sha256" made/images/data.sha256
for picture in made/images/*.svg; do
    kept=$lessons/images/$(basename "$picture")
    check "$(basename "$picture") is kept" test -s "$kept"
    [ "$(drawn_by "$picture")" = "$(drawn_by "$kept")" ] || continue
    check "$(basename "$picture") is what the run draws" cmp -s "$picture" "$kept"
done
check "no picture is left over" test "$(ls made/images)" = "$(ls "$lessons/images")"

for source in "$lessons"/src/[0-9]*-run.md; do
    page=$(basename "$source" -run.md)
    for part in '## Predict' '## Do' '## Look' '## Explain' '**Words:**' '____' "]($page-run.md)" '](before.md)'; do
        says "$page has $part" "$lessons/$page.md" "$part"
    done
    for part in '**Minutes:**' '## Numbers from the run' '## Why' '## What pupils often think' \
        '## What the model leaves out'; do
        says "$page-answers has $part" "$lessons/$page-answers.md" "$part"
    done
    check "$page: there is a picture" grep -q '^!\[' "$lessons/$page-run.md"
    check "$page: the minutes are 45 at most" sh -c "sed -n '/^\*\*Minutes/,/^\$/p' '$lessons/$page-answers.md' |
        tr '\n' ' ' | sed 's/\..*//' | grep -o '[0-9][0-9]*' | awk '{ all += \$1 } END { exit !(all > 30 && all <= 45) }'"
    check "$page is in the list" grep -q "]($page.md)" "$lessons/index.md"
done

# ---- make.sh refuses what is wrong --------------------------------------------------------------

# copied SED-SCRIPT FILE: lesson 3 in a project of its own, with one line changed.
copied() {
    rm -rf copy
    mkdir -p copy/docs/lessons/src copy/scenarios
    cp "$lessons/make.sh" copy/docs/lessons/
    cp "$lessons"/src/3-acid* copy/docs/lessons/src/
    cp -r "$project/scenarios/lessons" copy/scenarios/
    sed -i "$1" "copy/docs/lessons/src/$2"
    QUIET=1 sh copy/docs/lessons/make.sh "$leat" copy/made >out 2>err
}

wrong() { # CASE SED-SCRIPT FILE
    case=$1
    if copied "$2" "$3"; then bad "it was made"; else ok; fi
}

case="a copy is made like the lesson itself"
if copied 's/^//' 3-acid.md && cmp -s copy/made/3-acid-answers.md "$lessons/3-acid-answers.md"; then ok; else bad "it is not"; fi
wrong "a number that is not there is a fault" 's/pH_25C/pH_25X/' 3-acid-answers.md
wrong "a line that is not there is a fault" 's/^@show 1 WATER/@show 1 WINE/' 3-acid-run.md
wrong "a picture that is not there is a fault" 's/sweep.svg/swoop.svg/' 3-acid-run.md
wrong "a command that fails is a fault" 's/leat along/leat alang/' 3-acid.md

# ---- web pages -----------------------------------------------------------------------------------

case="the web pages are made"
if sh "$lessons/html.sh" web >out 2>err; then ok; else bad "html.sh failed"; fi
for page in web/*.html; do
    name=$(basename "$page")
    tidy -e -q "$page" >out 2>&1
    check "$name: tidy has nothing to say" test ! -s out
    check "$name: one heading of the first order" test "$(grep -c '<h1' "$page")" = 1
    check "$name: no script, no frame, no network" sh -c \
        "! grep -Eiq '<script|<iframe|https?:|href=\"//|src=\"//|\\.md\"' '$page'"
done
check "no picture without words" sh -c "! grep -h '<img' web/*.html | grep -Eq 'alt=\"\"|<img src=\"[^\"]*\" */?>'"
check "every page of the lessons is there" test "$(ls "$lessons"/*.md | wc -l)" = "$(($(ls web/*.html | wc -l) - 2))"

# Every link leads to a file of the folder, and to a name in it.
grep -Eo '(href|src)="[^"]*"' web/*.html | sed -E 's@^web/([^:]*):(href|src)="([^"]*)"@\1 \3@' | sort -u >links
while read -r page link; do
    file=${link%%#*}
    [ -s "web/${file:-$page}" ] || echo "$page: $link"
    case $link in
    *#*) grep -q "id=\"${link#*#}\"" "web/${file:-$page}" || echo "$page: $link" ;;
    esac
done <links >out
check "every link leads somewhere in the folder" test ! -s out
check "there are links to look at" test "$(wc -l <links)" -gt 100
for page in web/[0-9]*[a-z].html; do
    case $page in *-run.html | *-answers.html) continue ;; esac
    words=$(sed -n '/<p><strong>Words/,/<\/p>/p' "$page" | grep -o 'glossary.html#' | wc -l)
    check "$(basename "$page") explains its words on paper" sh -c \
        "[ $words -gt 2 ] && [ $words = \"\$(grep -c '<dt>..*</dt><dd>..*</dd>' '$page')\" ]"
done

finish
