#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# The manual page and the completion of bash that the build makes beside the program: sound, whole, and
# of use.  Checkers that are not installed are left out, and said so.
. "$(dirname "$0")/common.inc"
built=$(dirname "$leat")
[ -f "$built/leat.1" ] && [ -f "$built/leat.bash" ] || exit 66

# ---- the page

checks() {
    if command -v "$1" >/dev/null; then
        shift
        "$@" >found 2>&1
        check "no finding: $*" [ ! -s found ]
        [ ! -s found ] || head -n 5 found
    else
        echo "left out: $1 is not installed"
    fi
}
checks man sh -c 'man --warnings -E UTF-8 -l "$1" >/dev/null' man "$built/leat.1"
checks groff groff -ww -man -z "$built/leat.1"
checks mandoc mandoc -Tlint "$built/leat.1"
sed -n 's/^\.SH //p' "$built/leat.1" | tr '\n' ' ' >sections
says "the sections that a page has" sections \
    "NAME SYNOPSIS DESCRIPTION VERBS COMMON OPTIONS EXIT STATUS FILES ENVIRONMENT EXAMPLES CAUTIONS SEE ALSO"
"$leat" --usage >usage
verbs=$(sed -n 's/^.*: leat \([a-z]*\) .*/\1/p' usage)
for verb in $verbs; do
    sed -n "/^\.SS $verb\$/,/^\.S[SH] /p" "$built/leat.1" | sed 's/\\-/-/g; s/\\(aq/'"'"'/g; s/\\(dq/"/g' >part
    "$leat" "$verb" --help >help
    for option in $(grep -oE '^ +(-.,)? +--[a-z-]+' help | grep -oE -- '--[a-z-]+'); do
        case $option in
        --quiet | --no-color | --help | --usage | --version) continue ;;
        esac
        case="$verb $option is in the page"
        if grep -qF "\\fB$option\\fR" part; then ok; else bad "it is not"; fi
    done
    sed -n '/^Examples:$/,/^[^ ]/s/^  leat/leat/p' help >examples
    while IFS= read -r line; do
        case="$verb: an example is in the page: $line"
        if grep -qxF -- "$line" part; then ok; else bad "it is not"; fi
    done <examples
done

# ---- the completion

checks shellcheck shellcheck "$built/leat.bash"
"$leat" new pond >out 2>err
mkdir "a folder" results "it's"
cp short.cfg "odd name.cfg"
cp short.cfg ./-dash.cfg
cp short.cfg "semi;touch broken.cfg"
touch notes.txt
"$leat" run short.cfg -q --no-figures -o two >out 2>err
mkdir bad
touch bad/manifest.json
printf 'day,$(touch broken),x;y,good_cm\n' >bad/series.csv

cat >complete.bash <<'END'
# bash complete.bash SCRIPT WORD...: what is proposed for the last word, a line each
. "$1"
shift
COMP_WORDS=(leat "$@")
COMP_CWORD=$#
_leat
printf '%s\n' "${COMPREPLY[@]}"
END

# proposes CASE "WORDS WANTED" WORD...: exactly these, in any order
proposes() {
    case=$1
    wanted=$2
    shift 2
    bash complete.bash "$built/leat.bash" "$@" >out 2>err
    # shellcheck disable=SC2086 # several words
    got=$(sort out | tr '\n' '|')
    if [ "$got" = "$wanted" ] && [ ! -s err ]; then ok; else bad "got $got"; fi
}

# has CASE WORD TYPED...: this one is among them
has() {
    case=$1
    wanted=$2
    shift 2
    bash complete.bash "$built/leat.bash" "$@" >out 2>err
    if grep -qxF -- "$wanted" out && [ ! -s err ]; then ok; else bad "\"$wanted\" is not proposed"; fi
}

lacks() {
    case=$1
    wanted=$2
    shift 2
    bash complete.bash "$built/leat.bash" "$@" >out 2>err
    if grep -qxF -- "$wanted" out; then bad "\"$wanted\" is proposed"; else ok; fi
}

for verb in $verbs; do
    has "the verb $verb" "$verb" ""
    has "$verb takes --help" --help "$verb" --h
done
proposes "verbs by their beginning" "sweep|" sw
proposes "options by their beginning" "--safeguards|--seed|--set|--shard|" overflow --s
proposes "no option of another verb" "|" keys --set
proposes "forms of check" "csv|json|table|" check --format ""
proposes "forms of run" "json|table|" run pond.cfg --format ""
proposes "forms of show" "csv|table|" show two --format ""
proposes "a form behind =" "json|" run pond.cfg --format = j
proposes "a form behind a bare =" "json|table|" run --format =
proposes "scenarios to copy" "demo|" new --from d
has "a scenario file" pond.cfg check ""
has "with blanks in its name" "odd name.cfg" check odd
has "typed with a backslash" "odd name.cfg" check 'odd\ n'
has "typed in quotes" "odd name.cfg" check "'odd n"
has "with a sign of the shell" "semi;touch broken.cfg" check semi
has "folders on the way" results check res
lacks "no other file" notes.txt check ""
proposes "nothing behind the file" "|" check pond.cfg ""
proposes "an option's argument is no operand" "pond.cfg|" run --seed 3 po
proposes "folders for -o" "results|" run pond.cfg -o r
has "folders with blanks" "a folder" run pond.cfg --output "a"
has "folders with a quote" "it's" show "it"
proposes "folders to show" "two|" show tw
has "more folders to gather" results gather two ""
proposes "channels of a folder" "tank_level_cm|tank_volume_L|" show two tank_
has "of all its tables" amount show two ""
has "a second one" product_meter_ppm show two tank_level_cm product_m
lacks "the axis is none" day show two d
proposes "strange heads are none" "good_cm|" show bad ""
proposes "a folder without results has none" "|" show results ""
has "keys to set" feed.pressure= run pond.cfg --set feed.pr
has "keys to vary" draws.1.take= sweep pond.cfg --vary draws.1.t
proposes "no proposal for a value" "|" run --set feed.pressure = ""
proposes "an unknown verb has nothing" "|" rnu ""
check "nothing of a name was run" [ ! -e broken ] && [ ! -e "broken.cfg" ]

# ---- installed

case="both are installed with the program"
if [ -f "$built/cmake_install.cmake" ] && cmake --install "$built" --prefix "$work/there" >out 2>err; then
    if [ -x there/bin/leat ] && gzip -dc there/share/man/man1/leat.1.gz | cmp -s - "$built/leat.1" &&
        cmp -s there/share/bash-completion/completions/leat "$built/leat.bash"; then ok; else bad "not there"; fi
else
    bad "not installed"
fi
finish
