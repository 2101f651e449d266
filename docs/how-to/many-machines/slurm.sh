#!/usr/bin/env bash
#SBATCH --job-name=nightbench
#SBATCH --cpus-per-task=1
#SBATCH --time=00:30:00
#SBATCH --requeue
#SBATCH --signal=B:TERM@30
#
# One shard for each task of a Slurm array. `one_node_slurm.sh` beside it runs it on one computer.
#
#   sbatch --array=0-19 --export=ALL,FILE=study.toml,NIGHTS=10000,SHARDS=20,OUT=shards slurm.sh
#
# Half a minute before the time is up the shard is told to end (B: the script itself, which has no steps). It keeps what is
# done and ends with status 3; where the cluster has RequeueExit=3, it then goes on by itself.
set -euo pipefail
: "${FILE:?name the scenario file}" "${NIGHTS:=1000}" "${SHARDS:?how many shards}" "${OUT:=shards}" "${NIGHTBENCH:=nightbench}"
# exec, so that the signal reaches the program itself.
exec "$NIGHTBENCH" sweep "$FILE" --nights "$NIGHTS" --shard "array/$SHARDS" --shard-offset "${OFFSET:-0}" \
  --jobs "${SLURM_CPUS_PER_TASK:-1}" --out "$OUT" --quiet
