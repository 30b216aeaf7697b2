#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# A real Slurm on this one machine, as root, for tests of job arrays.
#   sh tests/slurm_node.sh start FOLDER   installs it if it is not there (Debian), starts it; its files are in FOLDER
#   sh tests/slurm_node.sh stop FOLDER    stops what was started
# After start,  export SLURM_CONF=FOLDER/slurm.conf.  Status 77 and a word why: it cannot run here.
set -u
folder=${2:?a folder for its files}

cannot() {
    echo "$1"
    exit 77
}

install_it() {
    command -v slurmctld >/dev/null && command -v slurmd >/dev/null && command -v munged >/dev/null && return
    command -v apt-get >/dev/null || cannot "Slurm is not installed, and there is no apt-get"
    ls /var/lib/apt/lists/*Packages* >/dev/null 2>&1 || apt-get update -q >/dev/null 2>&1
    DEBIAN_FRONTEND=noninteractive timeout 300 apt-get install -y -q --no-install-recommends slurm-wlm munge \
        >"$folder/install.log" 2>&1 </dev/null || cannot "Slurm could not be installed"
}

configure() {
    host=$(hostname -s)
    mkdir -p "$folder/ctl" "$folder/node" || exit 70
    cat >"$folder/slurm.conf" <<END
ClusterName=one
SlurmctldHost=$host(127.0.0.1)
SlurmUser=root
AuthType=auth/munge
AuthInfo=socket=$folder/munge.socket
StateSaveLocation=$folder/ctl
SlurmdSpoolDir=$folder/node
SlurmctldPidFile=$folder/slurmctld.pid
SlurmdPidFile=$folder/slurmd.pid
SlurmctldLogFile=$folder/slurmctld.log
SlurmdLogFile=$folder/slurmd.log
SlurmctldPort=$((20000 + $$ % 5000))
SlurmdPort=$((25000 + $$ % 5000))
ProctrackType=proctrack/linuxproc
TaskPlugin=task/none
JobAcctGatherType=jobacct_gather/none
SelectType=select/cons_tres
ReturnToService=2
SchedulerParameters=sched_interval=1,bf_interval=1
NodeName=$host NodeAddr=127.0.0.1 CPUs=$(nproc) State=UNKNOWN
PartitionName=all Nodes=ALL Default=YES State=UP
END
}

# A munge of our own: its key, socket and pid lie in the folder, so that one that runs already is left alone.
start_munge() {
    head -c 1024 /dev/urandom >"$folder/munge.key" && chmod 600 "$folder/munge.key"
    munged --force --key-file="$folder/munge.key" --socket="$folder/munge.socket" --pid-file="$folder/munged.pid" \
        --log-file="$folder/munged.log" --seed-file="$folder/munged.seed" >"$folder/munged.out" 2>&1 ||
        cannot "munge does not start: $(tail -n 1 "$folder/munged.out")"
}

stop_all() {
    for daemon in slurmd slurmctld munged; do
        [ ! -s "$folder/$daemon.pid" ] || kill "$(cat "$folder/$daemon.pid")" 2>/dev/null
    done
    for _ in $(seq 20); do
        [ -e "$folder/slurmd.pid" ] || [ -e "$folder/slurmctld.pid" ] || [ -e "$folder/munged.pid" ] || return 0
        sleep 0.5
    done
}

start_all() {
    [ "$(id -u)" = 0 ] || cannot "only root can start Slurm"
    mkdir -p "$folder" || exit 70
    install_it
    configure
    start_munge
    SLURM_CONF=$folder/slurm.conf
    export SLURM_CONF
    slurmctld >"$folder/start.log" 2>&1 && slurmd >>"$folder/start.log" 2>&1
    for _ in $(seq 60); do
        ! sinfo -h 2>/dev/null | grep -q idle || return 0
        sleep 0.5
    done
    stop_all
    cannot "Slurm does not start: $(tail -n 1 "$folder/start.log") $(tail -n 1 "$folder/slurmd.log")"
}

case ${1-} in
start) start_all ;;
stop) stop_all ;;
*)
    echo "usage: sh tests/slurm_node.sh start|stop FOLDER" >&2
    exit 64
    ;;
esac
