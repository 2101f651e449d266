#!/usr/bin/env python3
"""A sweep in shards on a Dask cluster: this machine's by default, another by --scheduler.

Usage: dask_sweep.py FILE [--nights M] [--shards N] [--out DIR] [--workers W] [--scheduler ADDRESS]

Needs the package `distributed`. A shard that fails is tried again; one that is there already ends at once.
"""

import argparse
import os
import subprocess
import sys


def play(program, file, nights, index, shards, out):
    """One shard; an exception makes the cluster try it again."""
    command = [program, "sweep", file, "--nights", str(nights), "--shard", f"{index}/{shards}", "--jobs", "1"]
    done = subprocess.run([*command, "--out", out, "--quiet"], capture_output=True, text=True, check=False)
    if done.returncode == 0:
        return index
    raise RuntimeError(f"shard {index} ended with status {done.returncode}: {done.stderr.strip()}")


def main():
    """Submits all shards and waits for them."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("file")
    parser.add_argument("--nights", type=int, default=1000)
    parser.add_argument("--shards", type=int, default=10)
    parser.add_argument("--out", default="shards")
    parser.add_argument("--workers", type=int, default=os.cpu_count())
    parser.add_argument("--scheduler")
    parser.add_argument("--program", default=os.environ.get("NIGHTBENCH_BIN", "nightbench"))
    arguments = parser.parse_args()
    from distributed import Client, LocalCluster, as_completed

    local = {"n_workers": arguments.workers, "threads_per_worker": 1, "host": "127.0.0.1", "dashboard_address": None}
    cluster = None if arguments.scheduler else LocalCluster(**local)
    with Client(arguments.scheduler or cluster) as client:
        shared = (os.path.abspath(arguments.file), arguments.nights)
        tasks = [
            client.submit(
                play, arguments.program, *shared, index, arguments.shards, os.path.abspath(arguments.out),
                retries=3, pure=False,
            )
            for index in range(arguments.shards)
        ]
        for count, task in enumerate(as_completed(tasks), 1):
            print(f"shard {task.result()} done, {count} of {arguments.shards}", flush=True)
    if cluster is not None:
        cluster.close()
    return 0


if __name__ == "__main__":
    sys.exit(main())
