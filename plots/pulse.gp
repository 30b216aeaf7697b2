# SPDX-License-Identifier: GPL-3.0-or-later
# Start-up salt after rests: `gnuplot pulse.gp` in this folder draws pulse.svg again.
load 'pulse.par'
set terminal svg size wide,high font 'sans-serif,12' background '#ffffff' noenhanced name 'pulse'
set output 'pulse.svg'
set encoding utf8
set datafile separator "\t"
set datafile missing 'NaN'
unset key
stats 'pulse.dat' using 2 nooutput
lines = STATS_blocks
set multiplot
set lmargin at screen 1.0 * left / wide
set rmargin at screen 1.0 * right / wide
set xrange [xmin:xmax]

set tmargin at screen 1.0
set bmargin at screen top0
set yrange [0:1]
unset border
unset tics
plot 'pulse-title.dat' using (xmin):(0.68):1 with labels left font 'sans-serif,15' noenhanced, \
     '-' using (xmin):(0.2):1 with labels left textcolor rgb '#505050' noenhanced
Salt that crossed the membrane at rest: permeate in the first minutes after a rest of the length at each line
e

set border 3 lc rgb '#505050'
set xtics 0,xstep nomirror out scale 0.6
set ytics (0, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000) nomirror out scale 0.6
set grid xtics ytics lc rgb '#e4e4e4' lw 0.6 dt solid
array colour[6] = [0x0072b2, 0x134019, 0x8850e0, 0xc04a00, 0x000000, 0x505050]
# lines of long rests lie on each other: the longest is whole and shows in the gaps of the others
set dashtype 1 solid
set dashtype 2 (10,10)
set dashtype 3 (5,7)
set dashtype 4 (14,4)
set dashtype 5 (6,5)
set dashtype 6 (2,4)
set tmargin at screen top1
set bmargin at screen low1
set nonlinear y via log10(1 + y) inverse 10**y - 1
set yrange [y1min:y1max]
set xlabel 'seconds since the start of filling' offset character 0,0.4
set ylabel 'permeate meter, ppm' offset character 0.5,0
plot 'pulse-limits.dat' using (0):1:(xmax):(0) with vectors nohead lc rgb '#505050' lw 1 dt (6,4), \
     '' using (xmax):1:2 with labels left offset character 1.2,0 textcolor rgb '#505050' noenhanced, \
     for [k = 1:lines] 'pulse.dat' index lines - k using 1:2 with lines lw 2 lc rgb colour[lines - k + 1] dt k, \
     'pulse-labels.dat' using (0):2:4:3 with labels right offset character -0.6,0 textcolor rgb variable noenhanced
unset multiplot
