#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# --units: every screen in both tastes.  The US one has no metric word left, and its numbers, turned back, are
# those of the metric one to the digits that are printed; JSON, CSV and whatever else is for programs keep their
# bytes.  Golden screens hold the metric taste.
# release
here=$(realpath "$(dirname "$0")/..")
. "$(dirname "$0")/common.inc"

# Units of science, which are the same everywhere, are taken out, and quotes of sources; what is left of metric ones is
# printed.
metric_words() {
    sed -E -e 's#(mg|meq|eq|mmol|g)/L( h)?##g; s#[um]S/cm##g; s#(mol|eq|kg)/m3##g; s#g/kg##g; s#S/m##g' \
        -e 's#^Next: .*##; s#^Results: .*##; s#18.9 g, usual range to 350 g##; s#50 to 200 g, from##; s# K K # #' "$1" |
        grep -nE '(^|[^A-Za-z_0-9.])(litres?|mL|L|kPa|Pa|bar|degC|cm|mm|cm2|m2|m3|km|kg|kilogram|g|m|K|mL/min|L/min|L/day|L/h)([^A-Za-z_0-9]|$)|°C'
}

# The words of a screen one a line, what binds them to others taken off.
words_of() {
    sed -e '/weighs/d' -e '/ask whether the floor/d' -e '/^ *full tank\.$/d' -e 's/fl oz/floz/g' -e 's/psi\/gpm/psi_gpm/g' \
        -e 's/sq ft/sqft/g; s/sq in/sqin/g' -e "s/['\"();:=+]/ /g; s/[,.] / /g; s/[,.]\$//" "$1" |
        tr -s ' \t' '\n\n' | sed -e 's/^--*|*$//' -e '/^$/d'
}

# agree METRIC US LEAST: word by word the same, or a number that is the other one turned into its unit, or the names of
# these units; at least so many numbers must have changed.
agree() {
    words_of "$1" >left
    words_of "$2" >right
    [ "$(wc -l <left)" = "$(wc -l <right)" ] || {
        echo "not as many words" && diff left right | head -n 20
        return 1
    }
    paste left right | awk -v least="$3" '
        function size(x) { return x < 0 ? -x : x }
        function digit(text,   n) { # half of its last digit
            n = index(text, ".") ? length(text) - index(text, ".") : 0
            return 0.5000001 * 10 ^ -n
        }
        function add(metric, us, factor, offset) {
            from[++kinds] = metric; to[kinds] = us; by[kinds] = factor; plus[kinds] = offset
        }
        BEGIN {
            # 231 cubic inches, 0.0254 m, 6894.757 Pa: NIST SP 811; a gallon is 128 fluid ounces
            gal = 231 * 2.54 ^ 3 / 1000
            add("L", "gal", 1 / gal, 0); add("L", "floz", 128 / gal, 0)
            add("mL", "floz", 0.128 / gal, 0); add("mL", "gal", 0.001 / gal, 0)
            add("L/day", "gal/day", 1 / gal, 0); add("mL/min", "gal/day", 1.44 / gal, 0)
            add("g", "oz", 16 / 453.59237, 0); add("kg", "lb", 1 / 0.45359237, 0)
            add("money/L", "money/gal", gal, 0)
            add("cm", "in", 1 / 2.54, 0); add("mm", "in", 1 / 25.4, 0); add("um", "in", 1 / 25400, 0)
            add("m", "ft", 1 / 0.3048, 0); add("m", "in", 1 / 0.0254, 0)
            add("kPa", "psi", 1 / 6.894757, 0); add("bar", "psi", 100 / 6.894757, 0)
            add("degC", "degF", 1.8, 32); add("K", "degF", 1.8, 0)
            add("m3", "gal", gal / 1000, 0)
            word["litre"] = "gallon"; word["litres"] = "gallons" # stand behind a number of another row
            head["litres"] = "gal"
            number = "^-?[0-9]+([.][0-9]+)?$"
        }
        { a[NR] = $1; b[NR] = $2 }
        function fits(k, x, y,   back) {
            back = (y - plus[k]) / by[k]
            return size(back - x) <= digit(x) + digit(y) / size(by[k]) + 1e-5 * size(x)
        }
        END {
            for (i = 1; i <= NR; i++) {
                if (a[i] == b[i]) continue
                if (a[i] !~ number || b[i] !~ number) {
                    price = a[i]
                    good = word[a[i]] == b[i] || head[a[i]] == b[i] || (sub("/m3$", "/gal", price) && price == b[i])
                    for (k = 1; k <= kinds; k++) good = good || (a[i] == from[k] && b[i] == to[k])
                    if (!good) { print "not alike: " a[i] " and " b[i]; bad = 1 }
                    continue
                }
                # the unit stands behind it; before it in a row of a table, whose head told it
                named = 0; good = 0
                for (k = 1; k <= kinds; k++) {
                    if (a[i + 1] == from[k] && b[i + 1] == to[k]) { named = 1; good = fits(k, a[i], b[i]) }
                    if (named) break
                }
                for (k = 1; !named && k <= kinds; k++) good = good || fits(k, a[i], b[i])
                if (!good) { print a[i - 1] " " a[i] " " a[i + 1] " is not " b[i] " " b[i + 1]; bad = 1 }
                changed++
            }
            if (changed < least) { print changed + 0 " numbers changed, not " least; bad = 1 }
            exit bad
        }'
}

