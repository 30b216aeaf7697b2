#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# The parts of a campaign as a job array on a real Slurm of one node (docs/campaigns.md); skipped, with a word why,
# where none can be started.
node=$(cd "$(dirname "$0")/.." && pwd)/slurm_node.sh
. "$(dirname "$0")/common.inc"

slurm=$work/slurm
trap 'sh "$node" stop "$slurm"; rm -rf "$work"' EXIT
if ! sh "$node" start "$slurm" >why 2>&1; then
    echo "skipped, $(tail -n 1 why)"
    finish
fi
export SLURM_CONF="$slurm/slurm.conf"

"$leat" new demo >out 2>err
"$leat" overflow demo.cfg -q --set 'risk.unattended="3 h"' >whole.txt 2>err

cat >part.sh <<END
#!/bin/sh
#SBATCH --array=1-3
#SBATCH --cpus-per-task=1
#SBATCH --output=part-%a.log
exec "$leat" overflow demo.cfg -q --set 'risk.unattended="3 h"' --jobs "\$SLURM_CPUS_PER_TASK" \\
    --shard "\$SLURM_ARRAY_TASK_ID/3" --keep "part-\$SLURM_ARRAY_TASK_ID"
END
cat >join.sh <<END
#!/bin/sh
#SBATCH --output=join.txt
exec "$leat" gather part-1 part-2 part-3
END
array=$(sbatch --parsable part.sh 2>err)
check "an array of three jobs is taken" test -n "$array"
timeout 300 sbatch --wait --dependency=afterok:"$array" join.sh >out 2>err
status=$?
check "all of them end well, and then the one that gathers" test $status = 0
for part in 1 2 3; do
    says "part $part" part-$part.log "Part $part of 3 is done"
done
check "to the bytes of the whole" cmp -s join.txt whole.txt
finish
