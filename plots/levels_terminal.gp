# SPDX-License-Identifier: GPL-3.0-or-later
# Levels in plain text.
load 'levels.par'
load 'levels-size.par'
set terminal dumb noenhanced mono size columns,19
set encoding utf8
set datafile separator "\t"
set datafile missing 'NaN'
unset key
set xtics xstep
set ytics y1step
set xrange [xmin:xmax]
set yrange [y1min:y1max]
set title "tank level, ".y1unit.", against day\n* mean   : least, greatest   - limits   S spill   D dry"
plot 'levels-limits.dat' using (xmin):2:(xmax-xmin):(0) with vectors nohead, \
     'levels.dat' using 1:2 with points pt ':', '' using 1:3 with points pt ':', '' using 1:4 with points pt '*', \
     'levels-marks.dat' using (strcol(4) eq 's' ? $1 : NaN):(y1max) with points pt 'S', \
     '' using (strcol(4) eq 'd' ? $1 : NaN):(y1min) with points pt 'D'