# both NAME LEAST ARGUMENT...: a screen in both tastes.
both() {
    name=$1
    least=$2
    shift 2
    "$leat" "$@" --units metric >"$name.metric" 2>"$name.talk" </dev/null
    was=$?
    "$leat" "$@" --units us >"$name.us" 2>"$name.talk.us" </dev/null
    check "$name: the same status in both tastes" [ $was = $? ]
    check "$name: it answers" [ $was -le 1 ]
    cp "$name.us" out
    check "$name: no metric word is left" sh -c "! (. ./words.inc && metric_words $name.us)"
    check "$name: 80 columns" sh -c "! grep -E '^.{81}' $name.us"
    case="$name: numbers turned back are those of the metric screen"
    if agree "$name.metric" "$name.us" "$least" >out; then ok; else bad "see above"; fi
    [ "$1" = check ] || return
    "$leat" "$@" >out 2>err </dev/null
    check "$name: metric is what comes without a word" cmp -s out "$name.metric"
}

# data NAME ARGUMENT...: the same bytes in both tastes.
data() {
    name=$1
    shift
    "$leat" "$@" --units metric >one.data 2>err </dev/null
    "$leat" "$@" --units us >two.data 2>err </dev/null
    check "$name: something comes" [ -s one.data ]
    check "$name: data never change with taste" cmp one.data two.data
}

# folder NAME LIST ARGUMENT...: a folder in both tastes, whose files are the same but for those listed.
folder() {
    name=$1
    may=$2
    shift 2
    "$leat" "$@" -o "$name-metric" --units metric >/dev/null 2>err </dev/null
    "$leat" "$@" -o "$name-us" --units us >/dev/null 2>err </dev/null
    check "$name: a folder" [ -s "$name-us/manifest.json" ]
    diff -rq "$name-metric" "$name-us" | sed -e "s#.*$name-us/##; s# differ##" | grep -vE "^($may)\$" >out
    silent "$name: its data are the same in both tastes" out
}

sed -n '/^metric_words() {/,/^}/p' "$here/cli/taste.sh" >words.inc
cp "$here"/golden/rinse.cfg . 2>/dev/null
for name in demo acid_well chloramine cold_hard float_only vacation; do
    "$leat" new "$name" --from "$name" -q >/dev/null
done
sed -e 's/^served.*/served = { surface = "1.1 m2"; volume = "400 L"; water = "25 degC";/' \
    -e 's/topoff = "pump and float switch"; };/topoff = "none"; };/' \
    -e 's/^clock.*/&\nrisk = { unattended = "1 day"; };/' short.cfg >line.cfg
sed 's/"level switches" \]/"level switches", "high switch", "guard valve" ]/' line.cfg >guarded.cfg
sed -e 's/"level switches" \]/"level switches", "low pressure switch", "leak sensor", "run timer" ]/' \
    -e 's/^storage = { /&bladder = { volume = "12 L"; }; overflow = "standpipe"; /' short.cfg >more.cfg

# the setting itself
expect "a taste that there is not" 64 check short.cfg --units uss
says "the nearest is named" err "did you mean us?"
expect "none" 64 check short.cfg --units
expect "an empty one" 64 check short.cfg --units ''
expect "capitals" 64 check short.cfg --units US

# screens
for name in demo acid_well chloramine cold_hard float_only vacation short more; do
    both check_$name 12 check $name.cfg -q
done
both run 12 run short.cfg -o results --force --no-figures --set 'prices={water="3.2 /m3"; sewer="2 /m3";}' \
    --set 'limits={spill="1 mL"; product="0 ppm";}' --set 'clock.length="6 days"'
sed -i 's/^Results:.*//' run.us
both overflow 8 overflow line.cfg -q --years 20
both safeguards 8 overflow guarded.cfg -q --seed 7 --years 0 --safeguards
both pipe 8 overflow line.cfg -q --years 0 --set 'storage.overflow="standpipe"'
both away 6 away demo.cfg -q --span "5 days"
both rinse 4 rinse rinse.cfg -q
both read 4 read demo.cfg 73,4,1 -q --drain "60 mL/min" --temperature "8 degC" --pressure "3.2 bar"
both cold 2 read demo.cfg 73,2,0 -q --flow "60 mL/min"
both life 6 life short.cfg -q --samples 32 --set 'prices={cartridges={resin=20;};}' --set 'clock.length="60 days"' \
    --set 'feed.coldest={ value = "43 degF"; sd = "2 K"; }'
both sweep 6 sweep short.cfg -q --vary 'feed.pH=7,7.4,7.8'
both sample 10 sweep short.cfg -q --vary 'feed.pressure=40..60 psi' --sample 8

