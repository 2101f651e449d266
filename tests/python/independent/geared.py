"""A night with gears: the motors' courses, the wheels within their gaps, the load that decides the flank.

The same belief and the same sky as in ``night``; what differs is that the axis is no longer where the dial says.
"""

from dataclasses import dataclass, field
from math import cos, degrees, pi, sin

import numpy as np

from . import chain, drive, motion, night, sky
from .gears import Play

UP = np.array([0.0, 0.0, 1.0])


@dataclass(frozen=True)
class Load:
    """A mass out of balance about one axis: its moment (N m), where it is, the friction (N m).

    ``balance`` of the hour axis is the angle of that axis at which the mass is in the upper half of the meridian;
    of the declination axis the angle from the tube's front end to the mass, in the sense of growing declination dial.
    """

    moment: float = 0.0
    balance: float = 0.0
    friction: float = 0.0


@dataclass(frozen=True)
class Axis:
    """Gears, load and limits of one axis."""

    gears: object
    load: Load
    limits: drive.Rates


@dataclass
class Mount:
    """Both axes of a German equatorial mount on its true base."""

    geometry: chain.Geometry
    latitude: float
    hour: Axis
    declination: Axis
    base: np.ndarray = field(init=False)

    def __post_init__(self):
        self.base = self.geometry.base(self.latitude)

    def torques(self, hour, declination):
        """The outer torques about both axes at commanded angles: the axis times (arm x weight).

        What is out of balance about the declination axis is carried by the hour axis, too.
        """
        hour, declination = self.geometry.axes(hour, declination)
        polar = np.array([0.0, 0.0, -1.0])
        # The levers of weights are those of square axes: the skew changes them by parts of a thousand.
        carried = chain.turn_z(-hour)
        mount = chain.turn_z(-(hour - self.hour.load.balance)) @ np.array([self.hour.load.moment, 0.0, 0.0])
        tube = chain.turn_y(-(declination + self.declination.load.balance))
        tube = carried @ tube @ np.array([self.declination.load.moment, 0.0, 0.0])
        return self._torque(polar, mount + tube), self._torque(carried @ np.array([0.0, -1.0, 0.0]), tube)

    def _torque(self, axis, arm):
        axis, arm = self.base @ axis, self.base @ arm
        return float(np.dot(axis, np.cross(arm, -UP)))


@dataclass(frozen=True)
class Stretch:
    """A piece of the night in which both motors follow smooth courses."""

    begin: float
    end: float
    hour: object
    declination: object
    turns: tuple


