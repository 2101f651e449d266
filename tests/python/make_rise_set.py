"""Writes the reference tables of rises, sets, twilights, phases and brightness, by a general astrometry library.

    python3 -m venv ENV && ENV/bin/pip install numpy==2.4.6 jplephem==2.24 skyfield==1.55 skyfield-data==7.0.0
    ENV/bin/python tests/python/make_rise_set.py --out fixtures/reference

skyfield with the JPL ephemeris DE421; delta T is held at 69.184 s, so that UT1 is UTC, as in the other reference tables.
Nothing of the library's own event search is used: altitudes are taken once a minute for a day, and each change of sign is
refined on a grid of one second. The seed is fixed; the same versions give the same files.
"""

import argparse
import csv
import datetime
import pathlib
import random

import numpy as np
from skyfield import almanac
from skyfield.api import Loader, Star, load, wgs84
from skyfield.magnitudelib import planetary_magnitude
from skyfield_data import get_skyfield_data_path

UTC = datetime.timezone.utc
SEED = 20270306
CASES = 500
BODIES = {
    "sun": "sun",
    "moon": "moon",
    "mercury": "mercury",
    "venus": "venus",
    "mars": "mars",
    "jupiter": "jupiter barycenter",
    "saturn": "saturn barycenter",
    "uranus": "uranus barycenter",
    "neptune": "neptune barycenter",
}
MOON_RADIUS_KM = 1737.4
KM_PER_AU = 149597870.7

timescale = load.timescale(delta_t=69.184, builtin=True)
ephemeris = Loader(get_skyfield_data_path(), verbose=False)("de421.bsp")
earth = ephemeris["earth"]


def times(begin, seconds):
    return timescale.utc(begin.year, begin.month, begin.day, begin.hour, begin.minute, begin.second + np.asarray(seconds))


def text(begin, second):
    moment = begin + datetime.timedelta(seconds=float(second))
    return moment.strftime("%Y-%m-%dT%H:%M:%S.") + f"{moment.microsecond // 10000:02d}Z"


def height_above(case, observer, target, seconds):
    """Degrees above the case's limit, and the hour angle in degrees, at seconds after the case's begin."""
    apparent = observer.at(times(case["begin"], seconds)).observe(target).apparent()
    altitude, _, distance = apparent.altaz()
    if case["limit"] != "horizon":
        limit = float(case["limit"])
    elif case["target"] == "sun":
        limit = -50.0 / 60.0
    elif case["target"] == "moon":
        limit = -34.0 / 60.0 - np.degrees(np.arcsin(MOON_RADIUS_KM / (distance.au * KM_PER_AU)))
    else:
        limit = -34.0 / 60.0
    hour_angle = apparent.hadec()[0].degrees
    return altitude.degrees - limit, (hour_angle + 180.0) % 360.0 - 180.0


def zero(seconds, values):
    """Where values that change sign once pass through zero, and their rate there."""
    index = int(np.nonzero((values[:-1] < 0) != (values[1:] < 0))[0][0])
    step = seconds[index + 1] - seconds[index]
    rate = (values[index + 1] - values[index]) / step
    return seconds[index] - values[index] / rate, rate


def events(case, observer, target):
    minutes = np.arange(0, 86401, 60)
    above, hour_angle = height_above(case, observer, target, minutes)
    found = []
    for index in np.nonzero((above[:-1] < 0) != (above[1:] < 0))[0]:
        fine = np.arange(minutes[index], minutes[index] + 61)
        second, rate = zero(fine, height_above(case, observer, target, fine)[0])
        found.append((second, "rise" if rate > 0 else "set", abs(rate) * 3600))
    turn = np.sin(np.radians(hour_angle))
    for index in np.nonzero((turn[:-1] < 0) != (turn[1:] < 0))[0]:
        fine = np.arange(minutes[index], minutes[index] + 61)
        fine_angle = height_above(case, observer, target, fine)[1]
        second, rate = zero(fine, np.sin(np.radians(fine_angle)))
        kind = "upper-transit" if abs(fine_angle[0]) < 90 else "lower-transit"
        found.append((second, kind, abs(np.degrees(rate)) * 3600))
    # How near to the limit the altitude turns: a search may rightly differ where that is next to nothing.
    inner = (above[1:-1] - above[:-2]) * (above[2:] - above[1:-1]) <= 0
    margins = np.abs(np.append(above[1:-1][inner], [above[0], above[-1]]))
    return sorted(found), float(margins.min())