# the values that check tells: ours follow the taste, those of the scenario stay as they were written
"$leat" check short.cfg --units us >out 2>err
says "what was written stays" out "storage.diameter = 50 cm"
says "a default follows" out "train.membrane.area = 4.521 sq ft"

# data
data check_json check demo.cfg --format json
data check_csv check demo.cfg --format csv
data run_json run short.cfg -q -o data --force --no-figures --format json
data overflow_json overflow guarded.cfg -q --seed 7 --years 0 --safeguards --format json
data away_json away short.cfg -q --set 'clock.away="1 day"' --format json
data rinse_json rinse rinse.cfg -q --format json
data read_json read demo.cfg 73,4,1 -q --temperature "8 degC" --format json
data life_json life short.cfg -q --samples 32 --format json
data sweep_json sweep short.cfg -q --vary 'feed.pH=7,7.4' --format json
data sweep_csv sweep short.cfg -q --vary 'feed.pH=7,7.4' --format csv

# folders: figures and text for people follow the taste, so the manifest has other hashes of these
people='figures: .*|figures/[a-z]*(-labels|-limits|-heads)?[.](dat|par|svg)|summary.txt|manifest.json'
folder run "$people" run short.cfg -q
folder plain 'summary.txt|manifest.json' run short.cfg -q --no-figures
folder overflow "$people|overflow.txt" overflow line.cfg -q --years 20
folder rinse "$people|answer.txt" rinse rinse.cfg -q
folder sweep "$people|sweep.txt" sweep short.cfg -q --vary 'feed.pressure=40..60 psi/3'
folder lives "$people|life.txt|answer.txt" life short.cfg -q --samples 32
check "the manifest tells in which units words and pictures are" grep -q '"shown_in": "us"' run-us/manifest.json
check "if they are not metric" sh -c '! grep -q shown_in run-metric/manifest.json'
check "both overflow.txt are screens" grep -q "gal on the floor" overflow-us/overflow.txt

# a campaign that was kept is shown in the taste of whoever gathers it
"$leat" overflow line.cfg -q --years 20 --keep kept --units us >kept.us 2>err
"$leat" gather kept -q --units metric >gathered.metric 2>err
"$leat" gather kept -q --units us >gathered.us 2>err
"$leat" overflow line.cfg -q --years 20 >kept.metric 2>err
check "gathered in metric" cmp gathered.metric kept.metric
check "gathered in us" cmp gathered.us kept.us
check "a store does not know the taste" sh -c '! grep -rqi "taste\|--units" kept'

# pictures: axes tell the unit, and their data are turned
axis() { # FILE UNIT WORDS
    case="$1 has \"$3\""
    if grep -q ">$3<" "$1" || grep -qF "$3" "$1"; then ok; else bad "it has not"; fi
}
figures=run-us/figures
axis $figures/levels.svg in "tank level, in"
axis $figures/levels.svg in "served water, in"
axis $figures/levels.svg flow "product, gal/day"
axis $figures/production.svg a_day "gallons a day"
axis $figures/production.svg heat "feed, °F"
axis $figures/wear.svg psi "sediment, psi"
axis $figures/front.svg in "depth, in"
axis overflow-us/figures/worst.svg in "tank level, in"
axis overflow-us/figures/times.svg gal " gal"
axis sweep-us/figures/sweep.svg flow "gal/day"
axis run-metric/figures/levels.svg cm "tank level, cm"
axis run-metric/figures/production.svg degC "feed, °C"
for name in run-us run-metric; do
    grep -v '^#' $name/figures/levels.dat | cut -f 2-7,11-13 | tr '\t' '\n' >$name.levels
    grep -v '^#' $name/figures/wear.dat | cut -f 14-16 | tr '\t' '\n' >$name.degrees
    grep -v '^#' $name/figures/meters.dat >$name.meters
done
turned() { # METRIC US FACTORS OFFSET: factors of one row of numbers
    paste "$1" "$2" | awk -v factors="$3" -v offset="$4" '
        BEGIN { n = split(factors, by, " ") }
        $1 == "NaN" && $2 == "NaN" { next }
        { wanted = $1 * by[(NR - 1) % n + 1] + offset; d = $2 - wanted
          if (d < 0) d = -d
          if (d > 2e-6 * (wanted < 0 ? -wanted : wanted) + 1e-6) { print NR ": " $1 " " $2; bad = 1 }
          rows++ }
        END { exit bad || rows < 6 }'
}
check "levels and flow are turned" turned run-metric.levels run-us.levels \
    "0.3937008 0.3937008 0.3937008 0.03937008 0.03937008 0.03937008 0.3804084 0.3804084 0.3804084" 0
check "degrees are turned" turned run-metric.degrees run-us.degrees 1.8 32
check "meters stay" cmp run-metric.meters run-us.meters
check "so does silica beside them" grep -q product_silica_mg_L run-us/figures/meters.dat
"$leat" run short.cfg -o text --terminal --units us >out 2>err
check "no metric word in pictures of letters" sh -c "! (. ./words.inc && metric_words out)"
check "80 columns with pictures of letters" sh -c "! grep -E '^.{81}' out"
says "their titles tell the unit" out "tank level, in, against day"
finish
