"""How the motors are led through a night: rest-to-rest profiles as functions of time, slews, tracking.

A slew is the target's own motion, at the rate at which the mount will track it, plus a rest-to-rest profile of what parts
mount and target. The axes start together, each runs by its own limits. After a slew the hour axis tracks at the sidereal rate by the
controller's clock and the declination axis stands.
"""

from dataclasses import dataclass
from math import copysign, sqrt

from . import drive


class Profile:
    """A jerk-limited move over a distance, from rest to rest, as fast as the limits allow."""

    def __init__(self, distance, limits):
        self.distance = distance
        d, v, a, j = abs(distance), limits.rate, limits.acceleration, limits.jerk
        self.seconds = drive.rest_to_rest(distance, limits)
        if d == 0.0:
            self.parts = []
            return
        # The peak rate and acceleration of the regime decide the lengths of its seven parts.
        if v >= a * a / j:
            if d >= v * v / a + v * a / j:
                top, ramp = v, a
            elif d >= 2.0 * a**3 / j**2:
                top, ramp = -a * a / (2.0 * j) + sqrt(a**4 / (4.0 * j * j) + a * d), a
            else:
                ramp = j * (d / (2.0 * j)) ** (1.0 / 3.0)
                top = ramp * ramp / j
        elif d >= 2.0 * v * sqrt(v / j):
            top, ramp = v, sqrt(v * j)
        else:
            ramp = j * (d / (2.0 * j)) ** (1.0 / 3.0)
            top = ramp * ramp / j
        swell = ramp / j
        hold = max(top / ramp - swell, 0.0)
        cruise = max(self.seconds - 4.0 * swell - 2.0 * hold, 0.0)
        sign = copysign(1.0, distance)
        lengths = [swell, hold, swell, cruise, swell, hold, swell]
        jerks = [j, 0.0, -j, 0.0, -j, 0.0, j]
        self.parts = [(length, sign * jerk) for length, jerk in zip(lengths, jerks)]

    def at(self, seconds):
        """How far it has come; from the end backwards in the second half, so that the end is exact."""
        if seconds <= 0.0 or not self.parts:
            return 0.0
        if seconds >= self.seconds:
            return self.distance
        if seconds > 0.5 * self.seconds:
            return self.distance - self._from_rest(self.seconds - seconds)
        return self._from_rest(seconds)

    def _from_rest(self, seconds):
        # The profile is its own mirror image in time.
        place = rate = acceleration = 0.0
        for length, jerk in self.parts:
            t = min(length, seconds)
            place += t * (rate + t * (0.5 * acceleration + t * jerk / 6.0))
            rate += t * (acceleration + t * 0.5 * jerk)
            acceleration += t * jerk
            seconds -= t
            if seconds <= 0.0:
                break
        return place


@dataclass(frozen=True)
class Slew:
    """One axis on its way: the motion that it will go on with, plus the profile of the difference.

    ``arrival`` is the dial when both axes have ended, ``seconds`` later than the start, ``rate`` what it tracks with.
    """

    arrival: float
    seconds: float
    rate: float
    profile: Profile

    def at(self, seconds):
        """The commanded dial."""
        own = self.arrival - self.rate * (self.seconds - seconds)
        return own - (self.profile.distance - self.profile.at(seconds))

    def rate_at(self, seconds, step=1e-5):
        """Its rate, by a difference."""
        return (self.at(seconds + step) - self.at(seconds - step)) / (2.0 * step)

    def turning_points(self):
        """The seconds at which the axis turns round: where its own motion beats the profile, at most once near the
        start and once near the end."""
        end = self.profile.seconds
        found = []
        for early, late in ((0.0, 0.5 * end), (0.5 * end, end)):
            low, high = early + 2e-5, late - 2e-5
            if end <= 0.01 or self.rate_at(low) * self.rate_at(high) >= 0.0:
                continue
            for _ in range(60):
                middle = 0.5 * (low + high)
                if self.rate_at(low) * self.rate_at(middle) <= 0.0:
                    high = middle
                else:
                    low = middle
            found.append(0.5 * (low + high))
        return found
