#!/usr/bin/env python3
"""Plays random nights with the bench's binary and with the independent implementation, and compares them.

Usage: check_nights.py [--nights N] [--seed S] [--keep DIR]

The binary is named by NIGHTBENCH_BIN. Every go-to row is held against our own: places, dials, axes and misses to
0.01 arcseconds, the length of the slew to 0.02 s. Prints each disagreement with the seed that replays it, then
`N passed, N failed`; the exit status is 1 if anything failed.
"""

import argparse
import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path

from independent import draws, night, sky

# Both sides use double precision and the same astrometry; the bench prints degrees to 1e-8 (0.00004 arcsec) and interpolates
# geocentric places to 0.00004 arcsec. What differs by more than this is a different formula.
TOLERANCE_ARCSEC = 0.01
# 60 arcseconds of distance at full rate: far above what the rounding of instants makes, far below a wrong regime or limit.
TOLERANCE_SECONDS = 0.02


def binary_of(parser):
    """The path of the program that NIGHTBENCH_BIN names; without one the parser's usage, and the end."""
    binary = os.environ.get("NIGHTBENCH_BIN")
    if not binary or not Path(binary).is_file():
        parser.error("set NIGHTBENCH_BIN to the nightbench binary (cargo build --release puts it into target/release)")
    return str(Path(binary).resolve())


def run_bench(binary, drawn, folder):
    """The result of one night, or the words of the failure."""
    file = folder / f"night-{drawn.seed}.toml"
    file.write_text(drawn.text, encoding="utf-8")
    done = subprocess.run([binary, "night", str(file), "--json"], capture_output=True, text=True, timeout=60, cwd=folder)
    if done.returncode != 0:
        return None, f"exit status {done.returncode}: {done.stderr.strip()}"
    return json.loads(done.stdout), None


def difference_arcsec(name, ours, theirs):
    """How far two values of a field lie apart, azimuths and right ascensions across north."""
    if name.endswith("_arcsec"):
        return theirs - ours
    apart = theirs - ours
    if name.endswith("azimuth_deg") or name == "icrs_ra_deg":
        apart = (apart + 180.0) % 360.0 - 180.0
    return apart * 3600.0


def check_row(plan, star, row, start):
    """The complaints about one go-to row that began at a true instant, and what the next one begins with."""
    if row["outcome"] != "arrived":
        return [f"outcome {row['outcome']}, where we arrive"]
    look = sky.Instant.from_utc(row["utc"])
    ours = night.look_at(plan, star, look)
    complaints = []
    absent = [name for name in (*ours.values, "slew_seconds") if not isinstance(row.get(name), (int, float))]
    if absent:
        return [f"{name}: the bench's is no number" for name in absent]
    for name, value in ours.values.items():
        apart = difference_arcsec(name, value, row[name])
        if not abs(apart) <= TOLERANCE_ARCSEC:
            complaints.append(f"{name}: ours {value:.8f}, the bench's {row[name]:.8f}, apart {apart:.4f} arcsec")
    for name, value in (("solution", ours.solution), ("tube_side", ours.tube_side)):
        if row.get(name) != value:
            complaints.append(f"{name}: ours {value}, the bench's {row.get(name)}")
    start_instant, start_dials = start
    seconds = night.slew_seconds(plan, star, start_instant, start_dials)
    if not abs(row["slew_seconds"] - seconds) <= TOLERANCE_SECONDS:
        complaints.append(f"slew_seconds: ours {seconds:.4f}, the bench's {row['slew_seconds']}")
    elapsed = look.since(start_instant) - night.LOOK_AFTER
    if not abs(elapsed - seconds) <= TOLERANCE_SECONDS:
        complaints.append(f"utc: the look comes {elapsed:.4f} s + 3 s after the start, ours {seconds:.4f} s + 3 s")
    return complaints


def check_night(drawn, result):
    """Yields the complaints of each row in turn."""
    plan = drawn.night
    rows = result["gotos"]
    if len(rows) != len(plan.targets):
        yield [f"{len(rows)} go-to rows, where the file asks for {len(plan.targets)}"]
        return
    start = (plan.begin, draws.chain.home(plan.entered.site.latitude))
    for star, row in zip(plan.targets, rows):
        yield check_row(plan, star, row, start)
        if row["outcome"] == "arrived":
            look = sky.Instant.from_utc(row["utc"])
            start = (look, night.look_at(plan, star, look).dials)


def main():
    """Counts rows."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--nights", type=int, default=100, help="how many nights (default 100)")
    parser.add_argument("--seed", type=int, default=1, help="seed of the first night, the others follow (default 1)")
    parser.add_argument("--keep", type=Path, help="folder that keeps the scenario files")
    arguments = parser.parse_args()
    binary = binary_of(parser)
    stars = draws.catalogue()
    passed = failed = 0
    with tempfile.TemporaryDirectory() as scratch:
        folder = arguments.keep or Path(scratch)
        folder.mkdir(parents=True, exist_ok=True)
        for seed in range(arguments.seed, arguments.seed + arguments.nights):
            drawn = draws.draw_night(seed, stars)
            result, trouble = run_bench(binary, drawn, folder)
            rows = [[trouble]] if trouble else check_night(drawn, result)
            for index, complaints in enumerate(rows):
                passed += not complaints
                failed += bool(complaints)
                for complaint in complaints:
                    print(f"night {seed}, row {index}: {complaint}")
                if complaints:
                    print(f"  replay: check_nights.py --nights 1 --seed {seed} --keep nights")
    print(f"{passed} passed, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
