#!/usr/bin/env python3
"""Plays random nights with gears by the bench's binary and by the independent implementation, and compares them.

Usage: check_gears.py [--nights N] [--seed S] [--keep DIR]

The binary is named by NIGHTBENCH_BIN. Microsteps, reducer, worm, play, wheel, load and wind-up of both axes are drawn, and given
in the file. Held to 0.01 arcseconds: dials, true axis angles, boresight and miss of every look, and the same of every
sample of the last target's dwell, through which the worm turns and, in half of the nights, the load takes the wheel to
the other flank. Prints each disagreement with the seed that replays it, then `N passed, N failed`; the exit status is 1
if anything failed.
"""

import argparse
import csv
import json
import subprocess
import sys
import tempfile
from math import degrees, floor
from pathlib import Path

from check_nights import TOLERANCE_ARCSEC, TOLERANCE_SECONDS, binary_of, difference_arcsec
from independent import draws, gear_draws, geared, sky

ARCSECONDS = 3600.0 * degrees(1.0)
# Where a motor is so near to its next step, in steps, one side may stand before it and the other behind it: instants are
# printed to a microsecond, and where a motor turns back hangs on the last microseconds of its slew.
NEXT_STEP, NEXT_STEP_OF_TURN = 1e-3, 0.05


def run_bench(binary, drawn, folder):
    """The result and the samples of one night, or the words of the failure."""
    file, out = folder / f"gears-{drawn.seed}.toml", folder / f"gears-{drawn.seed}"
    file.write_text(drawn.text, encoding="utf-8")
    command = [binary, "night", str(file), "--out", str(out)]
    done = subprocess.run(command, capture_output=True, text=True, timeout=60, cwd=folder)
    if done.returncode != 0:
        return None, None, f"exit status {done.returncode}: {done.stderr.strip()}"
    with (out / "samples.csv").open(encoding="utf-8") as samples:
        return json.loads((out / "night.json").read_text(encoding="utf-8")), list(csv.DictReader(samples)), None


def steps_aside(player):
    """By how much the looks may differ because a motor is just before its next step, arcseconds."""
    now = [(axis.gears, dial) for axis, dial in zip((player.mount.hour, player.mount.declination), player.dials)]
    aside = 0.0
    for places, near in ((now, NEXT_STEP), (player.turned_at, NEXT_STEP_OF_TURN)):
        for gears, dial in places:
            step = gears.step()
            part = dial / step + 0.5
            if abs(part - floor(part + 0.5)) < near:
                aside += 2.0 * step * ARCSECONDS
    return aside


def compare(ours, theirs, aside):
    """The complaints about the fields that both sides have."""
    complaints = []
    for name, value in ours.items():
        try:
            other = float(theirs[name])
        except (KeyError, TypeError, ValueError):
            complaints.append(f"{name}: the bench's is no number")
            continue
        apart = difference_arcsec(name, value, other)
        if not abs(apart) <= TOLERANCE_ARCSEC + aside:
            complaints.append(f"{name}: ours {value:.8f}, the bench's {other:.8f}, apart {apart:.4f} arcsec")
    return complaints


def check_row(player, star, row):
    """The complaints about one go-to row; leaves the player at its look."""
    if row["outcome"] != "arrived":
        return [f"outcome {row['outcome']}, where we arrive: {row.get('refusal')}"]
    began = player.now
    seconds, solution = player.go_to(star)
    look = sky.Instant.from_utc(row["utc"]).since(player.plan.begin)
    player.track(look)
    complaints = compare(geared.values_now(player, star), row, steps_aside(player))
    if row["solution"] != solution:
        complaints.append(f"solution: ours {solution}, the bench's {row['solution']}")
    for name, theirs in (("slew_seconds", row["slew_seconds"]), ("utc", look - began - 3.0)):
        if not abs(theirs - seconds) <= TOLERANCE_SECONDS:
            complaints.append(f"{name}: ours {seconds:.4f} s after the start, the bench's {theirs}")
    return complaints


class Dwell:
    """Compares the samples of one dwell, in their order."""

    def __init__(self, player, star):
        self.player = player
        self.star = star
        self.first = None
        self.shares = []

    def check(self, sample):
        """The complaints about one sample."""
        player = self.player
        player.track(sky.Instant.from_utc(sample["utc"]).since(player.plan.begin))
        ours = geared.values_now(player, self.star)
        self.shares.append(player.plays[0].share())
        del ours["miss_arcsec"]
        error = ours.pop("miss_east_arcsec"), ours.pop("miss_north_arcsec")
        aside = steps_aside(player)
        if self.first is None:
            self.first, self.first_aside = error, aside
        ours["error_east_arcsec"], ours["error_north_arcsec"] = (now - then for now, then in zip(error, self.first))
        return compare(ours, sample, aside + self.first_aside)


def check_night(drawn, result, samples):
    """Yields (what, complaints) of each row and each sample, and at last whether the flank changed in the dwell."""
    rows = result["gotos"]
    if len(rows) != len(drawn.night.targets):
        yield "rows", [f"{len(rows)} go-to rows, where the file asks for {len(drawn.night.targets)}"]
        return
    player = geared.Player(drawn.night, drawn.mount)
    for index, (star, row) in enumerate(zip(drawn.night.targets, rows)):
        complaints = check_row(player, star, row)
        yield f"row {index}", complaints
        if row["outcome"] != "arrived":
            return
    dwell = Dwell(player, drawn.night.targets[-1])
    for index, sample in enumerate(samples):
        yield f"sample {index}", dwell.check(sample)
    if not samples:
        yield "samples", ["none, where the last target is watched"]
    if samples and max(dwell.shares) - min(dwell.shares) > 0.9:
        yield "flank changed", []


def main():
    """Counts rows and samples."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--nights", type=int, default=40, help="how many nights (default 40)")
    parser.add_argument("--seed", type=int, default=1, help="seed of the first night, the others follow (default 1)")
    parser.add_argument("--keep", type=Path, help="folder that keeps the scenario files and the results")
    arguments = parser.parse_args()
    binary = binary_of(parser)
    stars = draws.catalogue()
    passed = failed = changes = 0
    with tempfile.TemporaryDirectory() as scratch:
        folder = (arguments.keep or Path(scratch)).resolve()
        folder.mkdir(parents=True, exist_ok=True)
        for seed in range(arguments.seed, arguments.seed + arguments.nights):
            drawn = gear_draws.draw_night(seed, stars)
            result, samples, trouble = run_bench(binary, drawn, folder)
            found = [("night", [trouble])] if trouble else check_night(drawn, result, samples)
            told = 0
            for what, complaints in found:
                changes += what == "flank changed"
                passed += not complaints
                failed += bool(complaints)
                # The first few say what is wrong.
                for complaint in complaints if told < 5 else []:
                    print(f"night {seed}, {what}: {complaint}")
                told += bool(complaints)
            if told:
                print(f"  replay: check_gears.py --nights 1 --seed {seed} --keep nights")
    print(f"the load changed the flank within {changes} of {arguments.nights} dwells")
    if arguments.nights >= 20 and changes < arguments.nights // 4:
        print("that is too seldom: the draws no longer try it")
        failed += 1
    print(f"{passed} passed, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
