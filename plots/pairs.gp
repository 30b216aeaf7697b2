# SPDX-License-Identifier: GPL-3.0-or-later
# What each pair of faults brings: `gnuplot pairs.gp` in this folder draws pairs.svg again.
load 'pairs.par'
set terminal svg size wide,high font 'sans-serif,12' background '#ffffff' noenhanced name 'pairs'
set output 'pairs.svg'
set encoding utf8
set datafile separator "\t"
unset key
unset border
unset tics
# one unit is one px, the origin stands at the upper left
set lmargin at screen 0
set rmargin at screen 1
set tmargin at screen 1
set bmargin at screen 0
set xrange [0:wide]
set yrange [high:0]
small = cell < 15 ? 10 : 12
x(i) = left + (i - 0.5) * cell
y(i) = top + (i - 0.5) * cell
half = 0.5 * cell
foot = top + n * cell + 1.4 * line
letters = sprintf('sans-serif,%d', cell < 15 ? 9 : 12)
names = sprintf('sans-serif,%d', small)
plot 'pairs-title.dat' using (76):(17):1 with labels left font 'sans-serif,15' noenhanced, \
     '-' using (76):(42):1 with labels left textcolor rgb '#505050' noenhanced, \
     'pairs.dat' using (x($1)):(y($2)):(x($1) - half):(x($1) + half):(y($2) - half):(y($2) + half):3 with boxxyerror fc rgb variable fs solid 1.0 border lc rgb '#b0b0b0', \
     '' using ($6 == 1 ? x($1) : NaN):(y($2)):(x($1) - half):(x($1) + half):(y($2) - half):(y($2) + half) with boxxyerror fs empty lc rgb '#000000' lw 1.6, \
     '' using (x($1)):(y($2)):5:4 with labels font letters textcolor rgb variable noenhanced, \
     'pairs-labels.dat' using (left - 6):(y($1)):2 with labels right font names noenhanced, \
     '' using (x($1)):(top - 6):2 with labels left rotate by 90 font names noenhanced, \
     'pairs-legend.dat' using (left - 140 + $2 * 260):(foot + $1 * line):(left - 149 + $2 * 260):(left - 131 + $2 * 260):(foot + $1 * line - 9):(foot + $1 * line + 9):3 with boxxyerror fc rgb variable fs solid 1.0 border lc rgb '#b0b0b0', \
     '' using (left - 140 + $2 * 260):(foot + $1 * line):5:4 with labels textcolor rgb variable noenhanced, \
     '' using (left - 124 + $2 * 260):(foot + $1 * line):6 with labels left noenhanced, \
     '-' using (left - 149):(foot + 3 * line + 2):1 with labels left textcolor rgb '#505050' noenhanced
What each pair of faults brings, from its worst moment; framed: the fault alone
e
No cell: two failures of one part never stand together.
e
