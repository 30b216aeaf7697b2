# SPDX-License-Identifier: GPL-3.0-or-later
# Start-up salt after rests in plain text.
load 'pulse.par'
load 'pulse-size.par'
set terminal dumb noenhanced mono size columns,19
set encoding utf8
set datafile separator "\t"
set datafile missing 'NaN'
unset key
stats 'pulse.dat' using 2 nooutput
lines = STATS_blocks
set xtics 0,xstep
set xrange [xmin:xmax]
set nonlinear y via log10(1 + y) inverse 10**y - 1
set yrange [y1min:y1max]
set ytics (0, 1, 5, 20, 50, 200, 1000)
set title "permeate meter, ppm, against seconds of filling after rests\n1 2 3 ... the shortest rest and on   - limit"
plot 'pulse-limits.dat' using (0):1:(xmax):(0) with vectors nohead, \
     for [i = 0:lines - 1] 'pulse.dat' index i using 1:2 with points pt sprintf('%d', i + 1)
