# SPDX-License-Identifier: GPL-3.0-or-later
# Yearly cost over interval and duration of a rinse: `gnuplot rinse.gp` in this folder draws rinse.svg again.
load 'rinse.par'
wide = 900; high = 560
set encoding utf8
set datafile separator "\t"
unset key

# contours, as tables; their columns are parted by blanks, those of the files by tabs
at(n) = word(strcol(1), n) + 0.0
set contour base
unset surface
set cntrparam levels discrete 1, 2, 5, 10, 20, 50
set table $lines
splot 'rinse.dat' using 1:2:3
unset table
set cntrparam levels discrete none
set table $none
splot 'rinse.dat' using 1:2:3
unset table
unset contour

set terminal svg size wide,high font 'sans-serif,12' background '#ffffff' noenhanced name 'rinse'
set output 'rinse.svg'
set multiplot
set lmargin at screen 76.0 / wide
set rmargin at screen 742.0 / wide
set tmargin at screen 1.0
set bmargin at screen 1.0 - 56.0 / high
set xrange [0:1]
set yrange [0:1]
unset border
unset tics
plot 'rinse-title.dat' using (0):(0.68):1 with labels left font 'sans-serif,15' noenhanced, \
     '-' using (0):(0.2):1 with labels left textcolor rgb '#505050' noenhanced
Cost of a year, per cent over the best of the map; small dots: what was run, the rest lies between
e
set tmargin at screen 1.0 - 60.0 / high
set bmargin at screen 58.0 / high
set border 3 lc rgb '#505050'
set xrange [0:10]
set yrange [0:6]
set xtics nomirror out scale 0.6 ('15 min' 0, '1 h' 2, '4 h' 4, '16 h' 6, '64 h' 8, '256 h' 10)
set ytics nomirror out scale 0.6 ('10 s' 0, '20 s' 1, '40 s' 2, '80 s' 3, '160 s' 4, '320 s' 5, '640 s' 6)
set xlabel 'making of water from one rinse to the next' offset character 0,0.4
set label 1 'length of a rinse' at screen 18.0 / wide, graph 0.5 center rotate

# shades end at 1 and 5 %; every shade has its line and its number, too
unset colorbox
set palette maxcolors 4 defined (0 '#9cc6e0', 1 '#9cc6e0', 1 '#cfe3f0', 2 '#cfe3f0', 2 '#f1f1f1', 3 '#f1f1f1', 3 '#ecc3a6', 4 '#ecc3a6')
set cbrange [0:4]
band(z) = z >= none ? 3.5 : z > 5 ? 2.5 : z > 1 ? 1.5 : 0.5
set label 2 'within 1 %' at graph 1.03, graph 0.90 textcolor rgb '#0072b2'
set label 3 'within 5 %' at graph 1.03, graph 0.84 textcolor rgb '#505050'
set label 4 'beyond 5 %' at graph 1.03, graph 0.78 textcolor rgb '#505050'
set label 6 'star: the best' at graph 1.03, graph 0.62 textcolor rgb '#000000'
set label 7 'dashes: cost of none' at graph 1.03, graph 0.56 textcolor rgb '#c04a00'
set label 5 'dearer than no rinse' at graph 1.03, graph 0.72 textcolor rgb '#c04a00'
plot 'rinse.dat' using 1:2:(band($3)) with image, \
     $lines using (at(1)):(at(2)) with lines lc rgb '#0072b2' lw 1.2, \
     $lines using (at(1)):(at(2)):(sprintf('%g %%', at(3))) every 40::16 with labels font 'sans-serif,10' textcolor rgb '#00507c' noenhanced, \
     $none using (at(1)):(at(2)) with lines lc rgb '#c04a00' lw 1.8 dt (6,3), \
     'rinse-places.dat' using 1:2 with points pt 7 ps 0.2 lc rgb '#505050', \
     'rinse-best.dat' using 1:2 with points pt 3 ps 1.4 lw 1.6 lc rgb '#000000', \
     '' using 1:2:3 with labels left offset character 1,0.8 noenhanced
unset multiplot
