"""What lies between the controller's dial and the axis: motion profiles, tracking, and the drive train.

Grade ``perfect`` has neither play nor periodic error nor wind-up: the axis moves as the dial does.
"""

from dataclasses import dataclass
from math import pi, radians, sqrt

SIDEREAL_TURNS_PER_UT1_DAY = 1.00273781191135448
SIDEREAL_RATE = SIDEREAL_TURNS_PER_UT1_DAY * 2.0 * pi / 86400.0


@dataclass(frozen=True)
class Rates:
    """The limits of one axis: rate, acceleration, jerk (radians and seconds); no jerk limit is ``inf``."""

    rate: float
    acceleration: float
    jerk: float


# The mid-range mount's limits, which the perfect one has too.
MID_RANGE = Rates(radians(3.0), radians(2.0), radians(6.0))


def rest_to_rest(distance, limits):
    """The shortest time from rest to rest over a distance within the limits of rate, acceleration and jerk."""
    d, v, a, j = abs(distance), limits.rate, limits.acceleration, limits.jerk
    if d == 0.0:
        return 0.0
    if j == float("inf"):
        return d / v + v / a if d >= v * v / a else 2.0 * sqrt(d / a)
    if v >= a * a / j:
        if d >= v * v / a + v * a / j:
            return d / v + v / a + a / j
        if d >= 2.0 * a**3 / j**2:
            peak = -a * a / (2.0 * j) + sqrt(a**4 / (4.0 * j * j) + a * d)
            return 2.0 * peak / a + 2.0 * a / j
    elif d >= 2.0 * v * sqrt(v / j):
        return d / v + 2.0 * sqrt(v / j)
    return 4.0 * (d / (2.0 * j)) ** (1.0 / 3.0)


def slew_time(hour_distance, declination_distance, limits=MID_RANGE):
    """The axes start together and run on their own: the slower one counts."""
    return max(rest_to_rest(hour_distance, limits), rest_to_rest(declination_distance, limits))


def tracked(hour_dial, seconds, drift):
    """The hour dial after some true seconds of sidereal tracking by a clock that gains ``drift`` of itself."""
    return hour_dial + SIDEREAL_RATE * (1.0 + drift) * seconds