def draw(chance, number):
    target = chance.choice(["star"] * 4 + ["sun"] * 6 + ["moon"] * 3 + list(BODIES)[2:])
    polar = chance.random() < 0.3
    latitude = chance.choice([-1, 1]) * (chance.uniform(66, 90) if polar else chance.uniform(0, 66))
    day = datetime.datetime(2024, 1, 1, tzinfo=UTC) + datetime.timedelta(minutes=chance.randrange(12 * 365 * 1440))
    return {
        "case_id": f"E{number:03d}",
        "target": target,
        "limit": chance.choice(["horizon", "-6", "-12", "-18"]) if target == "sun" else "horizon",
        "begin": day,
        "lat_deg": round(latitude, 6),
        "lon_east_deg": round(chance.uniform(-180, 180), 6),
        "height_m": round(chance.uniform(0, 3000), 1),
        "ra_icrs_deg": round(chance.uniform(0, 360), 7) if target == "star" else "",
        "dec_icrs_deg": round(float(np.degrees(np.arcsin(chance.uniform(-1, 1)))), 7) if target == "star" else "",
    }


def write_rise_set(folder):
    chance = random.Random(SEED)
    columns = ["case_id", "target", "limit", "begin_utc", "lat_deg", "lon_east_deg", "height_m", "ra_icrs_deg", "dec_icrs_deg"]
    with open(folder / "rise_set.csv", "w", newline="") as file:
        table = csv.writer(file, lineterminator="\n")
        table.writerow(columns + ["margin_deg", "events"])
        for number in range(1, CASES + 1):
            case = draw(chance, number)
            observer = earth + wgs84.latlon(case["lat_deg"], case["lon_east_deg"], case["height_m"])
            if case["target"] == "star":
                target = Star(ra_hours=case["ra_icrs_deg"] / 15, dec_degrees=case["dec_icrs_deg"])
            else:
                target = ephemeris[BODIES[case["target"]]]
            found, margin = events(case, observer, target)
            case["begin_utc"] = text(case["begin"], 0)
            listed = ";".join(f"{kind} {text(case['begin'], second)} {rate:.3f}" for second, kind, rate in found)
            table.writerow([case[column] for column in columns] + [f"{margin:.5f}", listed])


def write_phases(folder):
    begin, end = timescale.utc(2024, 1, 1), timescale.utc(2036, 1, 1)
    found, kinds = almanac.find_discrete(begin, end, almanac.moon_phases(ephemeris))
    with open(folder / "moon_phases.csv", "w", newline="") as file:
        table = csv.writer(file, lineterminator="\n")
        table.writerow(["utc", "quarter"])
        for moment, kind in zip(found, kinds):
            table.writerow([moment.utc_strftime("%Y-%m-%dT%H:%M:%SZ"), ["new", "first", "full", "last"][kind]])


def write_brightness(folder):
    chance = random.Random(SEED)
    with open(folder / "brightness.csv", "w", newline="") as file:
        table = csv.writer(file, lineterminator="\n")
        table.writerow(["body", "utc", "magnitude", "illuminated", "distance_au"])
        for number in range(160):
            body = ["moon", "mercury", "venus", "mars", "jupiter", "saturn", "uranus", "neptune"][number % 8]
            day = datetime.datetime(2024, 1, 1, tzinfo=UTC) + datetime.timedelta(minutes=chance.randrange(12 * 365 * 1440))
            moment = times(day, 0)
            place = earth.at(moment).observe(ephemeris[BODIES[body]])
            magnitude = "" if body == "moon" else f"{float(planetary_magnitude(place)):.4f}"
            lit = place.apparent().fraction_illuminated(ephemeris["sun"])
            table.writerow([body, text(day, 0), magnitude, f"{float(lit):.6f}", f"{place.distance().au:.8f}"])


if __name__ == "__main__":
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--out", type=pathlib.Path, required=True, help="the folder to write to")
    into = options.parse_args().out
    write_phases(into)
    write_brightness(into)
    write_rise_set(into)
