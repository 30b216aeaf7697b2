# SPDX-License-Identifier: GPL-3.0-or-later
# Wear of membrane and sediment cartridge: `gnuplot wear.gp` in this folder draws wear.svg again.
load 'wear.par'
set terminal svg size wide,high font 'sans-serif,12' background '#ffffff' noenhanced name 'wear'
set output 'wear.svg'
set encoding utf8
set datafile separator "\t"
set datafile missing 'NaN'
unset key
set multiplot
set lmargin at screen 1.0 * left / wide
set rmargin at screen 1.0 * right / wide
set xrange [xmin:xmax]

# title, and above the frame a row for each part that was replaced
set tmargin at screen 1.0
set bmargin at screen top0
set yrange [0:1]
unset border
unset tics
plot 'wear-title.dat' using (xmin):(0.68):1 with labels left font 'sans-serif,15' noenhanced, \
     '-' using (xmin):(0.2):1 with labels left textcolor rgb '#505050' noenhanced
Wear and winter: both are in the flow as it is; the standardised flow shows wear alone. Triangles: cartridge replaced
e
set tmargin at screen top0
set bmargin at screen low0
rows = (top0 - low0) * high / 17.0
set yrange [0:rows + 1e-9]
if (rows > 0.5) {
    plot 'wear-marks.dat' using 1:(rows - 0.5 - $2) with points pt 9 ps 0.8 lc rgb '#134019', \
         '' using ($3 == 1 ? xmax : NaN):(rows - 0.5 - $2):4 with labels left offset character 1.2,0 textcolor rgb '#134019' noenhanced
}

set border 3 lc rgb '#505050'
set xtics xstep nomirror out scale 0.6
set ytics nomirror out scale 0.6
set grid xtics ytics lc rgb '#e4e4e4' lw 0.6 dt solid
set macros
labels = "'wear-labels.dat' using ($1==n?xmax:NaN):2:4:3 with labels left offset character 1.2,0 textcolor rgb variable noenhanced"
marks = "'wear-marks.dat' using 1:(low):(0):(top-low) with vectors nohead lw 0.8 dt (2,3) lc rgb '#134019'"
path = xmax - xmin < 40 ? 'linespoints pt 7 ps 0.35' : 'lines' # single days can be seen in a short run

# the names of the axes stand in one line, however long the numbers beside them
n = 1; low = y1min; top = y1max
set tmargin at screen top1
set bmargin at screen low1
set yrange [low:top]
set ytics y1step
set format x ''
set label 1 'product flow, %' at screen 18.0 / wide, graph 0.5 center rotate
plot @marks, \
     'wear.dat' using 1:5:6 with filledcurves fc rgb '#ecc3a6' fs solid 1.0 noborder, \
     '' using 1:2:3 with filledcurves fc rgb '#9cc6e0' fs solid 1.0 noborder, \
     '' using 1:7 with @path lc rgb '#c04a00' lw 1.4 dt (6,2), \
     '' using 1:4 with @path lc rgb '#0072b2' lw 1.8, @labels

n = 2; low = y2min; top = y2max
set tmargin at screen top2
set bmargin at screen low2
set yrange [low:top]
set ytics y2step
set label 1 'salt passage, %' at screen 18.0 / wide, graph 0.5 center rotate
plot @marks, \
     'wear.dat' using 1:8:9 with filledcurves fc rgb '#d5c6f5' fs solid 1.0 noborder, \
     '' using 1:10 with @path lc rgb '#8850e0' lw 1.6, @labels

n = 3; low = y3min; top = y3max
set tmargin at screen top3
set bmargin at screen low3
set yrange [low:top]
set ytics y3step
set label 1 'sediment, '.y3unit at screen 18.0 / wide, graph 0.5 center rotate
plot @marks, \
     'wear.dat' using 1:11:12 with filledcurves fc rgb '#a9c7ad' fs solid 1.0 noborder, \
     '' using 1:13 with @path lc rgb '#134019' lw 1.6, @labels

n = 4; low = y4min; top = y4max
set tmargin at screen top4
set bmargin at screen low4
set yrange [low:top]
set ytics y4step
set format x '%g'
set xlabel 'day' offset character 0,0.4
set label 1 'feed, '.y4unit at screen 18.0 / wide, graph 0.5 center rotate
plot @marks, \
     'wear.dat' using 1:14:15 with filledcurves fc rgb '#cccccc' fs solid 1.0 noborder, \
     '' using 1:16 with @path lc rgb '#000000' lw 1.3, @labels
unset multiplot
