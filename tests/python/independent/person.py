"""The person without errors at the hand controller: which key, for how long, and what they make of what the star does.

A perfect hand still is a hand: it glances, presses for as long as the distance asks for, waits, looks again, and learns from it
how far the star goes and whether the gears have play.
"""

from dataclasses import dataclass
from math import atan2, hypot, radians, sqrt

from .drive import MID_RANGE, SIDEREAL_RATE

GLANCE = 2.0
# The look comes so long after the arrival: the tube has come to rest.
SETTLING = 3.0
FINDER, EYEPIECE = radians(6.0), radians(50.0 / 60.0)

# The keys' rates; in the finder the mount's full rate too.
KEYS = [multiple * SIDEREAL_RATE for multiple in (0.5, 2.0, 20.0, 100.0)]
FULL = MID_RANGE.rate
# A press is to last so long to be judged; no key is pressed for less than a millisecond or more than a minute.
JUDGED, LEAST, MOST = 0.2, 0.001, 60.0
# Until the tube has come to rest after a press, by the full rate and by the others.
REST_FULL, REST = 4.0, 1.0

# How near the middle is near enough, radians: nobody centres better than a quarter of an arcsecond, and in the finder
# nobody tries to.
FINEST = {EYEPIECE: radians(0.25 / 3600.0), FINDER: radians(1.0 / 60.0)}
MOST_PRESSES = 60
ROUNDS = 4
RINGS = {FINDER: 4, EYEPIECE: 3}
# Neighbouring stops of a search, in fields.
STEP = 0.6

MOST_PLAY = radians(10.0 / 60.0)
FURTHER = radians(20.0 / 3600.0)
# A press for so much tells how far presses go, however the star drifts; one for less that goes astray is a reason to watch it.
ARCMINUTE = radians(1.0 / 60.0)
# Where the star's own way is known, a press tells that if it is for so many times what is near enough, and the star's own way.
TELLING = 5.0
# Play leaves a star where it is; one that goes so much of its way after more than any play is slow.
SLOW = 0.05


def rise(rate):
    """How long the tube takes from rest to a rate: speeding up evenly at the most, more softly at either end."""
    softly = MID_RANGE.acceleration / MID_RANGE.jerk
    if rate <= MID_RANGE.acceleration * softly:
        return 2.0 * sqrt(rate / MID_RANGE.jerk)
    return rate / MID_RANGE.acceleration + softly


def keys_of(field):
    """The keys that are used, the slowest first: (rate, how long a press of it must last at least)."""
    rates = KEYS + [FULL] if field == FINDER else KEYS
    return [(rate, max(JUDGED, rise(rate))) for rate in rates]


def choose(distance, running, field):
    """The fastest key at which the press is long enough, the star running away by so much a second: (rate, seconds, the seconds
    to wait for rest)."""
    usable = [(rate, distance / (rate - running), least) for rate, least in keys_of(field) if rate > running]
    long_enough = [(rate, seconds) for rate, seconds, least in usable if seconds >= least]
    rate, seconds = long_enough[-1] if long_enough else usable[0][:2]
    return rate, min(max(seconds, LEAST), MOST), REST_FULL if rate == FULL else REST


@dataclass
class Axis:
    """What the hand knows of one axis since the last go-to, and of its play since ever."""

    gain: float = 1.0
    sense: float = 0.0
    dead: float = 0.0
    moving: bool = False
    known: float = 0.0

    def arrive(self):
        """After a go-to nobody knows in which sense the axis last turned."""
        self.gain, self.sense, self.dead, self.moving = 1.0, 0.0, 0.0, False

    def slack(self, sense, distance):
        """What the press is made longer by: on a turn most of the play, while nothing moves a little."""
        if self.sense != sense:
            turns = self.sense != 0.0
            self.sense, self.dead, self.moving = sense, 0.0, False
            return 0.8 * self.known if turns else 0.0
        return min(3.0 * distance, FURTHER) if self.dead > 0.0 else 0.0

    def in_vain(self, wanted, moved):
        """Whether a press left the star where it was, as play would."""
        return not self.moving and moved < 0.3 * wanted

    def learn(self, wanted, slack, moved, telling):
        """Remembers how far a press that was for so much, the slack included, moved the star; ``telling`` if nothing else can have
        moved it by much."""
        if telling and (self.moving or moved > wanted):
            # The star goes a shorter way than the axis, the more so near the pole.
            share = min(max(moved / wanted, 0.3), 3.0)
            self.gain = min(max(self.gain * share, 0.05), 3.0)
        if self.in_vain(wanted, moved):
            self.dead += wanted - max(moved, 0.0)
            if self.dead > MOST_PLAY and moved > SLOW * wanted:
                self.moving, self.dead = True, 0.0
        elif not self.moving:
            if self.dead > 0.0:
                self.known = min(self.dead, MOST_PLAY)
            elif slack > 0.0:
                self.known = min(max(self.known - (moved - (wanted - slack)), 0.0), MOST_PLAY)
            self.moving, self.dead = True, 0.0


def spiral(rings):
    """The presses (axis, sense) of a search in a square spiral."""
    sense = 1.0
    for side in range(1, 2 * rings + 1):
        for axis in (0, 1):
            for _ in range(side):
                yield axis, sense
        sense = -sense
    for _ in range(2 * rings):
        yield 0, sense


def seen(frame, direction, field, through_pole):
    """How far the tube must go west and north to bring a direction to the middle of a field, radians; None outside it.

    ``frame`` is the attitude of the field: boresight, lateral, up. With the tube turned over, west is on the other side.
    """
    along, lateral, up = direction @ frame
    aside = hypot(lateral, up)
    stretch = atan2(aside, along) / aside if aside > 0.0 else 1.0
    if aside * stretch >= field / 2.0:
        return None
    turned = -stretch if through_pole else stretch
    return -lateral * turned, up * turned
