#!/usr/bin/env bash
#SBATCH --job-name=nightbench
#SBATCH --cpus-per-task=1
#SBATCH --time=00:30:00
#SBATCH --requeue
#SBATCH --signal=TERM@30
#
# One shard for each task of a Slurm array. Written from Slurm's manual; the project's tests don't run it.
#
#   sbatch --array=0-19 --export=ALL,FILE=study.toml,NIGHTS=10000,SHARDS=20,OUT=shards slurm.sh
set -euo pipefail
: "${FILE:?name the scenario file}" "${NIGHTS:=1000}" "${SHARDS:?how many shards}" "${OUT:=shards}" "${NIGHTBENCH:=nightbench}"
# exec, so that the signal reaches the program itself.
exec "$NIGHTBENCH" sweep "$FILE" --nights "$NIGHTS" --shard "array/$SHARDS" --shard-offset "${OFFSET:-0}" \
  --jobs "${SLURM_CPUS_PER_TASK:-1}" --out "$OUT" --quiet
