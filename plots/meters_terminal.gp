# SPDX-License-Identifier: GPL-3.0-or-later
# Readings in plain text.
load 'meters.par'
load 'meters-size.par'
set terminal dumb noenhanced mono size columns,19
set encoding utf8
set datafile separator "\t"
set datafile missing 'NaN'
unset key
set xtics xstep
set xrange [xmin:xmax]
set nonlinear y via log10(1 + y) inverse 10**y - 1
set yrange [-0.3:y1max]
set ytics (0, 1, 5, 20, 50, 200, 1000)
set title "meters, ppm, against day\nF feed   M permeate   P product   - limits"
plot 'meters-limits.dat' using (xmin):2:(xmax-xmin):(0) with vectors nohead, \
     'meters.dat' using 1:4 with points pt 'F', '' using 1:7 with points pt 'M', '' using 1:10 with points pt 'P'
unset nonlinear y
set yrange [y2min:y2max]
set ytics y2step
set title "in the product, mg/L, against day: no meter sees it\nS silica   C carbon as CO2"
plot 'meters.dat' using 1:13 with points pt 'S', '' using 1:16 with points pt 'C'