class Player:
    """Leads both wheels through a night. Seconds count from the begin of the night."""

    def __init__(self, plan, mount):
        self.plan = plan
        self.mount = mount
        self.dials = chain.home(plan.entered.site.latitude)
        self.now = 0.0
        # Where the motors turned back in the last slew: the play remembers it.
        self.turned_at = []
        torques = mount.torques(*self.dials)
        self.plays = [
            Play(axis.gears, axis.load.friction, dial, torque)
            for axis, dial, torque in zip((mount.hour, mount.declination), self.dials, torques)
        ]

    def go_to(self, star):
        """Goes to a star; returns the seconds that it takes and the solution."""
        plan, began = self.plan, plan_instant(self.plan, self.now)
        solution = plan.wanted_dials(star, began)[2]
        axes = (self.mount.hour, self.mount.declination)
        rates = (drive.SIDEREAL_RATE * (1.0 + plan.clock_drift), 0.0)
        start, seconds = self.now, 0.0
        for _ in range(5):
            arrivals = plan.wanted_dials(star, began.plus(seconds))[:2]
            profiles = [
                motion.Profile(arrival - rate * seconds - dial, axis.limits)
                for arrival, rate, dial, axis in zip(arrivals, rates, self.dials, axes)
            ]
            seconds = max(profile.seconds for profile in profiles)
        slews = [
            motion.Slew(arrival, seconds, rate, profile)
            for arrival, rate, profile in zip(arrivals, rates, profiles)
        ]

        def course(slew):
            return lambda t: slew.at(t - start)

        turns = sorted(start + t for slew in slews for t in slew.turning_points())
        self.lead(Stretch(start, start + seconds, course(slews[0]), course(slews[1]), tuple(turns)), 600)
        self.turned_at = [
            (axis.gears, slew.at(t)) for axis, slew in zip(axes, slews) for t in slew.turning_points()
        ]
        self.dials = tuple(plan.wanted_dials(star, began.plus(seconds))[:2])
        return seconds, solution

    def tracking(self):
        """The stretch of sidereal tracking from now on, without an end."""
        begin, (hour, declination) = self.now, self.dials
        drift = self.plan.clock_drift
        return Stretch(
            begin, float("inf"), lambda t: drive.tracked(hour, t - begin, drift), lambda t: declination, ()
        )

    def track(self, until):
        """Tracks up to an instant."""
        stretch = self.tracking()
        steps = max(2, int((until - self.now) / 5.0))
        self.lead(Stretch(stretch.begin, until, stretch.hour, stretch.declination, ()), steps)
        self.dials = (stretch.hour(until), stretch.declination(until))

    def lead(self, stretch, steps):
        """Takes both wheels along a stretch, by steps that hold every turning point and every change of flank."""
        span = stretch.end - stretch.begin
        knots = sorted({stretch.begin + span * k / steps for k in range(1, steps + 1)} | set(stretch.turns))
        before = stretch.begin
        for knot in knots:
            for index, play in enumerate(self.plays):
                self._cross(stretch, index, play, before, knot)
            before = knot
        self.now = stretch.end

    def _state(self, stretch, t):
        commanded = (stretch.hour(t), stretch.declination(t))
        return commanded, self.mount.torques(*commanded)

    def _cross(self, stretch, index, play, before, knot):
        """One step of one wheel: where the load lets go or takes hold within it, the step is cut there."""
        def side(t):
            return play.side(self._state(stretch, t)[1][index])

        def move(start, end):
            commanded, torques = self._state(stretch, end)
            play.move(commanded[index], torques[index], end - start)

        if side(before) != side(knot):
            low, high = before, knot
            for _ in range(45):
                middle = 0.5 * (low + high)
                if side(middle) == side(before):
                    low = middle
                else:
                    high = middle
            move(before, low)
            move(low, high)
            before = high
        move(before, knot)

    def axes(self):
        """The true axis angles now, the zero offsets included."""
        torques = self.mount.torques(*self.dials)
        pairs = zip((self.mount.hour, self.mount.declination), self.plays, torques)
        return self.mount.geometry.axes(*(axis.gears.axis(play.wheel, torque) for axis, play, torque in pairs))


def plan_instant(plan, seconds):
    """The instant some seconds after the begin."""
    return plan.begin.plus(seconds)


def values_now(player, star):
    """All values of a look or a sample, degrees and arcseconds as in ``night.json``."""
    plan, geometry = player.plan, player.mount.geometry
    instant = plan_instant(plan, player.now)
    latitude = plan.site.latitude
    hour_axis, declination_axis = player.axes()
    boresight = geometry.boresight(latitude, hour_axis, declination_axis)
    target = plan.true_place(star, instant)
    east, north = sky.offset_east_north(target.direction(), boresight, plan.site.pole())
    azimuth, altitude = sky.azimuth_altitude(boresight)
    return {
        "boresight_azimuth_deg": degrees(azimuth),
        "boresight_altitude_deg": degrees(altitude),
        "hour_dial_deg": degrees(player.mount.hour.gears.counted(player.dials[0])),
        "declination_dial_deg": degrees(player.mount.declination.gears.counted(player.dials[1])),
        "hour_axis_deg": degrees(hour_axis),
        "declination_axis_deg": degrees(declination_axis),
        "miss_arcsec": sky.separation(target.direction(), boresight) * night.ARCSECONDS,
        "miss_east_arcsec": east * night.ARCSECONDS,
        "miss_north_arcsec": north * night.ARCSECONDS,
    }
