# SPDX-License-Identifier: GPL-3.0-or-later
# Wear in plain text.
load 'wear.par'
load 'wear-size.par'
set terminal dumb noenhanced mono size columns,19
set encoding utf8
set datafile separator "\t"
set datafile missing 'NaN'
unset key
set xtics xstep
set ytics y1step
set xrange [xmin:xmax]
set yrange [y1min:y1max]
set title "product flow, % of new, against day\nS standardised   F as it flows   R replaced"
plot 'wear.dat' using 1:7 with points pt 'F', '' using 1:4 with points pt 'S', \
     'wear-marks.dat' using 1:(y1min + 0.06 * (y1max - y1min)) with points pt 'R'
set ytics y2step
set yrange [y2min:y2max]
set title "salt passage, % of new, against day\nP standardised passage   R replaced"
plot 'wear.dat' using 1:10 with points pt 'P', 'wear-marks.dat' using 1:(y2min + 0.06 * (y2max - y2min)) with points pt 'R'
set ytics y3step
set yrange [y3min:y3max]
set title "pressure lost in the sediment cartridge, ".y3unit.", against day\nD lost   R replaced"
plot 'wear.dat' using 1:13 with points pt 'D', 'wear-marks.dat' using 1:(y3min + 0.06 * (y3max - y3min)) with points pt 'R'
