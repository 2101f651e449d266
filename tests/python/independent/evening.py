"""A whole evening by plain loops: two stars sighted, then targets looked at, every instant our own.

The person, the mount's computer and the truth of one night. The mount has no gears to speak of and the person no errors: what is
left is geometry, set-up, clock and sky, and the hand that stops within a quarter of an arcsecond of the star. The night is
dark and its stars are up.
"""

from dataclasses import dataclass

import numpy as np

from . import chain, drive, fitting, person, presses, sky
from .night import ARCSECONDS

# An arrival is known when another pass moves it by less: a nanosecond is a millionth of an arcsecond.
ARRIVED = 1e-9
PASSES = 7


class Stuck(Exception):
    """The keys don't bring the star to the middle: the person gives it up."""


@dataclass(frozen=True)
class Look:
    """The first look at a target: seconds after the begin, and how far the tube points from it."""

    name: str
    seconds: float
    miss_arcsec: float


class Evening:
    """One night while it is lived through. Seconds are true ones since the begin unless they are called the mount's."""

    def __init__(self, night, stars):
        self.night, self.stars = night, stars
        self.now = 0.0
        self.base = night.geometry.base(night.site.latitude)
        self.perfect_base = chain.equatorial_frame(night.entered.site.latitude)
        # The dials at an instant of the mount's, and the rate of the hour axis from then on.
        self.dials, self.since, self.rate = chain.home(night.site.latitude), 0.0, 0.0
        self.through_pole = False
        self.turned, self.zeros, self.sightings = np.eye(3), (0.0, 0.0), []
        self.hand = [person.Axis(), person.Axis()]
        # How fast the star goes by itself along both axes, once that was watched.
        self.own = None
        self.presses = 0

    # The mount

    def mount_seconds(self):
        """What the mount's clock has counted since the begin."""
        return self.now * (1.0 + self.night.clock_drift)

    def dials_at(self, mount_seconds):
        """Both dials at an instant of the mount's, nothing being laid over tracking then."""
        return self.dials[0] + self.rate * (mount_seconds - self.since), self.dials[1]

    def believed(self, name, mount_seconds):
        """Where the mount believes a star to be, and in which solution it goes there: 0 direct, 1 through the pole."""
        instant = self.night.begin.plus(self.night.entered.clock_offset() + mount_seconds)
        place = sky.observe_at(self.stars[name], instant, self.night.entered.site, self.night.ut1_minus_utc)
        return place.direction(), 0 if place.hour_angle < 0.0 else 1

    def go_to(self, name):
        """Both axes start at once, each on its own quickest profile; the mount is there when the later one is."""
        begin = arrives = self.mount_seconds()
        start = self.dials_at(begin)
        for _ in range(PASSES):
            direction, solution = self.believed(name, arrives)
            dials = fitting.wanted_dials(self.perfect_base, self.turned, self.zeros, direction, solution)
            # Tracking at the new rate begins with the move, which covers the rest.
            tracked = drive.SIDEREAL_RATE * (arrives - begin)
            seconds = drive.slew_time(dials[0] - tracked - start[0], dials[1] - start[1])
            if abs(begin + seconds - arrives) < ARRIVED:
                break
            arrives = begin + seconds
        self.dials, self.since, self.rate = dials, arrives, drive.SIDEREAL_RATE
        self.through_pole = solution == 1
        self.now = arrives / (1.0 + self.night.clock_drift)
        self.presses += 1
        for axis in self.hand:
            axis.arrive()

    def sight(self, name):
        """The star stands in the middle: the mount learns from it."""
        self.presses += 1
        at = self.mount_seconds()
        direction, _ = self.believed(name, at)
        dials = self.dials_at(at)
        self.sightings.append((at, direction, dials))
        if len(self.sightings) == 1:
            self.zeros = fitting.zeros(self.perfect_base, direction, dials)
        else:
            self.turned, self.zeros = fitting.rotation(self.perfect_base, self.sightings), (0.0, 0.0)

    # The truth

    def direction(self, name):
        """Where a star truly stands now."""
        instant = self.night.begin.plus(self.now)
        return sky.observe_at(self.stars[name], instant, self.night.site, self.night.ut1_minus_utc).direction()

    def frame(self):
        """The attitude of the tube now."""
        dials = self.dials_at(self.mount_seconds())
        return self.night.geometry.field(self.base, *self.night.geometry.axes(*dials))

    # The person

    def see(self, name, field):
        """How far the tube must go west and north; None if the field doesn't show the star."""
        return person.seen(self.frame(), self.direction(name), field, self.through_pole)

    def choose(self, index, distance, running, field):
        """The key for a distance on the sky, and the seconds, by what this hand knows of the axis."""
        gain = self.hand[index].gain
        return person.choose(distance / gain, running / gain, field)

    def press(self, index, sense, distance, running, field):
        """Presses a key for as long as the distance asks for, the star running away meanwhile, and waits until the tube has come to
        rest. How far the key should have moved the star."""
        rate, seconds, rest = self.choose(index, distance, running, field)
        wanted = self.hand[index].gain * rate * seconds
        limits = drive.MID_RANGE
        # Tracking takes its part of the full rate. The key is pressed for whole milliseconds of the mount's.
        rate = min(rate, limits.rate - (self.rate if index == 0 else 0.0))
        moved = sense * presses.way(rate, round(seconds, 3), limits)
        hour, declination = self.dials
        if index == 0:
            hour += moved
        else:
            # Through the pole the declination dial grows southward.
            declination += -moved if self.through_pole else moved
        self.dials = hour, declination
        self.now += seconds + rest
        self.presses += 1
        return wanted

    def watch(self, name, field, seconds):
        """How the star goes by itself; False if it is lost meanwhile."""
        before = self.see(name, field)
        self.now += seconds
        after = self.see(name, field)
        if before is None or after is None:
            return False
        self.own = [(late - early) / seconds for early, late in zip(before, after)]
        return True

    def running(self, index):
        """What is known of the star's own way, radians a second."""
        return self.own[index] if self.own else 0.0

    def takes(self, index, coming, field):
        """How many seconds a press lasts, rest included, for a star that will be off by so much after a second."""
        away = self.running(index) if coming > 0.0 else -self.running(index)
        _, seconds, rest = self.choose(index, abs(coming), away, field)
        return seconds + rest

    def until_both(self, needed, field):
        """How many seconds the second axis will take once the first has been pressed."""
        first = self.takes(0, needed[0] + self.running(0) * 2.0 * person.REST, field)
        off = needed[1] + self.running(1) * first
        if abs(off) <= person.FINEST[field]:
            return 0.0
        return self.takes(1, off + self.running(1) * person.REST, field)

    def centre_axis(self, name, index, field, ahead):
        """Presses the two keys of one axis until the star stands right along it, or will so many seconds ahead; False if it
        is lost."""
        hand, near = self.hand[index], person.FINEST[field]
        for _ in range(person.MOST_PRESSES):
            needed = self.see(name, field)
            if needed is None:
                return False
            running = self.running(index)
            left = needed[index] + running * ahead
            if abs(left) <= near:
                return True
            if running * left < 0.0 and abs(left) <= abs(running) * person.GLANCE:
                # It comes by itself; if it doesn't, it must be watched.
                self.now += -left / running
                needed = self.see(name, field)
                if needed is None:
                    return False
                if abs(needed[index] + running * ahead) > near and not self.watch(name, field, person.GLANCE):
                    return False
                continue
            coming = left + running * person.REST
            meant = coming if abs(coming) > near else left
            sense, distance = (1.0 if meant > 0.0 else -1.0), abs(meant)
            slack = hand.slack(sense, distance)
            began = self.now
            wanted = self.press(index, sense, distance + slack, sense * running, field)
            took = self.now - began
            after = self.see(name, field)
            if after is None:
                return False
            went = (needed[index] - after[index]) * sense
            astray = abs(after[index] + running * ahead - (coming - meant)) > near
            if distance < person.ARCMINUTE and astray:
                still = hand.in_vain(wanted, went + sense * running * took) and abs(running) * person.REST <= near
                if (self.own is None or not still) and not self.watch(name, field, person.GLANCE):
                    return False
            drift = self.running(index) * took
            telling = wanted >= person.ARCMINUTE or (
                self.own is not None and wanted >= person.TELLING * near + abs(drift)
            )
            hand.learn(wanted, slack, went + sense * drift, telling)
        raise Stuck

    def centre(self, name, field):
        """One axis, the other, and again while one has spoilt the other."""
        self.own = None
        for turn in range(person.ROUNDS):
            needed = self.see(name, field)
            if needed is None:
                return False
            ahead = self.until_both(needed, field) if turn > 0 else 0.0
            if not (self.centre_axis(name, 0, field, ahead) and self.centre_axis(name, 1, field, 0.0)):
                return False
            needed = self.see(name, field)
            if needed is None:
                return False
            if max(abs(part) for part in needed) <= 2.0 * person.FINEST[field]:
                return True
            if not self.watch(name, field, person.GLANCE):
                return False
        raise Stuck

    def hunt(self, name, field):
        """Looks round in a spiral until the field shows the star."""
        for index, sense in person.spiral(person.RINGS[field]):
            self.press(index, sense, person.STEP * field, 0.0, field)
            if self.see(name, field) is not None:
                return True
        return False

    def glance(self, name, field):
        """Whether the field shows the star."""
        self.now += person.GLANCE
        return self.see(name, field) is not None

    def find(self, name):
        """Brings a star that the eyepiece doesn't show there, by the finder."""
        for _ in range(2):
            if not self.glance(name, person.FINDER) and not self.hunt(name, person.FINDER):
                return False
            if self.centre(name, person.FINDER):
                break
        return self.glance(name, person.EYEPIECE) or self.hunt(name, person.EYEPIECE)

    def bring(self, name):
        """Brings the star to the middle of the eyepiece; twice, for it may be lost on the way."""
        for _ in range(2):
            if not self.glance(name, person.EYEPIECE) and not self.find(name):
                return False
            if self.centre(name, person.EYEPIECE):
                return True
        return False

    def live(self, aligned_on, targets):
        """The whole evening: the seconds of the sightings by star, and the looks."""
        self.presses += 1
        sighted = {}
        for name in aligned_on:
            self.go_to(name)
            try:
                found = self.bring(name)
            except Stuck:
                found = False
            if found:
                sighted[name] = self.now
                self.sight(name)
        looks = []
        for name in targets:
            self.go_to(name)
            self.now += person.SETTLING
            miss = sky.separation(self.direction(name), self.frame()[:, 0]) * ARCSECONDS
            looks.append(Look(name, self.now, miss))
        return sighted, looks
