#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# leat along --animate: frames in the terminal, the folder with its moving picture, plants without some of the
# parts, and what it says where there is nothing to show.
. "$(dirname "$0")/common.inc"

cat >line.cfg <<'END'
title    = "Tags <b>bold</b> & \"quotes\" `id` $(id) %s";
feed     = { meter = "245 ppm"; hardness = "150 mg/L as CaCO3";
             alkalinity = "120 mg/L as CaCO3"; pH = 7.4; pressure = "50 psi";
             coldest = "6 degC"; warmest = "18 degC"; treatment = "chlorine"; };
train    = ( "carbon block 10 in", "membrane 75 gal/day", "mixed bed 10 in" );
storage  = { diameter = "50 cm"; height = "80 cm"; shuts_at = "70 cm";
             shutoff = [ "level switches" ]; };
draws    = ( { take = "60 L"; every = "1 day"; } );
events   = ( { at = "20 days"; what = "replace"; stage = "resin"; } );
clock    = { length = "60 days"; };
END

# the last byte of a file, and how many frames a gif has, by its control blocks
last_byte() { tail -c 1 "$1" | od -An -tx1 | tr -d ' \n'; }
gif_frames() { od -An -v -tx1 "$1" | tr -d ' \n' | grep -o '21f904......' | wc -l; }

# ---- in the terminal ----
expect "frames as text" 0 along line.cfg --animate --frames 5 -q
silent "nothing is complained of" err
check "as many as asked for" [ "$(grep -c '^frame ' out)" = 5 ]
says "they are counted" out "frame 5 of 5: day "
says "the new bed is named where it comes" out "; new: resin"
says "letters tell the species" out "C Ca M Mg K K A NH4 N Na . free"
says "how long, and why" out "the last resin was replaced on day 20.0"
says "what is replaced" out "Replaced    resin on day 20.0"
says "the next command" out "Next: leat along line.cfg --animate -o DIR"
check "80 columns" sh -c '! grep -qE "^.{81}" out'
check "no controls where there is no terminal" sh -c "! grep -q '$escape' out"
cp out first
expect "again" 0 along line.cfg --animate --frames 5 -q --no-color
check "the same to the last byte" cmp -s out first
expect "as rows" 0 along line.cfg --animate --frames 2 --format csv -q
check "each with its frame and part" sh -c \
    '! tail -n +2 out | grep -vqE "^[12],\"[^\"]*\",[0-9.]*,[a-z_L]*,[-0-9.e]*\$"'
cp out rows.csv
if command -v script >/dev/null && script -qec true /dev/null </dev/null >/dev/null 2>&1; then
    TERM=xterm script -qec "'$leat' along line.cfg --animate --frames 3 -q" /dev/null </dev/null >out 2>err
    says "on a terminal each is drawn over the one before" out "$escape[H"
    check "all three" [ "$(grep -c 'frame [123] of 3' out)" = 3 ]
    TERM=xterm script -qec "timeout --preserve-status -s INT 1 '$leat' along line.cfg --animate -q; echo left with \$?" \
        /dev/null </dev/null >out 2>err
    says "and can be left" out "left with 130"
fi

# ---- the folder ----
expect "a folder" 0 along line.cfg --animate --frames 6 -q -o film
check "every file has its hash" whole film
for file in film.csv film.txt scenario.resolved.cfg figures/film.gp figures/film.par figures/film.dat; do
    check "$file is there" [ -s film/$file ]
done
check "the text of all frames" [ "$(grep -c '^frame ' film/film.txt)" = 6 ]
check "no frames on the screen then" sh -c '! grep -q "^frame " out'
if command -v gnuplot >/dev/null; then
    says "pictures are told" out "Pictures: film/figures/film.gif and 6 frames beside it"
    check "the gif begins as one" [ "$(head -c 6 film/figures/film.gif)" = GIF89a ]
    check "and ends as one" [ "$(last_byte film/figures/film.gif)" = 3b ]
    check "it has all frames" [ "$(gif_frames film/figures/film.gif)" = 6 ]
    check "and so has the stack" [ "$(ls film/figures/film-00[1-6].svg | wc -l)" = 6 ]
    check "no more than that" [ ! -e film/figures/film-007.svg ]
    says "words of a user are words" film/figures/film-003.svg '&lt;b>bold&lt;/b>'
    check "and never tags" sh -c '! grep -q "<b>" film/figures/*.svg'
    expect "once more" 0 along line.cfg --animate --frames 6 -q -o again
    check "the gif is the same to the last byte" cmp -s film/figures/film.gif again/figures/film.gif
    check "a frame is, too" cmp -s film/figures/film-004.svg again/figures/film-004.svg
