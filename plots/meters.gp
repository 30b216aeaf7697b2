# SPDX-License-Identifier: GPL-3.0-or-later
# Readings of the meters: `gnuplot meters.gp` in this folder draws meters.svg again.
load 'meters.par'
set terminal svg size wide,high font 'sans-serif,12' background '#ffffff' noenhanced name 'meters'
set output 'meters.svg'
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
plot 'meters-title.dat' using (xmin):(0.68):1 with labels left font 'sans-serif,15' noenhanced, \
     '-' using (xmin):(0.2):1 with labels left textcolor rgb '#505050' noenhanced
What the meters show, and below what no meter sees
e

set border 3 lc rgb '#505050'
set xtics xstep nomirror out scale 0.6
set ytics nomirror out scale 0.6
set grid xtics ytics lc rgb '#e4e4e4' lw 0.6 dt solid
set macros
labels = "'meters-labels.dat' using ($1==n?xmax:NaN):2:4:3 with labels left offset character 1.2,0 textcolor rgb variable noenhanced"
lines = "'meters-limits.dat' using ($1==n?xmin:NaN):2:(xmax-xmin):(0) with vectors nohead lc rgb '#505050' lw 1 dt (6,4)"

n = 1
set tmargin at screen top1
set bmargin at screen low1
set nonlinear y via log10(1 + y) inverse 10**y - 1
set yrange [y1min:y1max]
set ytics (0, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000)
set format x ''
set ylabel 'meters, ppm' offset character 0.5,0
plot @lines, \
     'meters.dat' using 1:2:3 with filledcurves fc rgb '#cccccc' fs solid 1.0 noborder, \
     '' using 1:5:6 with filledcurves fc rgb '#9cc6e0' fs solid 1.0 noborder, \
     '' using 1:8:9 with filledcurves fc rgb '#ecc3a6' fs solid 1.0 noborder, \
     '' using 1:4 with lines lc rgb '#000000' lw 1.3, \
     '' using 1:7 with lines lc rgb '#0072b2' lw 1.5 dt (10,3), \
     '' using 1:10 with lines lc rgb '#c04a00' lw 1.5 dt (4,2), @labels
unset nonlinear y

n = 2
set tmargin at screen top2
set bmargin at screen low2
set yrange [y2min:y2max]
set ytics y2step
set format x '%g'
set xlabel 'day' offset character 0,0.4
set ylabel 'in the product, mg/L' offset character 0.5,0
plot 'meters.dat' using 1:11:12 with filledcurves fc rgb '#d5c6f5' fs solid 1.0 noborder, \
     '' using 1:14:15 with filledcurves fc rgb '#a9c7ad' fs solid 1.0 noborder, \
     '' using 1:13 with lines lc rgb '#8850e0' lw 1.4, \
     '' using 1:16 with lines lc rgb '#134019' lw 1.4 dt (10,3), @labels
unset multiplot
