# SPDX-License-Identifier: GPL-3.0-or-later
# Water made and needed: `gnuplot production.gp` in this folder draws production.svg again.
load 'production.par'
set terminal svg size wide,high font 'sans-serif,12' background '#ffffff' noenhanced name 'production'
set output 'production.svg'
set encoding utf8
set datafile separator "\t"
set datafile missing 'NaN'
unset key
set multiplot
set lmargin at screen 1.0 * left / wide
set rmargin at screen 1.0 * right / wide
set xrange [xmin:xmax]

set tmargin at screen 1.0
set bmargin at screen top0
set yrange [0:1]
unset border
unset tics
plot 'production-title.dat' using (xmin):(0.68):1 with labels left font 'sans-serif,15' noenhanced, \
     '-' using (xmin):(0.2):1 with labels left textcolor rgb '#505050' noenhanced
Water made, drained and needed (means of days, of fortnights in a long run)
e

set border 3 lc rgb '#505050'
set xtics xstep nomirror out scale 0.6
set ytics nomirror out scale 0.6
set grid xtics ytics lc rgb '#e4e4e4' lw 0.6 dt solid

set tmargin at screen top1
set bmargin at screen low1
set yrange [y1min:y1max]
set ytics y1step
set format x ''
set ylabel y1unit offset character 0.5,0
plot 'production.dat' using 1:7 with histeps lc rgb '#707070' lw 1.3 dt (2,2), \
     '' using 1:4 with histeps lc rgb '#0072b2' lw 1.8, \
     '' using 1:10 with histeps lc rgb '#c04a00' lw 1.5 dt (6,3), \
     'production-labels.dat' using ($1==1?xmax:NaN):2:4:3 with labels left offset character 1.2,0 textcolor rgb variable noenhanced

set tmargin at screen top2
set bmargin at screen low2
set yrange [y2min:y2max]
set ytics y2step
set format x '%g'
set xlabel 'day' offset character 0,0.4
set ylabel 'feed, '.y2unit offset character 0.5,0
plot 'production.dat' using 1:11:12 with filledcurves fc rgb '#cccccc' fs solid 1.0 noborder, \
     '' using 1:13 with lines lc rgb '#000000' lw 1.3
unset multiplot
