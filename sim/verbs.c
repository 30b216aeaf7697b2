/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * verbs: see verbs.h.  Page: docs/commands.md.
 */
#include "verbs.h"

#include "command.h"

const struct verb verbs[] = {
    { .name = "new",
      .operand = "NAME",
      .question = "Where do I start?  Copies a commented scenario to NAME.cfg.",
      .more = "Examples:\n"
              "  leat new --list\n"
              "  leat new pond\n"
              "  leat new bench --from demo\n"
              "A file that is there already is never overwritten.",
      .takes = TAKES_NEW,
      .act = command_new },
    { .name = "keys",
      .question = "What may stand in a scenario?  Every key, its range and default; the parts.",
      .more = "Examples:\n"
              "  leat keys\n"
              "  leat keys | less",
      .act = command_keys },
    { .name = "check",
      .operand = "FILE",
      .question = "Is my scenario sound, and what was assumed?  Writes no file.",
      .more = "Examples:\n"
              "  leat check pond.cfg\n"
              "  leat check pond.cfg --set 'feed.pressure=\"40 psi\"'\n"
              "All that is wrong is shown at once, by line and column.",
      .takes = TAKES_SET | TAKES_CSV,
      .act = command_check },
    { .name = "run",
      .operand = "FILE",
      .question = "What will happen?  Leaves series, events, summary and figures in a folder.",
      .more =
          "Examples:\n"
          "  leat run pond.cfg\n"
          "  leat run pond.cfg -o cold --set 'feed.coldest=\"3 degC\"'\n"
          "  leat run pond.cfg -o cold --force --terminal\n"
          "  leat run pond.cfg --until \"100 days\" -o half\n"
          "  leat run pond.cfg --resume half -o whole\n"
          "The folder is FILE's name and -results if -o says no other.  Exit status 1: a limit of "
          "the scenario was broken; 130: interrupted, what was computed is kept and --resume goes "
          "on.",
      .takes = TAKES_OUTPUT | TAKES_FIGURES | TAKES_SET | TAKES_SEED | TAKES_TABLE | TAKES_PIECES,
      .leaves_results = true,
      .act = command_run },
    { .name = "overflow",
      .operand = "FILE",
      .question = "Can the tank overflow, by which faults, and how likely?  Pictures with -o.",
      .more =
          "Examples:\n"
          "  leat overflow pond.cfg\n"
          "  leat overflow pond.cfg --set 'storage.overflow=\"standpipe\"'\n"
          "  leat overflow pond.cfg --safeguards\n"
          "  leat overflow pond.cfg -o pond-overflow --terminal\n"
          "  leat overflow pond.cfg --format json --jobs 2\n"
          "  leat overflow pond.cfg --safeguards --keep pond-cases\n"
          "  leat overflow pond.cfg --shard 2/3 --keep part-2\n"
          "Every fault and every pair of faults, from the worst moments of a normal year.  "
          "Without -o and --keep no file is written.  What is in the folder of --keep is not run "
          "again: after a kill the same command goes on.  Parts are joined by leat gather.",
      .takes = TAKES_OUTPUT | TAKES_FIGURES | TAKES_SET | TAKES_SEED | TAKES_TABLE | TAKES_CASES,
      .leaves_results = true,
      .act = command_overflow },
    { .name = "away",
      .operand = "FILE",
      .question = "May I leave, and what must I do before?  Writes no file.",
      .more = "Examples:\n"
              "  leat away pond.cfg\n"
              "  leat away pond.cfg --span \"10 days\" --leaving 2026-07-04\n"
              "The span is clock.away of the scenario if --span says no other.  Exit status 1: "
              "without any fault a limit of the scenario is broken meanwhile.",
      .takes = TAKES_SET | TAKES_SEED | TAKES_TABLE | TAKES_AWAY,
      .act = command_away },
    { .name = "gather",
      .operand = "DIR...",
      .question = "What do the parts of a campaign say together?  As if it had not been split.",
      .more =
          "Examples:\n"
          "  leat gather part-1 part-2 part-3\n"
          "  leat gather part-* --format json\n"
          "  leat gather part-* -o pond-overflow\n"
          "The folders are those of --keep, one a part (--shard).  What no part could know (the "
          "best two safeguards together) is run here.",
      .many = true,
      .takes = TAKES_OUTPUT | TAKES_FIGURES | TAKES_TABLE | TAKES_JOBS,
      .leaves_results = true,
      .act = command_gather },
    { .name = "rinse",
      .operand = "FILE",
      .question = "How should I rinse the membrane: when, how long, and does it pay?",
      .more =
          "Examples:\n"
          "  leat rinse pond.cfg\n"
          "  leat rinse pond.cfg --set 'prices.sewer=\"0 /m3\"'\n"
          "  leat rinse pond.cfg -o pond-rinse\n"
          "  leat rinse pond.cfg --format json --jobs 2\n"
          "Every way of rinsing at its best, a map of interval by duration, and whether the answer "
          "survives what nobody has measured.  Writes files only with -o.",
      .takes = TAKES_OUTPUT | TAKES_SET | TAKES_TABLE | TAKES_JOBS,
      .leaves_results = true,
      .act = command_rinse },
    { .name = "read",
      .operand = "FILE",
      .second = "FEED,PERMEATE,PRODUCT",
      .question = "My meters show this: what is failing?  Writes no file.",
      .more =
          "Examples:\n"
          "  leat read pond.cfg 245,13,0\n"
          "  leat read pond.cfg 245,13,0 --drain \"90 mL/min\" --temperature \"8 degC\"\n"
          "  leat read pond.cfg \"490 uS/cm,26 uS/cm,-\" --at 2026-07-01\n"
          "  leat read pond.cfg 245,13,0 --also \"hardness=4 mg/L as CaCO3\"\n"
          "Bare readings are ppm on the plant's meter; a dash, or nothing, is one not read (so "
          "that -,13,0 is written ,13,0).  Keys of --also: "
          "feed_again, permeate_again, product_again (by a second meter), throttled, ph, hardness, "
          "silica, as the answer proposes them.",
      .takes = TAKES_SET | TAKES_TABLE | TAKES_READINGS,
      .act = command_read },
    { .name = "life",
      .operand = "FILE",
      .question = "When does each cartridge end, why, and how sure is that?  What would help?",
      .more = "Examples:\n"
              "  leat life pond.cfg\n"
              "  leat life pond.cfg --set 'feed.pH={ value = 7.1; sd = 0.1; }'\n"
              "  leat life pond.cfg --samples 1024 --jobs 4 -o pond-life\n"
              "Writes no file without -o.  Nobody comes, no dated event falls: parts as they would "
              "last by themselves.",
      .takes = TAKES_OUTPUT | TAKES_SET | TAKES_SEED | TAKES_TABLE | TAKES_SAMPLES,
      .leaves_results = true,
      .act = command_life },
    { .name = "along",
      .operand = "FILE",
      .question = "What happens to the water, part by part?  At the start, or any date.",
      .more = "Examples:\n"
              "  leat along pond.cfg\n"
              "  leat along pond.cfg --at 2026-07-01\n"
              "  leat along pond.cfg --compare \"300 days\"\n"
              "  leat along pond.cfg --explain --only sediment\n"
              "  leat along pond.cfg -o pond-along --terminal\n"
              "  leat along pond.cfg --animate\n"
              "  leat along pond.cfg --animate -o pond-film\n"
              "The line as it makes water steadily on the mean feed of that day, with the parts as "
              "the run has worn them by then.  --animate: the beds and the membrane from new until "
              "the last resin has ended, in the terminal, or as a moving picture in a folder.  "
              "Without -o no file is written.",
      .takes = TAKES_OUTPUT | TAKES_FIGURES | TAKES_SET | TAKES_CSV | TAKES_ALONG | TAKES_FILM,
      .leaves_results = true,
      .act = command_along },
    { .name = "sweep",
      .operand = "FILE",
      .question = "What if?  The same scenario with values changed, each time run whole.",
      .more = "Examples:\n"
              "  leat sweep pond.cfg --vary 'feed.pressure=30..70 psi/9'\n"
              "  leat sweep pond.cfg --vary 'feed.chlorine=0.1..3 mg/L/7 log'\n"
              "  leat sweep pond.cfg --vary 'feed.pH=7,7.5' --vary 'draws.1.take=9..60 L/5'\n"
              "  leat sweep pond.cfg --vary 'feed.coldest=2..9 degC' --sample 64 -o cold\n"
              "One or two keys; what --set takes, --vary takes.  Every row is checked before the "
              "first is run; one that the scenario refuses refuses all.  Without -o no file is "
              "written.  Exit status 1: a limit of the scenario is broken in a row.",
      .takes = TAKES_OUTPUT | TAKES_FIGURES | TAKES_SET | TAKES_SEED | TAKES_CSV | TAKES_SWEEP,
      .leaves_results = true,
      .act = command_sweep },
    { .name = "show",
      .operand = "DIR",
      .rest = "[CHANNEL...]",
      .question = "What is in a folder of results?  Lists its series, or draws some as text.",
      .more = "Examples:\n"
              "  leat show pond-results\n"
              "  leat show pond-results tank_level product_meter\n"
              "  leat show pond-results tank_level --from \"100 days\" --to \"103 days\" --events\n"
              "  leat show pond-results daily:produced_L --format csv\n"
              "  leat show pond-results tank_level --format csv --points 200\n"
              "A channel is a column of a file there, with its unit or without; FILE:CHANNEL if "
              "several files have one.  Writes no file.",
      .many = true,
      .takes = TAKES_SHOW,
      .act = command_show },
    { .name = "report",
      .operand = "DIR...",
      .question = "What do I hand over?  One page, from the folders that other verbs left.",
      .more = "Examples:\n"
              "  leat report pond-results\n"
              "  leat report pond-results pond-overflow pond-life -o pond.html\n"
              "The folders are those that run, overflow, life, rinse and sweep left by -o; every file "
              "must be as it was written.  The page is one file of HTML with its figures in it: no "
              "script, no network; it prints on A4 and Letter.  Its name is the first folder's and "
              ".html if -o says no other.",
      .many = true,
      .takes = TAKES_PAGE,
      .leaves_results = true,
      .act = command_report },
    { .name = NULL },
};

const char *const verbs_later[] = { "fit", NULL };
