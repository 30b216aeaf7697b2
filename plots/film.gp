# SPDX-License-Identifier: GPL-3.0-or-later
# The beds and the membrane through their life: `gnuplot film.gp` in this folder draws film.gif and
# film-001.svg ... again.  All axes are those of the whole film.
load 'film.par'
wide = 900.0; high = 630.0
set encoding utf8
set datafile separator "\t"
set datafile missing 'NaN'
unset key
set style fill solid 1.0 noborder
array shade[14] = [0, 0x56a0d3, 0x9fd0ee, 0xd9a7c7, 0xf2d48a, 0xe8a06a, 0xf6f6f6, \
                   0x5f9ea0, 0xb7b4dd, 0x9ccf9a, 0xe3b35f, 0xd7d7d7, 0xe0a3a3, 0xf6f6f6]
array word[14] = ['', 'calcium', 'magnesium', 'potassium', 'ammonium', 'sodium', 'free', \
                  'sulfate', 'nitrate', 'chloride', 'HCO3', 'silica', 'fluoride', 'free']
array coat[4] = [0x505050, 0xc04a00, 0x134019, 0x9fd0ee]
array coatword[4] = ['scale', 'set deposit', 'biofilm', 'loose deposit']

do for [pass = 0:1] {
    if (pass == 1) {
        set terminal gif animate delay 25 loop 0 size 900,630 font 'sans,10' noenhanced background '#ffffff'
        set output 'film.gif'
        small = 'sans,8'; large = 'sans,13'
    } else {
        set terminal svg size 900,630 font 'sans-serif,12' background '#ffffff' noenhanced name 'film'
        small = 'sans-serif,10'; large = 'sans-serif,15'
    }
    do for [n = 1:frames] {
        if (pass == 0) { set output sprintf('film-%03d.svg', n) }
        now = value(sprintf('now%d', n))
        set multiplot
        set lmargin at screen 0.0
        set rmargin at screen 1.0
        set tmargin at screen 1.0
        set bmargin at screen 0.0
        set xrange [0:wide]
        set yrange [high:0]
        unset border
        unset tics
        unset xlabel
        unset ylabel
        unset grid
        unset object
        unset label
        set label 1 'resin: sites by depth' at 62,84 left noenhanced
        set label 2 'carbon' at 640,84 left noenhanced
        set label 3 'on the membrane' at 640,276 left noenhanced
        set label 4 'meters; squares feed, circles permeate, triangles product' at 62,464 left noenhanced
        if (resin == 0) { set label 5 'no resin in this line' at 250,250 center textcolor rgb '#505050' noenhanced }
        if (carbon == 0) { set label 6 'no carbon in this line' at 740,160 center textcolor rgb '#505050' noenhanced }
        if (membrane == 0) { set label 7 'no membrane in this line' at 740,350 center textcolor rgb '#505050' noenhanced }
        if (resin > 0) {
            do for [k = 1:13] {
                y = k <= 6 ? 105 + 20 * (6 - k) : 262 + 20 * (13 - k)
                set object k rectangle from 462,y - 6 to 478,y + 6 fc rgb shade[k + 1] fs solid 1.0 border lc rgb '#404040'
                set label 20 + k word[k + 1] at 484,y left font small noenhanced
            }
        }
        if (membrane > 0) {
            set label 8 'against new:' at 760,389 left font small textcolor rgb '#505050' noenhanced
            do for [k = 1:4] {
                y = 300 + 20 * (4 - k)
                set object 20 + k rectangle from 760,y - 6 to 776,y + 6 fc rgb coat[k] fs solid 1.0 border lc rgb '#404040'
                set label 40 + k coatword[k] at 782,y left font small noenhanced
            }
        }
        plot 'film-title.dat' using (62):(24):1 with labels left font large noenhanced, \
             'film-frames.dat' using ($1 == n ? 62 : NaN):(50):3 with labels left noenhanced, \
             '' using ($1 == n ? 758 : NaN):(505):4 with labels left noenhanced, \
             '' using ($1 == n ? 758 : NaN):(530):5 with labels left textcolor rgb '#0072b2' noenhanced, \
             '' using ($1 == n ? 758 : NaN):(555):6 with labels left textcolor rgb '#c04a00' noenhanced, \
             '' using ($1 == n ? 760 : NaN):(405):7 with labels left font small noenhanced, \
             '' using ($1 == n ? 760 : NaN):(421):8 with labels left font small noenhanced, \
             '' using ($1 == 1 ? 744 : NaN):(505) with points pt 4 ps 0.7 lc rgb '#000000', \
             '' using ($1 == 1 && membrane > 0 ? 744 : NaN):(530) with points pt 6 ps 0.7 lc rgb '#0072b2', \
             '' using ($1 == 1 ? 744 : NaN):(555) with points pt 8 ps 0.7 lc rgb '#c04a00'
        unset label
        unset object
        set border 15 lc rgb '#505050'
        if (resin > 0) {
            set table $bands
            plot 'film.dat' index n - 1 using 1:2:3:4:5:6:7:8:9:10:11:12:13:14 with table
            unset table
            set datafile separator whitespace
            set xrange [0:depth]
            set yrange [0:100]
            set lmargin at screen 62.0 / wide
            set rmargin at screen 452.0 / wide
            set ytics 25 nomirror out scale 0.5
            do for [k = 1:resin - 1] { set arrow 10 + k from value(sprintf('bed%d', k)),0 to value(sprintf('bed%d', k)),100 nohead front lc rgb '#000000' lw 1.3 dt (4,2) }
            do for [part = 0:1] {
                set tmargin at screen 1.0 - (95.0 + 165 * part) / high
                set bmargin at screen 1.0 - (95.0 + 140 + 165 * part) / high
                first = part ? 7 : 1
                last = part ? 13 : 6
                set ylabel (part ? 'anion resin, %' : 'cation resin, %') offset character 1,0
                set xtics xstep nomirror out scale 0.5
                if (part) { set xlabel 'depth from the inlet, '.xunit offset character 0,0.5; set format x '%g' } else { unset xlabel; set format x '' }
                plot for [k = first:last] $bands using 1:(k == first ? 0 : column(k)):(column(k + 1)) \
                         with filledcurves fc rgb shade[k + 1], \
                     for [k = first:last - 1] '' using 1:(column(k + 1)) with lines lc rgb '#404040' lw 0.6
                set datafile separator "\t"
                plot 'film-labels.dat' using ($1 == n && $2 == part ? $3 : NaN):4:5 with labels font small noenhanced
                set datafile separator whitespace
            }
            set datafile separator "\t"
            unset arrow
        }
        unset xlabel
        unset ylabel
        if (carbon > 0) {
            set lmargin at screen 640.0 / wide
            set rmargin at screen 880.0 / wide
            set tmargin at screen 1.0 - 95.0 / high
            set bmargin at screen 1.0 - 220.0 / high
            set xrange [0:100]
            set yrange [0:100]
            set xtics 25 nomirror out scale 0.5
            set ytics 25 nomirror out scale 0.5
            set format x '%g'
            set xlabel '% of the way through' offset character 0,0.5
            set ylabel 'sites left, %' offset character 1,0
            do for [k = 1:carbon - 1] { set arrow 10 + k from 100.0 * k / carbon,0 to 100.0 * k / carbon,100 nohead front lc rgb '#000000' lw 0.8 dt (2,2) }
            plot 'film-carbon.dat' index n - 1 using 1:(0):2 with filledcurves fc rgb '#8c8c8c', \
                 '' index n - 1 using 1:2 with lines lc rgb '#000000' lw 1.3
            unset arrow
        }
        if (membrane > 0) {
            set lmargin at screen 640.0 / wide
            set rmargin at screen 740.0 / wide
            set tmargin at screen 1.0 - 287.0 / high
            set bmargin at screen 1.0 - 427.0 / high
            set xrange [0:1]
            set yrange [0:thickest]
            unset xtics
            unset xlabel
            set ytics tstep nomirror out scale 0.5
            set ylabel 'resistance, % of clean' offset character 1,0
            plot for [k = 1:4] 'film-membrane.dat' using ($1 == n ? 0.5 : NaN):(0.5 * ((k == 1 ? 0 : column(k)) + column(k + 1))):(0.5):(0.5 * (column(k + 1) - (k == 1 ? 0 : column(k)))) \
                 with boxxyerror fc rgb coat[k] fs solid 1.0 border lc rgb '#404040'
        }
        set lmargin at screen 62.0 / wide
        set rmargin at screen 700.0 / wide
        set tmargin at screen 1.0 - 490.0 / high
        set bmargin at screen 1.0 - 575.0 / high
        set xrange [0:litres]
        set nonlinear y via log10(1 + y) inverse 10**y - 1
        set yrange [0:highest]
        set border 3 lc rgb '#505050'
        set xtics lstep nomirror out scale 0.5
        set ytics (0, 1, 10, 100, 1000) nomirror out scale 0.5
        set format x '%g'
        set xlabel lunit.' of product' offset character 0,0.5
        set ylabel 'ppm' offset character 1,0
        set arrow 1 from now,0 to now,highest nohead lc rgb '#505050' lw 1
        if (limit > 0 && limit < highest) { set arrow 2 from 0,limit to litres,limit nohead lc rgb '#c04a00' lw 0.7 dt (2,4); set label 9 'limit' at litres,limit left offset character 0.4,0 font small textcolor rgb '#c04a00' noenhanced }
        plot 'film-meters.dat' using ($1 <= now ? $1 : NaN):2 with linespoints pt 4 ps 0.6 pi 20 lc rgb '#000000' lw 1.3, \
             '' using ($1 <= now ? $1 : NaN):3 with linespoints pt 6 ps 0.6 pi 20 lc rgb '#0072b2' lw 1.4, \
             '' using ($1 <= now ? $1 : NaN):4 with linespoints pt 8 ps 0.6 pi 20 lc rgb '#c04a00' lw 1.4, \
             'film-marks.dat' using ($1 >= 0 && $1 <= now ? $1 : NaN):(0):(0):(highest) with vectors nohead lc rgb '#134019' lw 1 dt (2,2), \
             '' using ($1 >= 0 && $1 <= now ? $1 : NaN):(highest):2 with labels left offset character 0.3,0.5 font small textcolor rgb '#134019' noenhanced
        unset nonlinear y
        unset arrow
        unset label
        unset xlabel
        unset ylabel
        unset multiplot
    }
    unset output
}
