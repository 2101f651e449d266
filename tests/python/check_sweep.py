#!/usr/bin/env python3
"""A sweep lived a second time: `fixtures/sweeps/geometry_alone.toml`, night by night and all nights at once.

Usage: check_sweep.py [--nights N] [--figures]

The binary is named by NIGHTBENCH_BIN. Only what was drawn for each night comes from the bench, out of the
sweep's own `nights.parquet`. Go-tos, waits, keys, sightings and looks, and every instant of them, are computed by numpy and ERFA
twice: by plain loops (`independent/evening.py`), and with arrays over all nights (`independent/many_evenings.py`). The loops are
held against `night --json --seed`: which stars were sighted, when, how often a key was pressed, when each look was and how far
the tube pointed from its target. The arrays are held against the loops. Prints `N passed, N failed`; with --figures also what a
night costs each of the three.
"""

import argparse
import json
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from math import radians
from pathlib import Path
from resource import RUSAGE_CHILDREN, getrusage

import numpy as np
import pyarrow.parquet as parquet

from check_nights import binary_of
from independent import chain, many, sky
from independent.draws import catalogue
from independent.evening import Evening
from independent.many_evenings import Evenings
from independent.night import Entered, Night

STUDY = Path(__file__).resolve().parents[2] / "fixtures/sweeps/geometry_alone.toml"
STARS = ["Regulus", "Aldebaran"]
TARGETS = ["Regulus", "Capella", "Betelgeuse", "Castor", "Sirius", "Algieba"]
SITE = sky.Site(radians(40.5), radians(-4.5), 440.0, sky.Air.standard(440.0))
BEGIN = "2027-03-06T20:30:00+01:00"
TOLERANCE_ARCSEC = 0.1
# Places agree to 0.0001 arcsec, for which the slowest key is pressed 13 microseconds longer; some forty presses, half a
# millisecond. A press is ordered in whole milliseconds: where ours lies within a hair of a half, the other one may be taken,
# and the next press is as much longer. Whatever is done otherwise takes a second or more.
TOLERANCE_SECONDS = 0.002
# Both are one's own; what differs by more is a slip in one of them.
OWN_TOLERANCE = 0.001
# So many nights are timed where figures are wanted.
TIMED = 4000
# The columns of the draws; a degree in radians.
DEGREE = radians(1.0)
COLUMNS = {
    "polar_altitude": "setup_polar_altitude_error",
    "polar_azimuth": "setup_polar_azimuth_error",
    "lean_north": "setup_lean_north",
    "lean_east": "setup_lean_east",
    "hour_zero": "setup_home_hour_error",
    "declination_zero": "setup_home_declination_error",
    "skew": "mount_geometry_axis_skew",
    "cone": "mount_geometry_cone_error",
    "flexure": "mount_geometry_tube_flexure",
}


@dataclass(frozen=True)
class Lived:
    """One night as we live it: presses of keys, seconds of the sightings by star, looks, and what it cost to compute."""

    presses: int
    sighted: dict
    looks: list
    cost: float


def run(binary, *arguments):
    """The program's standard output."""
    done = subprocess.run([binary, *arguments], capture_output=True, text=True, check=False, timeout=600)
    if done.returncode != 0:
        raise SystemExit(f"{' '.join(arguments)}: status {done.returncode}: {done.stderr}")
    return done.stdout


def swept(binary, nights, *options):
    """The table of a sweep, column by column, and the seconds of the processor that it took."""
    with tempfile.TemporaryDirectory() as scratch:
        before = getrusage(RUSAGE_CHILDREN)
        run(binary, "sweep", str(STUDY), "--nights", str(nights), "--out", scratch, "--quiet", *options)
        after = getrusage(RUSAGE_CHILDREN)
        table = parquet.read_table(Path(scratch) / "nights.parquet").to_pydict()
    return table, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def live_by_loops(table, row, stars):
    """One night of the table."""
    began = time.process_time()
    geometry = chain.Geometry(**{name: table[column][row] * DEGREE for name, column in COLUMNS.items()})
    entered = Entered(SITE, clock_error=table["setup_entered_clock_error"][row])
    drift = table["mount_clock_drift"][row] * 1e-6
    evening = Evening(Night(sky.Instant.from_utc(BEGIN), 0.0, SITE, entered, geometry, drift), stars)
    sighted, looks = evening.live(STARS, TARGETS)
    return Lived(evening.presses, sighted, looks, time.process_time() - began)


def live_at_once(table, stars):
    """All nights of the table: the evenings, seconds of sightings by star, seconds and misses of looks, targets by nights."""
    geometry = {name: np.array(table[column]) * DEGREE for name, column in COLUMNS.items()}
    clock, drift = np.array(table["setup_entered_clock_error"]), np.array(table["mount_clock_drift"]) * 1e-6
    evenings = Evenings(many.Nights(sky.Instant.from_utc(BEGIN), SITE, geometry, clock, drift), stars)
    return evenings, *evenings.live(STARS, TARGETS)


