#!/usr/bin/env bash
# A Slurm of one node for as long as this script runs, to try slurm.sh with: an array, one of its tasks requeued while it runs,
# another killed, and the merged bytes held against those of one machine.
#
#   apt-get install slurm-wlm munge          # Debian; then, as root or as any user:
#   FILE=study.toml NIGHTS=80000 SHARDS=8 one_node_slurm.sh
#
# Everything lies in a temporary folder and listens at 127.0.0.1 alone; the daemons end with the script, each by its number.
set -euo pipefail
: "${FILE:?name the scenario file}" "${NIGHTS:=80000}" "${SHARDS:=8}" "${NIGHTBENCH:=nightbench}"
here=$(cd "$(dirname "$0")" && pwd)
FILE=$(realpath "$FILE")
PATH=$PATH:/usr/sbin
for program in munged slurmctld slurmd sbatch "$NIGHTBENCH"; do
  command -v "$program" >/dev/null || { echo "$program is missing (Debian: apt-get install slurm-wlm munge)" >&2; exit 2; }
done
NIGHTBENCH=$(command -v "$NIGHTBENCH")

folder=$(mktemp -d)
chmod 755 "$folder"
daemons=()
end() {
  local status=$? number
  # The last that was started ends first.
  for ((number = ${#daemons[@]} - 1; number >= 0; number--)); do
    kill "${daemons[number]}" 2>/dev/null && wait "${daemons[number]}" 2>/dev/null || true
  done
  if [ "$status" = 0 ]; then rm -rf "$folder"; else echo "logs are kept in $folder" >&2; fi
  exit "$status"
}
trap end EXIT
trap 'exit 130' INT TERM

# start NAME COMMAND…: a daemon in the foreground of its own process, so that its number is known.
start() {
  local name=$1
  shift
  "$@" >"$folder/$name.out" 2>&1 &
  daemons+=($!)
}

# until_true WHAT COMMAND…: tries for two minutes.
until_true() {
  local what=$1 try
  shift
  for ((try = 0; try < 480; try++)); do
    "$@" >/dev/null 2>&1 && return
    sleep 0.25
  done
  echo "waited in vain: $what" >&2
  exit 3
}

# Who may speak to whom: a key of this folder's own.
mkdir -m 700 "$folder/munge"
(umask 077 && head -c 128 /dev/urandom >"$folder/munge/key")
chmod 755 "$folder/munge"
start munged munged --foreground --force --key-file "$folder/munge/key" --socket "$folder/munge/socket" \
  --pid-file "$folder/munge/pid" --log-file "$folder/munge/log" --seed-file "$folder/munge/seed"
until_true "munged answers" munge --socket "$folder/munge/socket" --no-input

node=$(hostname -s)
mkdir "$folder/state" "$folder/spool"
cat >"$folder/slurm.conf" <<CONF
ClusterName=one-node
SlurmctldHost=$node(127.0.0.1)
SlurmctldPort=26817
SlurmdPort=26818
CommunicationParameters=NoInAddrAny,NoCtldInAddrAny
SlurmUser=$(id -un)
SlurmdUser=$(id -un)
AuthType=auth/munge
AuthInfo=socket=$folder/munge/socket
StateSaveLocation=$folder/state
SlurmdSpoolDir=$folder/spool
SlurmctldPidFile=$folder/slurmctld.pid
SlurmdPidFile=$folder/slurmd.pid
SlurmctldLogFile=$folder/slurmctld.log
SlurmdLogFile=$folder/slurmd.log
ProctrackType=proctrack/linuxproc
TaskPlugin=task/none
MpiDefault=none
SelectType=select/cons_tres
SelectTypeParameters=CR_CPU
ReturnToService=2
RequeueExit=3
KillWait=15
NodeName=$node NodeAddr=127.0.0.1 CPUs=$(nproc) State=UNKNOWN
PartitionName=all Nodes=ALL Default=YES MaxTime=INFINITE State=UP
CONF
export SLURM_CONF=$folder/slurm.conf
start slurmctld slurmctld -D -c -f "$SLURM_CONF"
start slurmd slurmd -D -f "$SLURM_CONF" -N "$node"
is_idle() { [ "$(sinfo --noheader --format %t)" = idle ]; }
until_true "the node is idle" is_idle
sinfo --version
echo "the daemons listen at: $(ss -ltnH 'sport = :26817 or sport = :26818' | awk '{ print $4 }' | sort | tr '\n' ' ')"

cd "$folder"
job=$(sbatch --parsable --array=0-$((SHARDS - 1)) --output="task-%a.log" \
  --export=ALL,FILE="$FILE",NIGHTS="$NIGHTS",SHARDS="$SHARDS",OUT="$folder/shards",NIGHTBENCH="$NIGHTBENCH" "$here/slurm.sh")
echo "array $job of $SHARDS tasks is queued"
state() { squeue --noheader --array --format '%T' --jobs "${job}_$1" 2>/dev/null || true; }
runs() { [ "$(state "$1")" = RUNNING ]; }
until_true "the first two tasks run" eval 'runs 0 && runs 1'
sleep 2
scontrol requeue "${job}_0"
echo "task 0 is requeued while it runs: $(state 0)"
scancel --signal=KILL --batch "${job}_1"
echo "task 1 is killed while it runs"

is_over() { [ -z "$(squeue --noheader --array --jobs "$job" --states all --format '%T' | grep -Ev 'COMPLETED|FAILED|CANCELLED')" ]; }
# A task that was requeued begins again after two minutes, unless it is told to at once.
for ((try = 0; try < 1200; try++)); do
  is_over && break
  if [ "$(squeue --noheader --array --jobs "${job}_0" --format '%T %r')" = "PENDING BeginTime" ]; then
    scontrol update JobId="${job}_0" StartTime=now || true
  fi
  sleep 1
done
squeue --array --jobs "$job" --states all --format '%K %T %r' | (read -r head; echo "$head"; sort -n) | column -t
cat task-*.log

# What the engine says doesn't count: merge looks at the files, and names what is to be run again.
status=0
"$NIGHTBENCH" merge shards --out merged --quiet || status=$?
if [ "$status" != 0 ]; then
  echo "merge: status $status; that shard is run again"
  sbatch --parsable --wait --array=1 --output="task-%a.log" \
    --export=ALL,FILE="$FILE",NIGHTS="$NIGHTS",SHARDS="$SHARDS",OUT="$folder/shards",NIGHTBENCH="$NIGHTBENCH" "$here/slurm.sh" >/dev/null
  "$NIGHTBENCH" merge shards --out merged --quiet
fi
"$NIGHTBENCH" sweep "$FILE" --nights "$NIGHTS" --out alone --quiet
for name in sweep.json nights.parquet sweep.html; do
  cmp "merged/$name" "alone/$name"
done
echo "the merged bytes are those of one machine: sweep.json $(sha256sum merged/sweep.json | cut -c1-16)…"
ls -A shards
