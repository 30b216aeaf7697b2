#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Commands that stand in README.md and docs/*.md: each verb is one, and takes the options.  Lines of code (indented)
# that begin with leat, and in the text all that stands between backquotes and begins so.
root=$(cd "$(dirname "$0")/../.." && pwd)
. "$(dirname "$0")/common.inc"
"$leat" --usage >usage
verbs=$(sed -n 's/^.*: leat \([a-z]*\) .*/\1/p' usage)
for verb in $verbs; do
    "$leat" "$verb" --help >"help-$verb"
done
later=$("$leat" --help | sed -n '/^Known, but not/,/^$/p' | tail -n +2 | tr -d ',' | tr -s ' \n' ' ')

# FILE and command, a line each; what is quoted in it is a value, and no option.
for page in "$root"/README.md "$root"/docs/*.md; do
    name=$(basename "$page")
    sed -n 's/^    \(leat .*\)/\1/p' "$page" | sed "s|^|$name |"
    tr '\n' ' ' <"$page" | grep -oE '`leat [^`]*`' | tr -d '`' | sed "s|^|$name |"
done | sed "s/'[^']*'//g; s/\"[^\"]*\"//g; s/ *|.*//; s/  .*//" | sort -u >commands
check "there are some" [ "$(wc -l <commands)" -gt 40 ]

while read -r page program verb rest; do
    case="$page: $program $verb $rest"
    if ! echo "$verbs" | grep -qxF -- "$verb"; then
        case " $later VERB help --help --version " in
        *" ${verb:-help} "*) ok ;;
        *) bad "there is no such verb" ;;
        esac
        continue
    fi
    wrong=
    for word in $rest; do
        case $word in
        --?*)
            option=${word%%=*}
            option=$(printf %s "$option" | sed 's/[^a-z-].*//')
            grep -qE -- "(^|[ ,])$option(=|\[| |,|\$)" "help-$verb" || wrong="$wrong $option"
            ;;
        -o | -q | -h | -V) grep -q -- " $word," "help-$verb" || wrong="$wrong $word" ;;
        esac
    done
    if [ -z "$wrong" ]; then ok; else bad "$verb does not take$wrong"; fi
done <commands
finish