def check_night(found, presses, ours, apart):
    """Yields for everything that is compared in one night whether it agrees, and the words if it doesn't; differences of misses
    (arcseconds) and of instants (seconds) are added to ``apart``."""
    begin = sky.Instant.from_utc(BEGIN)
    theirs = {row["star"]: sky.Instant.from_utc(row["utc"]).since(begin) for row in found["sightings"]}
    yield list(theirs) == list(ours.sighted), f"sighted {list(theirs)}, ours {list(ours.sighted)}"
    yield presses == ours.presses, f"{presses} keys pressed, ours {ours.presses}"
    for name in theirs.keys() & ours.sighted.keys():
        late = theirs[name] - ours.sighted[name]
        apart["seconds"].append(abs(late))
        yield abs(late) <= TOLERANCE_SECONDS, f"sighting of {name}: the bench's {late:.6f} s later than ours"
    for row, look in zip(found["gotos"], ours.looks, strict=True):
        if row["outcome"] != "arrived":
            yield False, f"{look.name}: {row['outcome']}, where we arrive"
            continue
        late = sky.Instant.from_utc(row["utc"]).since(begin) - look.seconds
        apart["seconds"].append(abs(late))
        yield abs(late) <= TOLERANCE_SECONDS, f"look at {look.name}: the bench's {late:.6f} s later than ours"
        apart["arcsec"].append(abs(row["miss_arcsec"] - look.miss_arcsec))
        yield apart["arcsec"][-1] <= TOLERANCE_ARCSEC, (
            f"{look.name}: the bench's miss {row['miss_arcsec']:.4f}, ours {look.miss_arcsec:.4f} arcsec"
        )


def check_at_once(table, lived, stars):
    """Yields the same for the arrays against the loops: a night for each."""
    evenings, sighted, seconds, misses = live_at_once(table, stars)
    for row, ours in enumerate(lived):
        stars_then = [name for name in STARS if not np.isnan(sighted[name][row])]
        same = stars_then == list(ours.sighted) and evenings.presses[row] == ours.presses
        off = [abs(sighted[name][row] - ours.sighted[name]) for name in stars_then if name in ours.sighted]
        off += [abs(seconds[index, row] - look.seconds) for index, look in enumerate(ours.looks)]
        off += [abs(misses[index, row] - look.miss_arcsec) for index, look in enumerate(ours.looks)]
        yield same and max(off) < OWN_TOLERANCE, f"arrays and loops differ, by {max(off):.6f} s or arcsec at most"


def spread(values):
    """Median, what 95 % are below, and the greatest."""
    return f"median {np.median(values):.2g}, 95 % {np.quantile(values, 0.95):.2g}, greatest {max(values):.2g}"


def main():
    """Counts what agrees."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--nights", type=int, default=200, help="how many nights (default 200)")
    parser.add_argument("--figures", action="store_true", help="say what a night costs")
    arguments = parser.parse_args()
    binary = binary_of(parser)
    stars = {star.name: star for star in catalogue()}
    table, _ = swept(binary, arguments.nights)
    passed, failed, apart, lived = 0, 0, {"seconds": [], "arcsec": []}, []

    def count(number, checks):
        nonlocal passed, failed
        for good, words in checks:
            passed, failed = passed + bool(good), failed + (not good)
            if not good:
                print(f"night {number}: {words}")

    for row, number in enumerate(table["night"]):
        lived.append(live_by_loops(table, row, stars))
        found = json.loads(run(binary, "night", str(STUDY), "--seed", str(number), "--json"))
        count(number, check_night(found, table["presses"][row], lived[-1], apart))
    for number, check in zip(table["night"], check_at_once(table, lived, stars), strict=True):
        count(number, [check])
    print(f"misses apart, arcsec: {spread(apart['arcsec'])}; instants, s: {spread(apart['seconds'])}")
    if arguments.figures:
        figures(binary, lived, stars)
    print(f"{passed} passed, {failed} failed")
    return 1 if failed else 0


def figures(binary, lived, stars):
    """What a night costs by loops, with arrays, and with the bench on one thread: processor time, all in this one run."""
    loops = sum(one.cost for one in lived) / len(lived)
    table, seconds = swept(binary, TIMED, "--jobs", "1")
    bench = seconds / TIMED
    began = time.process_time()
    evenings, _, _, misses = live_at_once(table, stars)
    arrays = (time.process_time() - began) / TIMED
    print(f"a night: loops {loops * 1e3:.3f} ms, arrays {arrays * 1e3:.3f} ms, bench {bench * 1e3:.3f} ms of processor time")
    print(f"loops / bench {loops / bench:.1f}, arrays / bench {arrays / bench:.1f}")
    apart = np.abs(np.sqrt(np.mean(misses**2, axis=0)) - np.array(table["miss_rms_arcsec"]))
    other = np.flatnonzero((apart > TOLERANCE_ARCSEC) | (evenings.presses != np.array(table["presses"])))
    print(f"arrays against the bench in {TIMED} nights, root mean square of a night's misses apart, arcsec: {spread(apart)}")
    print(f"nights that go otherwise: {', '.join(str(table['night'][row]) for row in other) or 'none'}")


if __name__ == "__main__":
    sys.exit(main())
