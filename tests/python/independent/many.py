"""Many nights of one study at once, with numpy's arrays: sky, chain and motion. The first axis of every array is the night.

The same model as ``sky``, ``chain``, ``drive`` and ``presses``, of one site and one begin; a night differs from the others by its
geometry, its set-up and its clock. ``who`` is an array of the numbers of the nights that are meant.
"""

import erfa
import numpy as np

from . import chain, drive, sky

GEOMETRY = [
    "polar_altitude", "polar_azimuth", "lean_north", "lean_east", "hour_zero", "declination_zero", "skew", "cone", "flexure",
]


def turn(axis, angle):
    """Rotation matrices about a coordinate axis."""
    c, s, zero, one = np.cos(angle), np.sin(angle), np.zeros_like(angle), np.ones_like(angle)
    rows = {
        "x": [[one, zero, zero], [zero, c, -s], [zero, s, c]],
        "y": [[c, zero, s], [zero, one, zero], [-s, zero, c]],
        "z": [[c, -s, zero], [s, c, zero], [zero, zero, one]],
    }[axis]
    return np.moveaxis(np.array(rows), (0, 1), (-2, -1))


def turn_vector(omega):
    """The exact rotations by rotation vectors."""
    angle = np.linalg.norm(omega, axis=1)
    x, y, z = (omega / np.where(angle > 0.0, angle, 1.0)[:, None]).T
    zero = np.zeros_like(angle)
    cross = np.moveaxis(np.array([[zero, -z, y], [z, zero, -x], [-y, x, zero]]), (0, 1), (-2, -1))
    return np.eye(3) + np.sin(angle)[:, None, None] * cross + (1.0 - np.cos(angle))[:, None, None] * (cross @ cross)


def half_turn(angle):
    """The same angles within (-pi, pi]."""
    return np.pi - (np.pi - angle) % (2.0 * np.pi)


def perfect_dials(base, vector, through_pole):
    """The dials of a perfect mount for directions."""
    p = vector @ base
    direct = np.arctan2(p[:, 2], np.hypot(p[:, 0], p[:, 1]))
    hour = -np.arctan2(p[:, 1], p[:, 0])
    return half_turn(hour + np.pi * through_pole), half_turn(np.where(through_pole, np.pi - direct, direct))


def perfect_boresight(base, hour, declination):
    """Where a perfect mount points at these dials."""
    c = np.cos(declination)
    return np.stack([c * np.cos(hour), -c * np.sin(hour), np.sin(declination)], -1) @ base.T


class Nights:
    """What differs from night to night, and what follows from it through the whole of each."""

    def __init__(self, begin, site, geometry, clock, drift):
        """``geometry`` has an array for each name of ``GEOMETRY``, radians; ``clock`` is how fast the mount's clock is at the
        begin, seconds; ``drift`` by what share of itself it gains."""
        self.begin, self.site, self.clock, self.drift = begin, site, clock, drift
        self.value = geometry
        self.perfect_base = chain.equatorial_frame(site.latitude)
        zero = np.zeros_like(clock)
        lean = turn_vector(np.stack([-geometry["lean_north"], geometry["lean_east"], zero], -1))
        latitude = site.latitude + geometry["polar_altitude"]
        c, s, one = np.cos(latitude), np.sin(latitude), np.ones_like(latitude)
        frame = np.moveaxis(np.array([[zero, one, zero], [-s, zero, c], [c, zero, s]]), (0, 1), (-2, -1))
        # The elevated end is the north one: the study's site is in the north.
        self.base = lean @ turn("z", -geometry["polar_azimuth"]) @ frame

    def __len__(self):
        return len(self.clock)

    def place(self, star, seconds):
        """Observed directions and hour angles of a star so many seconds after the begin."""
        rate_ra, rate_dec = star.motion()
        utc = erfa.taiutc(np.full_like(seconds, self.begin.day), (self.begin.seconds + seconds) / sky.DAY)
        site, air = self.site, self.site.air
        azimuth, zenith, hour, *_ = erfa.atco13(
            star.right_ascension, star.declination, rate_ra, rate_dec, max(star.parallax_mas, 0.0) / 1000.0, 0.0,
            *utc, 0.0, site.longitude, site.latitude, site.height, 0.0, 0.0, air.pressure_hpa, air.temperature_c, air.humidity,
            sky.WAVELENGTH_MICROMETRES,
        )
        level = np.sin(zenith)
        return np.stack([level * np.sin(azimuth), level * np.cos(azimuth), np.cos(zenith)], -1), hour

    def fields(self, who, hour_dial, declination_dial):
        """The attitudes of what the eyepiece shows at these dials."""
        value = {name: self.value[name][who] for name in ("hour_zero", "declination_zero", "skew", "cone", "flexure")}
        tube = turn("z", -hour_dial - value["hour_zero"]) @ turn("x", value["skew"])
        tube = tube @ turn("y", -declination_dial - value["declination_zero"]) @ turn("z", value["cone"])
        rigid = self.base[who] @ tube
        east, north = rigid[:, 0, 0], rigid[:, 1, 0]
        droop = np.stack([-value["flexure"] * north, value["flexure"] * east, np.zeros_like(east)], -1)
        return turn_vector(droop) @ rigid


def slew_seconds(distance, limits=drive.MID_RANGE):
    """The shortest times from rest to rest, where the greatest rate is beyond a full ramp of the acceleration."""
    d, v, a, j = np.abs(distance), limits.rate, limits.acceleration, limits.jerk
    assert v >= a * a / j
    peak = np.sqrt(a**4 / (4.0 * j * j) + a * d) - a * a / (2.0 * j)
    return np.select(
        [d >= v * v / a + v * a / j, d >= 2.0 * a**3 / j**2],
        [d / v + v / a + a / j, 2.0 * peak / a + 2.0 * a / j],
        4.0 * np.cbrt(d / (2.0 * j)),
    )


def change_of_rate(rate, acceleration, wanted, limits):
    """As in ``presses``: three phases, each (seconds, jerk)."""
    a, j = limits.acceleration, limits.jerk
    gap = rate - wanted
    coasting = gap + acceleration * np.abs(acceleration) / (2.0 * j)
    against = np.copysign(1.0, np.where(coasting != 0.0, coasting, -acceleration))
    gap, already = against * gap, -against * acceleration
    peak = np.minimum(np.sqrt(np.maximum(j * gap + already * already / 2.0, 0.0)), np.maximum(a, already))
    hold = (gap - peak * peak / j + already * already / (2.0 * j)) / np.where(peak > 0.0, peak, 1.0)
    return [((peak - already) / j, -against * j), (hold, 0.0), (peak / j, against * j)]


def press_way(rate, seconds, limits=drive.MID_RANGE):
    """As ``presses.way``."""
    place, speed, acceleration = np.zeros_like(seconds), np.zeros_like(seconds), np.zeros_like(seconds)

    def go_on(length, jerk):
        nonlocal place, speed, acceleration
        place = place + length * (speed + length * (acceleration / 2.0 + length * jerk / 6.0))
        speed = speed + length * (acceleration + length * jerk / 2.0)
        acceleration = acceleration + length * jerk

    left = seconds
    for length, jerk in change_of_rate(speed, acceleration, rate, limits):
        part = np.minimum(length, left)
        go_on(part, jerk)
        left = left - part
    go_on(left, 0.0)
    for length, jerk in change_of_rate(speed, acceleration, 0.0, limits):
        go_on(length, jerk)
    return place
