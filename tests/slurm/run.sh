#!/usr/bin/env bash
# A batch as an array job of Slurm, on a cluster of two nodes that this script sets up on one machine, with one node killed at work.
#
#   apt-get install slurmctld slurmd slurm-client munge      (Debian 12 has Slurm 22.05)
#   tests/slurm/run.sh                                       (as root; the nodes are PID namespaces, so that killing one kills all in it)
#
# It compares the merged results with those of one plain run, byte by byte, and prints PASSED. Not run by cargo: it needs root and packages.
# OVERWINTER names the program, target/release/overwinter without it. Everything is written to a temporary folder.
set -euo pipefail
cd "$(dirname "$0")/../.."

program=$(realpath "${OVERWINTER:-target/release/overwinter}")
tasks=8
work=$(mktemp -d)
chmod 755 "$work"
started=()

stop() {
    for pid in "${started[@]}"; do
        kill -9 "$pid" 2>/dev/null || true
    done
    wait 2>/dev/null || true
    [ -n "${KEEP:-}" ] || rm -rf "$work"
}
trap stop EXIT

say() { printf '%s  %s\n' "$(date +%T)" "$*"; }
die() {
    printf 'FAILED: %s\n' "$*" >&2
    tail -n 20 "$work"/*.log >&2 || true
    exit 1
}
# Waits up to so many seconds for a command to succeed.
await() {
    local seconds=$1
    shift
    for _ in $(seq "$((seconds * 5))"); do
        if "$@" >/dev/null 2>&1; then return 0; fi
        sleep 0.2
    done
    die "not within $seconds s: $*"
}

# --- a study: two hives at eight stations, one invented winter each ---------------------------------------------------------------
mkdir "$work/study" "$work/study/weather"
"$program" new "$work/study/thin.toml" >/dev/null
sed -e 's/^name = "Kettlewend.*/name = "foam"/' -e 's/^wall = .*/wall = ["40 mm eps"]/' "$work/study/thin.toml" >"$work/study/foam.toml"
for station in 1 2 3 4 5 6 7 8; do
    sed -e "s/^latitude_deg = .*/latitude_deg = $((38 + 2 * station))/" weather/kettlewend-normals.toml >"$work/normals.toml"
    "$program" weather synth "$work/normals.toml" --winters 1 --seed "$station" --to "$work/study/weather/s$station.csv" >/dev/null
done
cat >"$work/study/study.toml" <<'END'
name = "Array"
scenarios = [{ name = "thin", file = "thin.toml" }, { name = "foam", file = "foam.toml" }]
members = 100
seed = 7
[weather]
folder = "weather"
END

say "one plain run"
"$program" batch "$work/study/study.toml" --out "$work/plain" --quiet >/dev/null

# --- a cluster: one controller, two nodes of one processor ------------------------------------------------------------------------
host=$(hostname -s)
mkdir "$work/state"
dd if=/dev/urandom of="$work/munge.key" bs=128 count=1 status=none
chmod 600 "$work/munge.key"
export SLURM_CONF="$work/slurm.conf"
cat >"$SLURM_CONF" <<END
ClusterName=yard
SlurmctldHost=$host(127.0.0.1)
SlurmctldPort=16817
SlurmUser=root
AuthType=auth/munge
AuthInfo=socket=$work/munge.sock
CredType=cred/munge
StateSaveLocation=$work/state
SlurmdSpoolDir=$work/spool.%n
SlurmctldPidFile=$work/slurmctld.pid
SlurmdPidFile=$work/slurmd.%n.pid
SlurmctldLogFile=$work/slurmctld.log
SlurmdLogFile=$work/slurmd.%n.log
ProctrackType=proctrack/linuxproc
TaskPlugin=task/none
JobAcctGatherType=jobacct_gather/none
MpiDefault=none
SelectType=select/cons_tres
SelectTypeParameters=CR_CPU
SchedulerParameters=sched_interval=2,batch_sched_delay=1
ReturnToService=2
SlurmdTimeout=8
MessageTimeout=5
KillWait=2
NodeName=node[1-2] NodeHostname=$host NodeAddr=127.0.0.1 Port=[17001-17002] CPUs=1 State=UNKNOWN
PartitionName=all Nodes=ALL Default=YES MaxTime=INFINITE State=UP
END

# Starts a node in a PID namespace of its own; the namespace's first process is slurmd, and dies with all that the node runs.
node() {
    mkdir -p "$work/spool.$1"
    unshare --pid --fork --kill-child --mount-proc slurmd -D -N "$1" >>"$work/$1.log" 2>&1 &
    started+=($!)
    declare -g "pid_$1=$!"
}
state() { scontrol show node "$1" | grep -q "State=$2"; }

munged --foreground --force --key-file "$work/munge.key" --socket "$work/munge.sock" --pid-file "$work/munged.pid" \
    --log-file "$work/munged.log" --seed-file "$work/munged.seed" >>"$work/munged.out.log" 2>&1 &
started+=($!)
await 10 test -S "$work/munge.sock"
slurmctld -D >>"$work/ctl.log" 2>&1 &
started+=($!)
await 20 scontrol ping
node node1
node node2
await 30 state node1 IDLE
await 30 state node2 IDLE
say "two nodes are up"

# --- the array job, as README has it ----------------------------------------------------------------------------------------------
cat >"$work/job.sh" <<END
#!/bin/sh
#SBATCH --array=1-$tasks
#SBATCH --requeue
#SBATCH --cpus-per-task=1
#SBATCH --output=$work/task-%a.out
exec "$program" batch "$work/study/study.toml" --out "$work/shared" --shard "\$SLURM_ARRAY_TASK_ID/$tasks" --threads 1 --quiet
END
job=$(sbatch --parsable "$work/job.sh")
say "job $job: $tasks tasks"

finished() { find "$work/shared/cells" -name '[!.]*.json' 2>/dev/null | wc -l; }
at_least() { [ "$(finished)" -ge "$1" ]; }
at_work() { squeue -h -t R -w "$1" | grep -q .; }
at_work() { lost=$(squeue -h -t R -w node1 -o '%i' | head -n 1) && [ -n "$lost" ]; }
await 120 at_least 3
await 60 at_work
before=$(finished)
find "$work/shared/cells" -name '[!.]*.json' -exec stat -c '%n %Y %i' {} + | sort >"$work/before"
[ "$before" -lt 16 ] || die "all cells were finished before the node could be killed"

{ kill -9 "$pid_node1" && wait "$pid_node1"; } 2>/dev/null || true
say "node1 is killed with task $lost at work and $before of 16 cells finished"
await 60 state node1 DOWN
say "the controller has found it down; it is started again"
node node1
await 60 state node1 'IDLE\|State=ALLOCATED\|State=MIXED'
requeued() { scontrol show job "$lost" | grep -q 'Restarts=[1-9]'; }
requeued || die "task $lost was not given out again"
gone() { ! squeue -h -j "$job" | grep -q .; }
await 300 gone

say "$(finished) of 16 cells are finished"
find "$work/shared/cells" -name '[!.]*.json' -exec stat -c '%n %Y %i' {} + | sort >"$work/after"
[ -z "$(comm -23 "$work/before" "$work/after")" ] || die "a finished cell was lost or made again"
"$program" merge "$work/shared" >/dev/null
for file in results.csv results.parquet winters.csv winters.parquet stations.csv district.csv summary.json; do
    cmp "$work/plain/$file" "$work/shared/$file" || die "$file differs"
done
say "PASSED: task $lost ran again, no finished cell did, and the merged results are those of one run, byte by byte"
