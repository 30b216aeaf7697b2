# SPDX-License-Identifier: GPL-3.0-or-later
# Levels and flow: `gnuplot levels.gp` in this folder draws levels.svg again.
load 'levels.par'
set terminal svg size wide,high font 'sans-serif,12' background '#ffffff' noenhanced name 'levels'
set output 'levels.svg'
set encoding utf8
set datafile separator "\t"
set datafile missing 'NaN'
unset key
set multiplot
set lmargin at screen 1.0 * left / wide
set rmargin at screen 1.0 * right / wide
set xrange [xmin:xmax]

# title, and above the frame the events with their words
set tmargin at screen 1.0
set bmargin at screen top0
set yrange [0:1]
unset border
unset tics
plot 'levels-title.dat' using (xmin):(0.68):1 with labels left font 'sans-serif,15' noenhanced, \
     '-' using (xmin):(0.2):1 with labels left textcolor rgb '#505050' noenhanced
Levels and flow; grey: power off, hatched: supply off
e
set tmargin at screen top0
set bmargin at screen low0
set yrange [0:(top0 - low0) * high / 17.0 + 1e-9]
shape(s) = s eq 's' ? 11 : s eq 'd' ? 10 : s eq 'r' ? 9 : 13
if (top0 > low0) {
    plot 'levels-marks.dat' using 1:2:(shape(strcol(4))):3 with points pt variable ps 0.8 lc rgb variable, \
         '' using 1:(strcol(5) eq 'r' ? $2 : NaN):6:3 with labels left offset character 1,0 textcolor rgb variable noenhanced, \
         '' using 1:(strcol(5) eq 'l' ? $2 : NaN):6:3 with labels right offset character -1,0 textcolor rgb variable noenhanced
}

set border 3 lc rgb '#505050'
set xtics xstep nomirror out scale 0.6
set ytics nomirror out scale 0.6
set grid xtics ytics lc rgb '#e4e4e4' lw 0.6 dt solid
set macros
# a cut that is too short to see is drawn 2 px wide
least = 2.0 * (xmax - xmin) / (right - left)
from(a, b) = b - a < least ? 0.5 * (a + b - least) : a
till(a, b) = b - a < least ? 0.5 * (a + b + least) : b
labels = "'levels-labels.dat' using ($1==n?xmax:NaN):2:4:3 with labels left offset character 1.2,0 textcolor rgb variable noenhanced"
lines = "'levels-limits.dat' using ($1==n?xmin:NaN):2:(xmax-xmin):(0) with vectors nohead lc rgb '#505050' lw 1 dt (6,4)"
power = "'levels-power.dat' using (0.5*($1+$2)):(0.5*(low+top)):(from($1,$2)):(till($1,$2)):(low):(top) with boxxyerror fc rgb '#cccccc' fs solid 1.0 noborder"
supply = "'levels-supply.dat' using (0.5*($1+$2)):(0.5*(low+top)):(from($1,$2)):(till($1,$2)):(low):(top) with boxxyerror fc rgb '#909090' fs pattern 4 noborder"
marks = "'levels-marks.dat' using (strcol(4) eq 's' || strcol(4) eq 'd' ? $1 : NaN):(low):(0):(top-low):3 with vectors nohead lw 0.8 dt (2,3) lc rgb variable"

# over a long run cycles of a day fall between the points of a line: the band alone is true there
fine = xmax - xmin < 60

n = 1; low = y1min; top = y1max
set tmargin at screen top1
set bmargin at screen low1
set yrange [low:top]
set ytics y1step
set format x ''
set ylabel 'tank level, '.y1unit offset character 0.5,0
plot @power, @supply, @marks, @lines, \
     'levels.dat' using 1:2:3 with filledcurves fc rgb '#9cc6e0' fs solid 1.0 noborder, \
     '' using 1:4 with lines lc rgb '#0072b2' lw 1.2, @labels

# no panel of served water where there is none
if (panels >= 3) {
    n = 2; low = y2min; top = y2max
    set tmargin at screen top2
    set bmargin at screen low2
    set yrange [low:top]
    set ytics y2step
    set ylabel 'served water, '.y2unit offset character 0.5,0
    plot @power, @supply, @marks, \
         'levels.dat' using 1:5:6 with filledcurves fc rgb '#a9c7ad' fs solid 1.0 noborder, \
         '' using 1:(fine ? $7 : NaN) with lines lc rgb '#134019' lw 1.2
}

# no salinity panel for fresh water
if (panels == 4) {
    n = 3; low = y3min; top = y3max
    set tmargin at screen top3
    set bmargin at screen low3
    set yrange [low:top]
    set ytics y3step
    set ylabel 'salinity, g/kg' offset character 0.5,0
    plot @power, @supply, @marks, \
         'levels.dat' using 1:8:9 with filledcurves fc rgb '#d5c6f5' fs solid 1.0 noborder, \
         '' using 1:(fine ? $10 : NaN) with lines lc rgb '#8850e0' lw 1.2
}

n = panels; low = value(sprintf('y%dmin', n)); top = value(sprintf('y%dmax', n))
set tmargin at screen value(sprintf('top%d', n))
set bmargin at screen value(sprintf('low%d', n))
set yrange [low:top]
set ytics value(sprintf('y%dstep', n))
set format x '%g'
set xlabel 'day' offset character 0,0.4
set ylabel 'product, '.value(sprintf('y%dunit', n)) offset character 0.5,0
plot @power, @supply, @marks, \
     'levels.dat' using 1:11:12 with filledcurves fc rgb (fine ? 0xc8c8c8 : 0x606060) fs solid 1.0 noborder, \
     '' using 1:(fine ? $13 : NaN) with lines lc rgb '#000000' lw 1
unset multiplot
