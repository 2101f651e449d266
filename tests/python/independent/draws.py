"""Random nights, each from its own seed, and the scenario files that say the same.

Every number is rounded before it is used, so that the file and the computation hold the same decimals.
"""

import csv
import random
from dataclasses import dataclass
from datetime import datetime, timedelta, timezone
from math import asin, degrees, radians
from pathlib import Path

from . import chain, night, sky

STARS = Path(__file__).with_name("stars.csv")

# Margins that keep a random target away from rules that are tested elsewhere: refusals by the horizon, the choice of
# the side at the meridian, the poles of both frames (where a degree of dial is no length on the sky), the Sun.
LOWEST, HIGHEST = radians(8.0), radians(87.0)
MERIDIAN = radians(1.0)
POLAR_DISTANCE = radians(4.0)
SHAFT = 0.002
SUN_BELOW = radians(-4.0)


@dataclass(frozen=True)
class Drawn:
    """A night and the text of its scenario file."""

    seed: int
    night: night.Night
    text: str


def catalogue():
    """The stars that may be asked for by name."""
    with STARS.open(encoding="utf-8") as file:
        rows = csv.DictReader(line for line in file if not line.startswith("#"))
        return [
            sky.Star(
                row["name"],
                radians(float(row["ra_deg"])),
                radians(float(row["dec_deg"])),
                float(row["pm_ra_cosdec_mas_yr"]),
                float(row["pm_dec_mas_yr"]),
                float(row["parallax_mas"]),
            )
            for row in rows
        ]


class Draw:
    """Draws rounded quantities and writes them as scenario values."""

    def __init__(self, seed):
        self.random = random.Random(seed)

    def number(self, low, high, places):
        """Uniform, rounded."""
        return round(self.random.uniform(low, high), places)

    def normal(self, sigma, places):
        """Normal about zero, rounded."""
        return round(self.random.gauss(0.0, sigma), places)

    def chance(self, share):
        """True with this probability."""
        return self.random.random() < share


def quoted(value, unit):
    """A quantity as a scenario writes it."""
    return f'"{value!r} {unit}"'


def draw_site(draw):
    """A site between 65 degrees south and north, and its keys. Some leave the air to the defaults."""
    latitude = draw.number(5.0, 65.0, 6) * (-1.0 if draw.chance(0.5) else 1.0)
    longitude = draw.number(-179.0, 179.0, 6)
    height = draw.number(0.0, 3500.0, 1)
    keys = [
        f"latitude = {quoted(latitude, 'deg')}",
        f"longitude = {quoted(longitude, 'deg')}",
        f"height = {quoted(height, 'm')}",
    ]
    air = sky.Air.standard(height)
    if draw.chance(0.7):
        pressure = round(air.pressure_hpa + draw.number(-15.0, 15.0, 1), 1)
        air = sky.Air(pressure, draw.number(-20.0, 30.0, 1), draw.number(0.0, 1.0, 2))
        keys += [
            f"pressure = {quoted(air.pressure_hpa, 'hPa')}",
            f"temperature = {quoted(air.temperature_c, 'degC')}",
            f"humidity = {air.humidity!r}",
        ]
    return latitude, longitude, height, air, keys


def draw_geometry(draw):
    """The mount's and the set-up's errors, with the keys of each table."""
    minutes = {
        "cone_error": draw.normal(10.0, 3),
        "axis_skew": draw.normal(5.0, 3),
        "tube_flexure": abs(draw.normal(2.0, 3)),
    }
    degrees_ = {
        "polar_altitude_error": draw.normal(0.8, 4),
        "polar_azimuth_error": draw.normal(1.5, 4),
        "lean_north": draw.normal(0.4, 4),
        "lean_east": draw.normal(0.4, 4),
        "home_hour_error": draw.normal(0.5, 4),
        "home_declination_error": draw.normal(0.4, 4),
    }
    angle = {key: radians(value) for key, value in degrees_.items()}
    geometry = chain.Geometry(
        polar_altitude=angle["polar_altitude_error"],
        polar_azimuth=angle["polar_azimuth_error"],
        lean_north=angle["lean_north"],
        lean_east=angle["lean_east"],
        hour_zero=angle["home_hour_error"],
        declination_zero=angle["home_declination_error"],
        skew=radians(minutes["axis_skew"] / 60.0),
        cone=radians(minutes["cone_error"] / 60.0),
        flexure=radians(minutes["tube_flexure"] / 60.0),
    )
    mount = [f"{key} = {quoted(value, 'arcmin')}" for key, value in minutes.items()]
    setup = [f"{key} = {quoted(value, 'deg')}" for key, value in degrees_.items()]
    return geometry, mount, setup


def draw_entered(draw, latitude, longitude, height, air):
    """What was typed in; about a third of the nights leave the site as it is."""
    offset = draw.normal(30.0, 3)
    zone = float(draw.random.choice([-1, 1])) if draw.chance(0.15) else 0.0
    summer = draw.chance(0.15)
    keys = [f"clock_error = {quoted(offset, 's')}"]
    if zone != 0.0:
        keys.append(f"zone_error = {quoted(zone, 'h')}")
    if summer:
        keys.append("daylight_saving_wrong = true")
    if draw.chance(0.67):
        latitude = round(latitude + draw.normal(0.05, 6), 6)
        longitude = round(longitude + draw.normal(0.05, 6), 6)
        keys += [f"latitude = {quoted(latitude, 'deg')}", f"longitude = {quoted(longitude, 'deg')}"]
    site = night.site_of(latitude, longitude, height, air)
    return night.Entered(site, offset, zone * 3600.0, summer), f"entered = {{ {', '.join(keys)} }}"


