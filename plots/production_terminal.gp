# SPDX-License-Identifier: GPL-3.0-or-later
# Water made and needed in plain text.
load 'production.par'
load 'production-size.par'
set terminal dumb noenhanced mono size columns,19
set encoding utf8
set datafile separator "\t"
set datafile missing 'NaN'
unset key
set xtics xstep
set ytics y1step
set xrange [xmin:xmax]
set yrange [y1min:y1max]
set title y1unit.", against day\nD to the drain   M made   N needed"
plot 'production.dat' using 1:7 with points pt 'D', '' using 1:10 with points pt 'N', '' using 1:4 with points pt 'M'
