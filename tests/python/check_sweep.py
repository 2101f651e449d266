#!/usr/bin/env python3
"""A sweep computed a second time: `fixtures/sweeps/geometry_alone.toml`, night by night and all nights at once.

Usage: check_sweep.py [--nights N] [--figures]

The binary is named by NIGHTBENCH_BIN. Each night's draws come from the sweep's own `nights.parquet`; the instants of its
sightings and looks from `night --seed`. From those, every miss is computed by numpy and ERFA twice: by plain loops, and with
arrays over all nights. Prints `N passed, N failed`; with --figures also what a night costs each of the three.

A miss may differ by 0.1 arcseconds, and besides by what the sightings themselves were off: the simulated hand stops within
0.3 arcseconds of the star, which the bench reports and this script doesn't know the direction of. Two stars 80 degrees
apart carry that to a target no more than doubled.
"""

import argparse
import json
import subprocess
import sys
import tempfile
import time
from math import radians
from pathlib import Path

import erfa
import numpy as np
import pyarrow.parquet as parquet

from check_nights import binary_of
from independent import chain, drive, sky
from independent.draws import catalogue
from independent.night import ARCSECONDS, LOOK_AFTER, Entered, Night

STUDY = Path(__file__).resolve().parents[2] / "fixtures/sweeps/geometry_alone.toml"
STARS = ["Regulus", "Aldebaran"]
TARGETS = ["Regulus", "Capella", "Betelgeuse", "Castor", "Sirius", "Algieba"]
SITE = sky.Site(radians(40.5), radians(-4.5), 440.0, sky.Air.standard(440.0))
BEGIN = "2027-03-06T20:30:00+01:00"
TOLERANCE_ARCSEC = 0.1
# The columns of the draws, and their units in radians or seconds.
DEGREE = radians(1.0)
COLUMNS = {
    "polar_altitude": ("setup_polar_altitude_error", DEGREE),
    "polar_azimuth": ("setup_polar_azimuth_error", DEGREE),
    "lean_north": ("setup_lean_north", DEGREE),
    "lean_east": ("setup_lean_east", DEGREE),
    "hour_zero": ("setup_home_hour_error", DEGREE),
    "declination_zero": ("setup_home_declination_error", DEGREE),
    "skew": ("mount_geometry_axis_skew", DEGREE),
    "cone": ("mount_geometry_cone_error", DEGREE),
    "flexure": ("mount_geometry_tube_flexure", DEGREE),
}


def run(binary, *arguments):
    """The program's standard output."""
    done = subprocess.run([binary, *arguments], capture_output=True, text=True, check=False, timeout=600)
    if done.returncode != 0:
        raise SystemExit(f"{' '.join(arguments)}: status {done.returncode}: {done.stderr}")
    return done.stdout


def draws_of(folder):
    """Draws by night number."""
    table = parquet.read_table(folder / "nights.parquet").to_pydict()
    drawn = {}
    for row, number in enumerate(table["night"]):
        values = {name: table[column][row] * unit for name, (column, unit) in COLUMNS.items()}
        clock = table["setup_entered_clock_error"][row]
        drawn[number] = (values, clock, table["mount_clock_drift"][row] * 1e-6)
    return drawn


def night_of(values, clock, drift):
    """The independent implementation's night, its true geometry in it."""
    begin = sky.Instant.from_utc(BEGIN)
    return Night(begin, 0.0, SITE, Entered(SITE, clock_error=clock), chain.Geometry(**values), drift)


def nearest_dials(night, direction, hour_angle):
    """The dials at which the boresight stands on a direction, on the side that the mount takes."""
    direct, through = night.geometry.dials(SITE.latitude, direction)
    return direct if hour_angle < 0.0 else through


def rotation(pairs):
    """The rotation that carries the second of each pair onto the first as nearly as it can (singular values)."""
    profile = sum(np.outer(to, by_dials) for to, by_dials in pairs)
    u, _, vt = np.linalg.svd(profile)
    return u @ np.diag([1.0, 1.0, np.linalg.det(u) * np.linalg.det(vt)]) @ vt


