# SPDX-License-Identifier: GPL-3.0-or-later
# The ions along the line: `gnuplot along.gp` in this folder draws along.svg again.
load 'along.par'
set terminal svg size wide,high font 'sans-serif,12' background '#ffffff' noenhanced name 'along'
set output 'along.svg'
set encoding utf8
set datafile separator "\t"
unset key
set multiplot

set lmargin at screen 30.0 / wide
set rmargin at screen 1.0
set tmargin at screen 1.0
set bmargin at screen 1.0 - 52.0 / high
set xrange [0:1]
set yrange [0:1]
unset border
unset tics
plot 'along-title.dat' using (0):(0.68):1 with labels left font 'sans-serif,15' noenhanced, \
     '-' using (0):(0.2):1 with labels left textcolor rgb '#505050' noenhanced
Ions behind each part, cations beside anions, each part on a scale of its own: its full height is the number above
e

# one unit is one px, the origin stands at the upper left
set lmargin at screen 0
set rmargin at screen 1
set tmargin at screen 1
set bmargin at screen 0
set xrange [0:wide]
set yrange [high:0]
sign(c) = int(c) % 3 == 0 ? (c < 3 ? 7 : 6) : int(c) % 3 == 1 ? (c < 3 ? 9 : 8) : (c < 3 ? 5 : 4)
plot 'along.dat' using (($1 + $2) / 2):(($3 + $4) / 2):1:2:3:4:5 with boxxyerror lc rgb variable fs solid 1.0 border lc rgb '#808080', \
     'along-curves.dat' using 1:($3 < 0 ? $2 : NaN):4 with lines lc rgb variable lw 1, \
     '' using 1:($3 >= 0 && $3 < 3 ? $2 : NaN):4 with lines lc rgb variable lw 1.8, \
     '' using 1:($3 >= 3 ? $2 : NaN):4 with lines lc rgb variable lw 1.8 dt (6,3), \
     '' using 1:($3 >= 0 ? $2 : NaN):(sign($3)):4 with points pt variable ps 0.8 lc rgb variable, \
     'along-words.dat' using 1:($3 == 0 ? $2 : NaN):5 with labels center font 'sans-serif,11' noenhanced, \
     '' using 1:($3 < 0 ? $2 : NaN):5 with labels left font 'sans-serif,11' noenhanced, \
     '' using 1:($3 > 0 ? $2 : NaN):5 with labels right font 'sans-serif,11' noenhanced
unset multiplot
