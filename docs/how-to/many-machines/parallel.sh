#!/usr/bin/env bash
# A sweep in shards by GNU parallel, on this machine or on those that its --sshlogin names.
#
#   FILE=study.toml NIGHTS=10000 SHARDS=20 OUT=shards parallel.sh
#
# Status 3 of a shard means try again; a shard that is there already ends at once.
set -euo pipefail
: "${FILE:?name the scenario file}" "${NIGHTS:=1000}" "${SHARDS:=10}" "${OUT:=shards}" "${NIGHTBENCH:=nightbench}"
seq 0 $((SHARDS - 1)) | parallel --will-cite --retries 3 --halt never \
  "$NIGHTBENCH" sweep "$FILE" --nights "$NIGHTS" --shard "{}/$SHARDS" --jobs 1 --out "$OUT" --quiet