def misses_by_loops(night, sightings, looks, stars):
    """Misses in arcseconds: sightings and looks are (star's name, instant)."""
    nominal = chain.Geometry()
    pairs = []
    for name, instant in sightings:
        place = night.true_place(stars[name], instant)
        believed = night.believed_place(stars[name], instant)
        dials = nearest_dials(night, place.direction(), believed.hour_angle)
        pairs.append((believed.direction(), nominal.boresight(SITE.latitude, *dials)))
    turned = rotation(pairs)
    misses = []
    for name, instant in looks:
        believed = night.believed_place(stars[name], instant.plus(-LOOK_AFTER))
        wanted = nominal.dials(SITE.latitude, turned.T @ believed.direction())
        hour, declination = wanted[0 if believed.hour_angle < 0.0 else 1]
        hour = drive.tracked(hour, LOOK_AFTER, night.clock_drift)
        axes = night.geometry.axes(hour, declination)
        boresight = night.geometry.boresight(SITE.latitude, *axes)
        target = night.true_place(stars[name], instant).direction()
        misses.append(sky.separation(target, boresight) * ARCSECONDS)
    return misses


class Many:
    """The same with arrays: the first axis is the night."""

    def __init__(self, drawn):
        self.values = {name: np.array([values[name] for values, _, _ in drawn]) for name in COLUMNS}
        self.clock = np.array([clock for _, clock, _ in drawn])
        self.drift = np.array([drift for _, _, drift in drawn])
        self.begin = sky.Instant.from_utc(BEGIN)
        self.tai_minus_utc = self.begin.tai_minus_utc()
        self.base = self.bases()

    @staticmethod
    def turn(axis, angle):
        """Rotation matrices about a coordinate axis."""
        c, s, zero, one = np.cos(angle), np.sin(angle), np.zeros_like(angle), np.ones_like(angle)
        rows = {
            "x": [[one, zero, zero], [zero, c, -s], [zero, s, c]],
            "y": [[c, zero, s], [zero, one, zero], [-s, zero, c]],
            "z": [[c, -s, zero], [s, c, zero], [zero, zero, one]],
        }[axis]
        return np.moveaxis(np.array(rows), (0, 1), (-2, -1))

    def bases(self):
        """Each night's base, as `chain.Geometry.base`."""
        north, east = -self.values["lean_north"], self.values["lean_east"]
        angle = np.hypot(north, east)
        x, y = north / angle, east / angle
        zero = np.zeros_like(x)
        cross = np.moveaxis(np.array([[zero, zero, y], [zero, zero, -x], [-y, x, zero]]), (0, 1), (-2, -1))
        lean = np.eye(3) + np.sin(angle)[:, None, None] * cross + (1 - np.cos(angle))[:, None, None] * (cross @ cross)
        latitude = SITE.latitude + self.values["polar_altitude"]
        c, s, one = np.cos(latitude), np.sin(latitude), np.ones_like(latitude)
        frame = np.moveaxis(np.array([[zero, one, zero], [-s, zero, c], [c, zero, s]]), (0, 1), (-2, -1))
        return lean @ self.turn("z", -self.values["polar_azimuth"]) @ frame

    def place(self, star, seconds):
        """Observed direction and hour angle at seconds after the begin, by each night's own instant."""
        rate_ra, rate_dec = star.motion()
        day = np.full_like(seconds, self.begin.day)
        utc = erfa.taiutc(day, (self.begin.seconds + seconds) / sky.DAY)
        azimuth, zenith, hour, *_ = erfa.atco13(
            star.right_ascension, star.declination, rate_ra, rate_dec, max(star.parallax_mas, 0.0) / 1000.0, 0.0,
            *utc, 0.0, SITE.longitude, SITE.latitude, SITE.height, 0.0, 0.0, SITE.air.pressure_hpa,
            SITE.air.temperature_c, SITE.air.humidity, sky.WAVELENGTH_MICROMETRES,
        )
        up = np.cos(zenith)
        return np.stack([np.sin(zenith) * np.sin(azimuth), np.sin(zenith) * np.cos(azimuth), up], -1), hour

    def believed(self, star, seconds):
        """As the controllers place it."""
        return self.place(star, seconds + self.clock + self.drift * seconds)

    @staticmethod
    def drooped(vector, flexure):
        """A rigid direction after the tube's droop."""
        level = np.hypot(vector[..., 0], vector[..., 1])
        altitude = np.arctan2(vector[..., 2], level) - flexure * level
        scale = np.cos(altitude) / level
        return np.stack([vector[..., 0] * scale, vector[..., 1] * scale, np.sin(altitude)], -1)

    @staticmethod
    def undrooped(vector, flexure):
        """The rigid direction whose droop gives this one."""
        level = np.hypot(vector[..., 0], vector[..., 1])
        wanted = np.arctan2(vector[..., 2], level)
        altitude = wanted
        for _ in range(6):
            miss = altitude - flexure * np.cos(altitude) - wanted
            altitude = altitude - miss / (1.0 + flexure * np.sin(altitude))
        scale = np.cos(altitude) / level
        return np.stack([vector[..., 0] * scale, vector[..., 1] * scale, np.sin(altitude)], -1)

    @staticmethod
    def dials(base, vector, skew, cone, direct):
        """Dial angles without zero offsets that bring a rigid boresight to a direction."""
        p = np.einsum("nji,nj->ni", base, vector)
        q = np.arcsin((p[:, 2] - np.sin(cone) * np.sin(skew)) / (np.cos(cone) * np.cos(skew)))
        t = np.where(direct, q, np.pi - q)
        x = np.cos(cone) * np.cos(t)
        y = np.sin(cone) * np.cos(skew) - np.cos(cone) * np.sin(t) * np.sin(skew)
        return np.arctan2(y, x) - np.arctan2(p[:, 1], p[:, 0]), t

    def boresights(self, base, hour, declination, skew, cone):
        """Rigid boresights of axis angles."""
        first = np.zeros((len(hour), 3))
        first[:, 0] = 1.0
        tube = self.turn("z", -hour) @ self.turn("x", skew) @ self.turn("y", -declination) @ self.turn("z", cone)
        return np.einsum("nij,nj->ni", base @ tube, first)

    def misses(self, sightings, looks, stars):
        """Misses in arcseconds, a row for each night; sightings and looks are (star's name, seconds after the begin)."""
        values, zero = self.values, np.zeros_like(self.clock)
        nominal = np.broadcast_to(chain.equatorial_frame(SITE.latitude), self.base.shape)
        profile = np.zeros_like(self.base)
        for name, seconds in sightings:
            true, _ = self.place(stars[name], seconds)
            believed, hour_angle = self.believed(stars[name], seconds)
            rigid = self.undrooped(true, values["flexure"])
            hour, declination = self.dials(self.base, rigid, values["skew"], values["cone"], hour_angle < 0.0)
            by_dials = self.boresights(
                nominal, hour - values["hour_zero"], declination - values["declination_zero"], zero, zero
            )
            profile += believed[:, :, None] * by_dials[:, None, :]
        u, _, vt = np.linalg.svd(profile)
        u[:, :, 2] *= (np.linalg.det(u) * np.linalg.det(vt))[:, None]
        turned = u @ vt
        misses = []
        for name, seconds in looks:
            believed, hour_angle = self.believed(stars[name], seconds - LOOK_AFTER)
            wanted = np.einsum("nji,nj->ni", turned, believed)
            hour, declination = self.dials(nominal, wanted, zero, zero, hour_angle < 0.0)
            hour = hour + np.array([drive.tracked(0.0, LOOK_AFTER, drift) for drift in self.drift])
            rigid = self.boresights(
                self.base, hour + values["hour_zero"], declination + values["declination_zero"], values["skew"], values["cone"]
            )
            boresight = self.drooped(rigid, values["flexure"])
            target, _ = self.place(stars[name], seconds)
            across = np.linalg.norm(np.cross(target, boresight), axis=1)
            misses.append(np.arctan2(across, np.sum(target * boresight, axis=1)) * ARCSECONDS)
        return np.array(misses).T


