# SPDX-License-Identifier: GPL-3.0-or-later
# Levels after the worst sets of faults: `gnuplot worst.gp` in this folder draws worst.svg again.
load 'worst.par'
set terminal svg size wide,high font 'sans-serif,12' background '#ffffff' noenhanced name 'worst'
set output 'worst.svg'
set encoding utf8
set datafile separator "\t"
unset key
set multiplot

set lmargin at screen 76.0 / wide
set rmargin at screen 1.0
set tmargin at screen 1.0
set bmargin at screen 1.0 - 1.0 * first / high
set xrange [0:1]
set yrange [0:1]
unset border
unset tics
plot 'worst-title.dat' using (0):(0.68):1 with labels left font 'sans-serif,15' noenhanced, \
     '-' using (0):(0.2):1 with labels left textcolor rgb '#505050' noenhanced
Levels after the sets that spill soonest (of sets alike the likeliest); dotted: a further fault; triangle: first drop
e

# behind the end of the lines there is room to lead them to their words
lead = 1.06
place(i) = 1.0 - 1.0 * (first + (i - 1) * (head + panel + foot)) / high
do for [i = 1:tracks] {
    set lmargin at screen 76.0 / wide
    set rmargin at screen 1.0
    set tmargin at screen place(i)
    set bmargin at screen place(i) - 1.0 * head / high
    set xrange [0:1]
    set yrange [0:1]
    set format x '%g'
    unset border
    unset tics
    unset xlabel
    unset ylabel
    plot 'worst-heads.dat' using (0):($0 == i - 1 ? 0.72 : NaN):1 with labels left font 'sans-serif,13' noenhanced, \
         '' using (0):($0 == i - 1 ? 0.40 : NaN):2 with labels left textcolor rgb '#505050' noenhanced

    do for [v = 1:(served ? 2 : 1)] {
        k = 2 * (i - 1) + v
        top = value(sprintf('ymax%d', k))
        low = value(sprintf('ymin%d', k))
        last = value(sprintf('xmax%d', i))
        set lmargin at screen 1.0 * value(sprintf('left%d', v)) / wide
        set rmargin at screen 1.0 * value(sprintf('right%d', v)) / wide
        set tmargin at screen place(i) - 1.0 * head / high
        set bmargin at screen place(i) - 1.0 * (head + panel) / high
        set border 3 lc rgb '#505050'
        set xrange [0:lead * last]
        set yrange [low:top]
        set xtics value(sprintf('xstep%d', i)) nomirror out scale 0.6
        set ytics value(sprintf('ystep%d', k)) nomirror out scale 0.6
        set grid xtics ytics lc rgb '#e4e4e4' lw 0.6 dt solid
        set xlabel (value(sprintf('days%d', i)) ? 'days' : 'hours').' after the first fault' offset character 0,0.4
        set ylabel (v == 1 ? 'tank level, '.tankunit : 'served water, '.servedunit) offset character 0.5,0
        plot 'worst-limits.dat' using (0):($1 == k ? $2 : NaN):(last):(0) with vectors nohead lc rgb '#505050' lw 1 dt (6,4), \
             'worst-marks.dat' using ($1 == i && strcol(3) eq 'f' ? $2 : NaN):(low):(0):(top - low) with vectors nohead lc rgb '#c04a00' lw 1.2 dt (2,3), \
             'worst.dat' using ($1 == i ? $2 : NaN):(v == 1 ? $3 : $4) with lines lc rgb (v == 1 ? 0x0072b2 : 0x134019) lw 2, \
             'worst-marks.dat' using ($1 == i && strcol(3) eq (v == 1 ? 't' : 's') ? $2 : NaN):(top) with points pt 11 ps 1.2 lc rgb '#c04a00', \
             'worst-labels.dat' using ($1 == k ? last : NaN):2:((lead - 1) * last):($3 - $2) with vectors nohead lc rgb '#b0b0b0' lw 0.8, \
             '' using ($1 == k ? lead * last : NaN):3:5:4 with labels left offset character 0.4,0 textcolor rgb variable noenhanced
    }
}
unset multiplot
