#!/usr/bin/env python3
"""Runs a sweep in shards by engines that others made, and holds the merged bytes against those of one machine.

Usage: check_shards.py [--nights N]

The binary is named by NIGHTBENCH_BIN. GNU parallel runs the shards by `docs/how-to/many-machines/parallel.sh`; a local Dask
cluster runs them by `dask_sweep.py`, and one of its workers is killed on the way. Prints `N passed, N failed`.
"""

import argparse
import os
import re
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from check_nights import binary_of

TOP = Path(__file__).resolve().parents[2]
STUDY = TOP / "fixtures/sweeps/two_stars_twelve_targets.toml"
FILES = ["nights.parquet", "sweep.html", "sweep.json"]
SHARDS = 8


def run(command, folder, **environment):
    """Runs to the end; the words of a failure, or nothing."""
    done = subprocess.run(
        command, capture_output=True, text=True, check=False, timeout=900, cwd=folder, env={**os.environ, **environment}
    )
    if done.returncode == 0:
        return None
    return f"{' '.join(map(str, command))}: status {done.returncode}: {done.stderr.strip()[-2000:]}"


def with_parallel(binary, nights, folder):
    """All shards by GNU parallel."""
    script = TOP / "docs/how-to/many-machines/parallel.sh"
    return run(
        [str(script)], folder, NIGHTBENCH=binary, FILE=str(STUDY), NIGHTS=str(nights), SHARDS=str(SHARDS), OUT="parallel"
    )


def children_of(process):
    """Processes that a process started, and those that they started, with their command lines."""
    found = []
    waiting = [process]
    while waiting:
        parent = waiting.pop()
        for task in Path(f"/proc/{parent}/task").glob("*"):
            for child in (task / "children").read_text().split():
                words = Path(f"/proc/{child}/cmdline").read_bytes().replace(b"\0", b" ").decode()
                found.append((int(child), words))
                waiting.append(int(child))
    return found


def with_dask(binary, nights, folder):
    """All shards by a local Dask cluster, one worker of which is killed once the first shard is there."""
    script = TOP / "docs/how-to/many-machines/dask_sweep.py"
    command = [sys.executable, str(script), str(STUDY), "--nights", str(nights), "--shards", str(SHARDS)]
    command += ["--out", "dask", "--workers", "2", "--program", binary]
    with subprocess.Popen(command, cwd=folder, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True) as cluster:
        output = [cluster.stdout.readline()]
        workers = [child for child, words in children_of(cluster.pid) if re.search(r"spawn_main|multiprocessing", words)]
        # The last that was started is a worker; the first is the process that watches over shared things.
        if workers:
            os.kill(workers[-1], signal.SIGKILL)
        output += cluster.stdout.readlines()
        status = cluster.wait()
    if not workers:
        return "no worker could be found to be killed"
    if status != 0:
        return f"the cluster ended with status {status}: {''.join(output)[-2000:]}"
    return None


def main():
    """Counts engines."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--nights", type=int, default=2000, help="how many nights (default 2000)")
    arguments = parser.parse_args()
    binary = binary_of(parser)
    passed = failed = 0
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        trouble = run([binary, "sweep", str(STUDY), "--nights", str(arguments.nights), "--out", "whole", "--quiet"], folder)
        if trouble:
            raise SystemExit(trouble)
        for name, engine in (("parallel", with_parallel), ("dask", with_dask)):
            began = time.perf_counter()
            trouble = engine(binary, arguments.nights, folder)
            trouble = trouble or run([binary, "merge", name, "--out", f"{name}-merged", "--quiet"], folder)
            if not trouble:
                differ = [
                    file for file in FILES if (folder / "whole" / file).read_bytes() != (folder / f"{name}-merged" / file).read_bytes()
                ]
                trouble = f"{differ} differ from those of one machine" if differ else None
            print(f"{name}: {trouble or 'the same bytes as one machine'} ({time.perf_counter() - began:.1f} s)")
            passed, failed = passed + (not trouble), failed + bool(trouble)
    print(f"{passed} passed, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