fi
expect "a folder that is there is not replaced" 73 along line.cfg --animate -q -o film
expect "unless asked" 0 along line.cfg --animate --frames 2 -q -o film --force --no-figures --terminal
check "without pictures" [ ! -e film/figures ]
check "with frames on the screen" [ "$(grep -c '^frame ' out)" = 2 ]
check "rows are those that were printed" cmp -s film/film.csv rows.csv
check "the resolved scenario gives the same film" sh -c \
    "'$leat' along film/scenario.resolved.cfg --animate --frames 2 --format csv -q 2>err | cmp -s - rows.csv"

# ---- without the program that draws, or with a bad one ----
mkdir none lies hangs
"$leat" along line.cfg --animate --frames 3 -q -o bare >out 2>err </dev/null
(PATH=$work/none "$leat" along line.cfg --animate --frames 3 -q -o nothing >out 2>err </dev/null; echo $? >code)
check "no gnuplot is no failure" [ "$(cat code)" = 0 ]
says "what is missing is told" err "gnuplot was not found"
check "and the folder is whole" whole nothing
printf '#!/bin/sh\nprintf GIF89a >film.gif\nprintf "<svg></svg>" >film-001.svg\n' >lies/gnuplot
chmod +x lies/gnuplot
(PATH=$work/lies:$PATH "$leat" along line.cfg --animate --frames 3 -q -o lied >out 2>err </dev/null; echo $? >code)
check "a gif that is cut is no failure" [ "$(cat code)" = 0 ]
says "but is told" err "without a whole picture"
check "and is not kept" [ ! -e lied/figures/film.gif ]
check "nor are frames that are no pictures" [ ! -e lied/figures/film-001.svg ]
printf '#!/bin/sh\nexec /bin/sleep 60\n' >hangs/gnuplot
chmod +x hangs/gnuplot
(PATH=$work/hangs:$PATH timeout --preserve-status -s INT 3 "$leat" along line.cfg --animate --frames 3 -q -o cut \
    >out 2>err </dev/null; echo $? >code)
check "interrupted while drawing" [ "$(cat code)" = 130 ]
check "the folder is whole then" whole cut
check "without half a film" [ ! -e cut/figures ]
check "nothing is left beside" [ -z "$(strays)" ]

# ---- interrupted while it runs ----
sed 's/60 days/3000 days/; s/^events.*//; s/"60 L"/"1 L"/' line.cfg >long.cfg
timeout --preserve-status -s INT 0.1 "$leat" along long.cfg --animate -q -o early >out 2>err </dev/null
code=$?
# a quick machine draws already, and then keeps what it has
if [ $code = 130 ] && ! grep -q "while drawing" err; then
    check "interrupted while running leaves nothing" [ ! -e early ]
    check "nor beside it" [ -z "$(strays)" ]
fi

# ---- other lines ----
expect "no membrane" 0 along line.cfg --animate --frames 3 -q --no-figures -o dry \
    --set 'train=("carbon block 10 in","mixed bed 10 in")' --set 'events=()'
check "has none in its frames" sh -c '! grep -qE "membrane|permeate" dry/film.txt'
expect "no resin" 0 along line.cfg --animate --frames 3 -q \
    --set 'train=("carbon block 10 in","membrane 75 gal/day")' --set 'events=()'
says "is said" out "no resin in this line"
check "and is not in the frames" sh -c '! grep -q "cation" out'
expect "a cation and an anion bed" 0 along line.cfg --animate --frames 3 -q --set 'events=()' \
    --set 'train=("membrane 75 gal/day","cation bed 10 in","anion bed 10 in")' -o two
check "80 columns" sh -c '! grep -qE "^.{81}" two/film.txt'
! command -v gnuplot >/dev/null || check "are drawn" [ -s two/figures/film.gif ]

# ---- refusals ----
expect "nothing that moves" 65 along line.cfg --animate -q --set 'train=("sediment 5 um")' --set 'events=()'
says "is said" err "no resin, no carbon and no membrane"
silent "and nothing else" out
expect "no water" 65 along line.cfg --animate -q -o never --set 'events=({at="0 s";what="supply cut";lasts="60 days";})'
says "is said, too" err "no water is made in 60 days"
check "and leaves no folder" [ ! -e never ]
expect "a film of one" 64 along line.cfg --animate --frames 1
says "says how many" err "from 2 to 60"
expect "frames of what?" 64 along line.cfg --frames 12
says "are those of --animate" err "--frames needs --animate"
expect "no date" 64 along line.cfg --animate --at "3 days"
says "but the whole life" err "leave out --at"
expect "no JSON" 64 along line.cfg --animate --format json
says "but rows" err "--format csv"
expect "no such file" 66 along nowhere.cfg --animate
if [ -w /dev/full ]; then
    case="a full disk is told"
    "$leat" along line.cfg --animate --frames 5 -q >/dev/full 2>err </dev/null
    status=$?
    [ $status = 74 ] && ok || bad "status $status, not 74"
fi
finish