def main():
    """Counts misses."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--nights", type=int, default=200, help="how many nights (default 200)")
    parser.add_argument("--figures", action="store_true", help="say what a night costs")
    arguments = parser.parse_args()
    binary = binary_of(parser)
    stars = {star.name: star for star in catalogue()}
    with tempfile.TemporaryDirectory() as scratch:
        run(binary, "sweep", str(STUDY), "--nights", str(arguments.nights), "--out", scratch, "--quiet")
        drawn = draws_of(Path(scratch))
    begin = sky.Instant.from_utc(BEGIN)
    passed, failed, apart, looked = 0, 0, [], []
    for number, (values, clock, drift) in drawn.items():
        found = json.loads(run(binary, "night", str(STUDY), "--seed", str(number), "--json"))
        sightings = [(row["star"], sky.Instant.from_utc(row["utc"])) for row in found["sightings"]]
        if [name for name, _ in sightings] != STARS or any(row["outcome"] != "arrived" for row in found["gotos"]):
            print(f"night {number}: the alignment or a target failed, which this script doesn't follow")
            failed += len(TARGETS)
            continue
        looks = [(row["target"], sky.Instant.from_utc(row["utc"])) for row in found["gotos"]]
        ours = misses_by_loops(night_of(values, clock, drift), sightings, looks, stars)
        looked.append((number, (values, clock, drift), sightings, looks, ours))
        centring = sum(row["centring_miss_arcsec"] for row in found["sightings"])
        for row, miss in zip(found["gotos"], ours):
            difference = abs(row["miss_arcsec"] - miss)
            apart.append(difference)
            good = difference <= TOLERANCE_ARCSEC + 2.0 * centring
            passed, failed = passed + good, failed + (not good)
            if not good:
                print(f"night {number}, {row['target']}: ours {miss:.3f}, the bench's {row['miss_arcsec']:.3f} arcsec")
    many = Many([draw for _, draw, *_ in looked])
    seconds = lambda pick, index: np.array([pick(one)[index][1].since(begin) for one in looked])
    sighted = [(name, seconds(lambda one: one[2], index)) for index, name in enumerate(STARS)]
    shown = [(name, seconds(lambda one: one[3], index)) for index, name in enumerate(TARGETS)]
    at_once = many.misses(sighted, shown, stars)
    # Both are one's own; what differs by more than a thousandth of an arcsecond is a slip in one of them.
    agree = np.abs(at_once - np.array([one[4] for one in looked])) < 0.001
    passed, failed = passed + int(agree.sum()), failed + int((~agree).sum())
    print(f"differences from the bench: median {np.median(apart):.3f}, 95 % {np.quantile(apart, 0.95):.3f}, greatest {max(apart):.3f} arcsec")
    if arguments.figures:
        figures(binary, looked, stars, (sighted, shown))
    print(f"{passed} passed, {failed} failed")
    return 1 if failed else 0


def figures(binary, looked, stars, at):
    """What a night costs by loops, with arrays, and with the bench on one thread: all in this one run."""
    began = time.perf_counter()
    for _, draw, sightings, looks, _ in looked:
        misses_by_loops(night_of(*draw), sightings, looks, stars)
    loops = (time.perf_counter() - began) / len(looked)
    times = 25
    repeated = [[(name, np.tile(seconds, times)) for name, seconds in part] for part in at]
    began = time.perf_counter()
    Many([one[1] for one in looked] * times).misses(*repeated, stars)
    arrays = (time.perf_counter() - began) / (len(looked) * times)
    nights = 4000
    with tempfile.TemporaryDirectory() as scratch:
        began = time.perf_counter()
        run(binary, "sweep", str(STUDY), "--nights", str(nights), "--jobs", "1", "--out", scratch, "--quiet")
        bench = (time.perf_counter() - began) / nights
    print(f"a night: loops {loops * 1e3:.3f} ms, arrays {arrays * 1e3:.3f} ms, bench {bench * 1e3:.3f} ms on one thread")
    print(f"loops / bench {loops / bench:.1f}, arrays / bench {arrays / bench:.2f}")


if __name__ == "__main__":
    sys.exit(main())
