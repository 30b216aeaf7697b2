#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Makes one folder of web pages of the lessons, glossary, cautions and pictures: no network, no script in
# them.  From any folder:
#   sh docs/lessons/html.sh FOLDER      is made; what it has of these pages is replaced
set -u
export LC_ALL=C.UTF-8

lessons=$(cd "$(dirname "$0")" && pwd) || exit 1

fail() {
    echo "lessons: $*" >&2
    exit 1
}

[ $# = 1 ] || fail "usage: sh docs/lessons/html.sh FOLDER"
command -v cmark-gfm >/dev/null || fail "cmark-gfm is missing: sh tests/install.sh lessons"
mkdir -p "$1/images" && out=$(cd "$1" && pwd) || fail "no folder: $1"
work=$(mktemp -d) || exit 1
trap 'rm -rf "$work"' EXIT

# Markdown to the inside of a page.  Links stay within the folder; of a page that is not in it the name is told.
inside() { # FILE
    cmark-gfm -e table --to html "$1" | sed -E \
        -e 's@href="(\.\./)?(glossary|cautions)\.md@href="\2.html@g' \
        -e 's@href="([0-9a-z-]+)\.md@href="\1.html@g' \
        -e 's@<a href="\.\./([a-z]+\.md)">([^<]*)</a>@\2 <span class="where">(docs/\1)</span>@g' \
        -e 's@<th></th>@<td></td>@g' \
        -e 's@☐ @☐\&nbsp;@g' \
        -e 's@^<table>@<div class="wide" tabindex="0" role="region" aria-label="table"><table>@' \
        -e 's@^</table>@</table></div>@' \
        -e 's@<pre><code>@<pre tabindex="0"><code>@' \
        -e 's@<pre tabindex="0"><code>(build/leat|sh )@<pre class="typed"><code>\1@'
}

# Pictures in a box of their own, that moves sideways on a phone.
boxed() {
    awk '
        /^<p><img / { on = 1; sub(/^<p>/, "<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-label=\"picture\">") }
        on && /<\/p>$/ { sub(/<\/p>$/, "</div>"); on = 0 }
        { print }'
}

# Each entry of the glossary gets a name, by which the lessons link to it.
named() {
    awk '
        /^<p><strong>/ {
            name = $0
            sub(/^<p><strong>/, "", name)
            sub(/\.?<\/strong>.*/, "", name)
            gsub(/&[a-z]+;/, "", name)
            name = tolower(name)
            gsub(/[^a-z0-9 -]/, "", name)
            gsub(/ /, "-", name)
            sub(/^<p>/, "<p id=\"" name "\">")
        }
        { print }'
}

# Behind the words of a lesson: what they mean, for paper.
explained() { # of a page on standard input
    awk -v glossary="$out/glossary.html" '
        BEGIN {
            while ((getline line < glossary) > 0) {
                if (line ~ /^<p id="/) {
                    split(line, part, "\"")
                    name = part[2]
                    sub(/^<p id="[^"]*">/, "", line)
                }
                if (name != "") {
                    meaning[name] = meaning[name] (meaning[name] == "" ? "" : " ") line
                    if (line ~ /<\/p>$/)
                        name = ""
                }
            }
        }
        /^<p><strong>Words:/ { on = 1; text = "" }
        on { text = text $0 "\n" }
        on && /<\/p>$/ {
            on = 0
            printf "%s<dl>\n", text
            while (match(text, /glossary\.html#[a-z0-9-]+/)) {
                word = substr(text, RSTART + 14, RLENGTH - 14)
                text = substr(text, RSTART + RLENGTH)
                line = meaning[word]
                sub(/<\/p>$/, "", line)
                split(line, half, "</strong>")
                sub(/<strong>/, "", half[1])
                print "<dt>" half[1] "</dt><dd>" half[2] "</dd>"
            }
            print "</dl>"
            next
        }
        !on { print }'
}

page() { # NAME FILE WAY
    title=$(sed -n 's/^# //p' "$2" | head -n 1)
    {
        cat <<EOF
<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>$title</title>
<link rel="stylesheet" href="style.css">
</head>
<body>
<nav aria-label="pages"><a href="index.html">All lessons</a><a href="before.html">Before you begin</a><a
href="glossary.html">Glossary</a><a href="cautions.html">Cautions</a></nav>
<main>
EOF
        inside "$2" | boxed | $3
        printf '</main>\n</body>\n</html>\n'
    } >"$work/page" || exit 1
    [ -n "$title" ] || fail "no title: $2"
    mv "$work/page" "$out/$1.html"
}

cp "$lessons/style.css" "$out/" && cp "$lessons"/images/*.svg "$out/images/" || fail "cannot write to $out"
page glossary "$lessons/../glossary.md" named
page cautions "$lessons/../cautions.md" cat
for file in "$lessons"/*.md; do
    page "$(basename "$file" .md)" "$file" explained
done
chmod -R a+rX "$out"
[ "${QUIET-}" ] || echo "Open $out/index.html in any browser; the folder can be copied as it is."