def draw_begin(draw):
    """An instant after the last leap second of the table, with some offset from UTC."""
    utc = datetime(2018, 1, 1, tzinfo=timezone.utc) + timedelta(seconds=draw.random.randrange(22 * 365 * 86400))
    local = utc.astimezone(timezone(timedelta(minutes=30 * draw.random.randrange(-20, 25))))
    return local.isoformat()


def dark(candidate, begin):
    """Whether the Sun stays down through the hours that a night needs, in truth and in belief."""
    ut1 = candidate.ut1_minus_tai()
    instants = [begin.plus(seconds) for seconds in (0.0, 600.0, 1200.0)]
    return all(
        sky.sun_altitude(instant, candidate.site, ut1) < SUN_BELOW
        and sky.sun_altitude(candidate.believed(instant), candidate.entered.site, ut1) < SUN_BELOW
        for instant in instants
    )


def fit_to_see(candidate, star, start, dials):
    """Whether a target is within the margins in truth and in belief when the mount gets there."""
    seconds = night.slew_seconds(candidate, star, start, dials) + night.LOOK_AFTER
    look = start.plus(seconds)
    for instant in (start, look):
        believed = candidate.believed_place(star, instant)
        truth = candidate.true_place(star, instant)
        if not all(LOWEST < place.altitude < HIGHEST for place in (believed, truth)):
            return False
        if abs(abs(believed.declination) - radians(90.0)) < POLAR_DISTANCE:
            return False
        if min(abs(believed.hour_angle), radians(180.0) - abs(believed.hour_angle)) < MERIDIAN:
            return False
    seen = night.look_at(candidate, star, look)
    return seen.values["boresight_altitude_deg"] < 87.0 and abs(seen.shaft_east) > SHAFT


def draw_star(draw, stars):
    """A catalogue star by name, or a bare place written in parts or in decimals; with its keys."""
    if draw.chance(0.5):
        star = draw.random.choice(stars)
        return star, [f'target = "{star.name}"']
    declination = asin(draw.random.uniform(-1.0, 1.0))
    if draw.chance(0.5):
        ra, dec = draw.number(0.0, 360.0, 6), round(degrees(declination), 6)
        keys = [f"ra = {quoted(ra, 'deg')}", f"dec = {quoted(dec, 'deg')}"]
        return sky.Star("", radians(ra), radians(dec)), keys
    hours, minutes, seconds = draw.random.randrange(24), draw.random.randrange(60), draw.number(0.0, 59.9, 2)
    sign = "-" if declination < 0.0 else "+"
    whole, arcminutes, arcseconds = int(abs(degrees(declination))), draw.random.randrange(60), draw.number(0.0, 59.9, 1)
    ra = 15.0 * (hours + minutes / 60.0 + seconds / 3600.0)
    dec = (whole + arcminutes / 60.0 + arcseconds / 3600.0) * (-1.0 if sign == "-" else 1.0)
    text = sign.replace("+", "") + f"{whole}d{arcminutes}m{arcseconds}s"
    return sky.Star("", radians(ra), radians(dec)), [f'ra = "{hours}h{minutes}m{seconds}s"', f'dec = "{text}"']


def draw_targets(draw, candidate, stars):
    """Three to six targets that are up when their turn comes, with their keys."""
    start, dials = candidate.begin, chain.home(candidate.entered.site.latitude)
    keys = []
    for _ in range(draw.random.randrange(3, 7)):
        while True:
            star, lines = draw_star(draw, stars)
            if fit_to_see(candidate, star, start, dials):
                break
        seconds = night.slew_seconds(candidate, star, start, dials)
        start = start.plus(seconds + night.LOOK_AFTER)
        dials = night.look_at(candidate, star, start).dials
        candidate = night.with_target(candidate, star)
        keys.append(lines)
    return candidate, keys


def draw_night(seed, stars):
    """The random night of a seed."""
    draw = Draw(seed)
    ut1_minus_utc = draw.number(-0.8, 0.8, 4) if draw.chance(0.5) else 0.0
    drift = draw.normal(30.0, 3)
    while True:
        latitude, longitude, height, air, site_keys = draw_site(draw)
        geometry, mount_keys, setup_keys = draw_geometry(draw)
        entered, entered_keys = draw_entered(draw, latitude, longitude, height, air)
        begin_text = draw_begin(draw)
        begin = sky.Instant.from_utc(begin_text)
        site = night.site_of(latitude, longitude, height, air)
        candidate = night.Night(begin, ut1_minus_utc, site, entered, geometry, drift * 1e-6)
        if dark(candidate, begin):
            break
    drawn, targets = draw_targets(draw, candidate, stars)
    lines = ["format = 1", "", "[night]", f'title = "Random night {seed}"', f"begin = {begin_text}"]
    lines += ['length = "2 h"', f"seed = {seed}"]
    if ut1_minus_utc != 0.0:
        lines.append(f"ut1_minus_utc = {quoted(ut1_minus_utc, 's')}")
    lines += ["", "[site]", *site_keys, "", "[mount]", 'kind = "german-equatorial"', 'grade = "perfect"']
    lines += ["[mount.geometry]", *mount_keys, "[mount.clock]", f"drift = {quoted(drift, 'ppm')}"]
    lines += ["", "[setup]", *setup_keys, entered_keys, "", "[alignment]", 'method = "none"']
    for keys in targets:
        lines += ["", "[[observe]]", *keys]
    return Drawn(seed, drawn, "\n".join(lines) + "\n")
