"""All evenings of a study at once: what ``evening`` does night by night, done for all nights that are at the same step.

Every step is told which nights take it: those whose star is in the field, those that must look for it, those that press on. A
night whose star stands in the middle waits until all are done; its own clock stands still meanwhile.
"""

import numpy as np

from . import drive, fitting, many, person
from .evening import ARRIVED, PASSES
from .night import ARCSECONDS

THERE, LOST, STUCK = 0, 1, 2


class Hands:
    """What the hands know of one axis, as ``person.Axis``: an array for each of its fields."""

    def __init__(self, count):
        self.known = np.zeros(count)
        self.gain, self.sense, self.dead = np.ones(count), np.zeros(count), np.zeros(count)
        self.moving = np.zeros(count, bool)

    def arrive(self, who):
        """After a go-to."""
        self.gain[who], self.sense[who], self.dead[who], self.moving[who] = 1.0, 0.0, 0.0, False

    def slack(self, who, sense, distance):
        """What the presses are made longer by."""
        before, turned = self.sense[who], self.sense[who] != sense
        on_turn = np.where(before != 0.0, 0.8 * self.known[who], 0.0)
        going_on = np.where(self.dead[who] > 0.0, np.minimum(3.0 * distance, person.FURTHER), 0.0)
        now = who[turned]
        self.sense[now], self.dead[now], self.moving[now] = sense[turned], 0.0, False
        return np.where(turned, on_turn, going_on)

    def in_vain(self, who, wanted, moved):
        """Whether the presses left the stars where they were."""
        return ~self.moving[who] & (moved < 0.3 * wanted)

    def learn(self, who, wanted, slack, moved, telling):
        """Remembers how far the presses moved the stars."""
        moving, vain = self.moving[who], self.in_vain(who, wanted, moved)
        gain = np.clip(self.gain[who] * np.clip(moved / wanted, 0.3, 3.0), 0.05, 3.0)
        self.gain[who] = np.where(telling & (moving | (moved > wanted)), gain, self.gain[who])
        begun = ~moving & ~vain
        dead, known = self.dead[who], self.known[who]
        less = np.clip(known - (moved - (wanted - slack)), 0.0, person.MOST_PLAY)
        too_far = np.where(slack > 0.0, less, known)
        self.known[who] = np.where(begun, np.where(dead > 0.0, np.minimum(dead, person.MOST_PLAY), too_far), known)
        dead = np.where(vain, dead + wanted - np.maximum(moved, 0.0), np.where(begun, 0.0, dead))
        begun |= vain & (dead > person.MOST_PLAY) & (moved > person.SLOW * wanted)
        self.dead[who] = np.where(begun, 0.0, dead)
        self.moving[who] |= begun


def choose(distance, running, field):
    """As ``person.choose``."""
    rate, seconds = np.full_like(distance, np.nan), np.full_like(distance, np.nan)
    for key, least in person.keys_of(field):
        with np.errstate(divide="ignore"):
            needed = distance / (key - running)
        taken = (key > running) & (np.isnan(rate) | (needed >= least))
        rate, seconds = np.where(taken, key, rate), np.where(taken, needed, seconds)
    return rate, np.clip(seconds, person.LEAST, person.MOST), np.where(rate == person.FULL, person.REST_FULL, person.REST)


class Evenings:
    """The evenings while they are lived through, as ``evening.Evening``: an array for each of its fields."""

    def __init__(self, nights, stars):
        count = len(nights)
        self.nights, self.stars = nights, stars
        self.now, self.since, self.rate = np.zeros(count), np.zeros(count), np.zeros(count)
        self.dials = np.full(count, -np.pi / 2.0), np.full(count, np.pi / 2.0)
        self.through_pole = np.zeros(count, bool)
        self.turned = np.broadcast_to(np.eye(3), (count, 3, 3)).copy()
        self.zeros = np.zeros(count), np.zeros(count)
        self.sightings = []
        self.hands = Hands(count), Hands(count)
        # The stars' own ways along both axes, radians a second, and whether they have been watched.
        self.own, self.watched = np.zeros((count, 2)), np.zeros(count, bool)
        self.presses = np.zeros(count, int)

    # The mounts

    def mount_seconds(self, who):
        """What the mounts' clocks have counted."""
        return self.now[who] * (1.0 + self.nights.drift[who])

    def dials_at(self, who, mount_seconds):
        """Both dials."""
        return self.dials[0][who] + self.rate[who] * (mount_seconds - self.since[who]), self.dials[1][who]

    def believed(self, who, name, mount_seconds):
        """Directions by the mounts' belief, and whether they are reached through the pole."""
        direction, hour = self.nights.place(self.stars[name], self.nights.clock[who] + mount_seconds)
        return direction, hour >= 0.0

    def wanted(self, who, name, mount_seconds):
        """The dials that the mounts want at an instant of theirs, and by which solution."""
        direction, through = self.believed(who, name, mount_seconds)
        turned_back = np.einsum("nji,nj->ni", self.turned[who], direction)
        hour, declination = many.perfect_dials(self.nights.perfect_base, turned_back, through)
        hour = many.half_turn(hour - self.zeros[0][who] + np.pi / 2.0) - np.pi / 2.0
        middle = np.pi * through
        return hour, middle + many.half_turn(declination - self.zeros[1][who] - middle), through

    def go_to(self, name):
        """All mounts, each until its own arrival."""
        begin = self.mount_seconds(slice(None))
        start = [dial.copy() for dial in self.dials_at(slice(None), begin)]
        self.since, self.rate = begin.copy(), np.full_like(begin, drive.SIDEREAL_RATE)
        under_way = np.arange(len(begin))
        for _ in range(PASSES):
            hour, declination, through = self.wanted(under_way, name, self.since[under_way])
            self.dials[0][under_way], self.dials[1][under_way] = hour, declination
            self.through_pole[under_way] = through
            tracked = drive.SIDEREAL_RATE * (self.since - begin)[under_way]
            seconds = np.maximum(
                many.slew_seconds(hour - tracked - start[0][under_way]),
                many.slew_seconds(declination - start[1][under_way]),
            )
            ends = begin[under_way] + seconds
            off = np.abs(ends - self.since[under_way]) >= ARRIVED
            under_way = under_way[off]
            if not under_way.size:
                break
            self.since[under_way] = ends[off]
        self.now = self.since / (1.0 + self.nights.drift)
        self.presses += 1
        for hands in self.hands:
            hands.arrive(slice(None))

    def sight(self, who, name):
        """The stars stand in the middle: the mounts learn from it, by one star or by both."""
        self.presses[who] += 1
        at = self.mount_seconds(who)
        direction, _ = self.believed(who, name, at)
        hour, declination = self.dials_at(who, at)
        by_dials = many.perfect_boresight(self.nights.perfect_base, hour, declination)
        earlier = np.zeros(len(self.now), bool)
        profile = np.zeros((len(self.now), 3, 3))
        profile[who] = fitting.weight(0.0) * direction[:, :, None] * by_dials[:, None, :]
        newest = np.zeros(len(self.now))
        newest[who] = at
        for whose, then, one, other in self.sightings:
            earlier[whose] = True
            weight = fitting.weight(newest[whose] - then)
            profile[whose] += weight[:, None, None] * one[:, :, None] * other[:, None, :]
        self.sightings.append((who, at, direction, by_dials))
        first = ~earlier[who]
        needed = many.perfect_dials(self.nights.perfect_base, direction, np.abs(many.half_turn(declination)) > np.pi / 2.0)
        for index, (wanted, dial) in enumerate(zip(needed, (hour, declination))):
            self.zeros[index][who] = np.where(first, many.half_turn(wanted - dial), 0.0)
        both = who[~first]
        u, _, vt = np.linalg.svd(profile[both])
        u[:, :, 2] *= (np.linalg.det(u) * np.linalg.det(vt))[:, None]
        self.turned[both] = u @ vt

    # The truth

    def directions(self, who, name):
        """Where a star truly stands."""
        return self.nights.place(self.stars[name], self.now[who])[0]

    def frames(self, who):
        """The attitudes of the tubes."""
        return self.nights.fields(who, *self.dials_at(who, self.mount_seconds(who)))

    # The people

    def see(self, who, name, field):
        """How far the tubes must go west and north, and whether the field shows the star at all."""
        along, lateral, up = np.einsum("ni,nij->jn", self.directions(who, name), self.frames(who))
        aside = np.hypot(lateral, up)
        angle = np.arctan2(aside, along)
        stretch = np.where(aside > 0.0, angle / np.where(aside > 0.0, aside, 1.0), 1.0)
        turned = np.where(self.through_pole[who], -stretch, stretch)
        return np.stack([-lateral * turned, up * turned], -1), aside * stretch < field / 2.0

    def choose(self, who, index, distance, running, field):
        """The keys for distances on the sky."""
        gain = self.hands[index].gain[who]
        return choose(distance / gain, running / gain, field)

    def press(self, who, index, sense, distance, running, field):
        """Presses keys and waits for rest; how far the keys should have moved the stars."""
        rate, seconds, rest = self.choose(who, index, distance, running, field)
        wanted = self.hands[index].gain[who] * rate * seconds
        room = drive.MID_RANGE.rate - (self.rate[who] if index == 0 else 0.0)
        moved = sense * many.press_way(np.minimum(rate, room), np.round(seconds, 3))
        self.dials[index][who] += np.where(self.through_pole[who], -moved, moved) if index == 1 else moved
        self.now[who] += seconds + rest
        self.presses[who] += 1
        return wanted

    def watch(self, who, name, field, seconds):
        """Watches how the stars go by themselves; which of them are seen all the time."""
        before, shown = self.see(who, name, field)
        self.now[who] += seconds
        after, still = self.see(who, name, field)
        seen = shown & still
        self.own[who[seen]] = (after - before)[seen] / seconds
        self.watched[who[seen]] = True
        return seen

    def takes(self, who, index, coming, field):
        """How many seconds presses last, rest included, for stars that will be off by so much after a second."""
        away = np.where(coming > 0.0, self.own[who, index], -self.own[who, index])
        _, seconds, rest = self.choose(who, index, np.abs(coming), away, field)
        return seconds + rest

    def until_both(self, who, needed, field):
        """How many seconds the second axis will take once the first has been pressed."""
        first = self.takes(who, 0, needed[:, 0] + self.own[who, 0] * 2.0 * person.REST, field)
        off = needed[:, 1] + self.own[who, 1] * first
        second = self.takes(who, 1, off + self.own[who, 1] * person.REST, field)
        return np.where(np.abs(off) <= person.FINEST[field], 0.0, second)

    def wait_along(self, who, name, index, field, ahead):
        """Lets these stars come by themselves, and watches those that don't; which are still in sight."""
        needed, _ = self.see(who, name, field)
        running = self.own[who, index]
        self.now[who] -= (needed[:, index] + running * ahead[who]) / running
        needed, shown = self.see(who, name, field)
        off = shown & (np.abs(needed[:, index] + running * ahead[who]) > person.FINEST[field])
        shown[off] = self.watch(who[off], name, field, person.GLANCE)
        return shown

    def press_along(self, who, name, index, field, ahead):
        """Presses one axis's key once in each of these nights and learns from it; which stars are still in sight. ``ahead`` is for
        all nights."""
        hands, near = self.hands[index], person.FINEST[field]
        before, _ = self.see(who, name, field)
        running = self.own[who, index]
        left = before[:, index] + running * ahead[who]
        coming = left + running * person.REST
        meant = np.where(np.abs(coming) > near, coming, left)
        sense, distance = np.sign(meant), np.abs(meant)
        slack = hands.slack(who, sense, distance)
        began = self.now[who]
        wanted = self.press(who, index, sense, distance + slack, sense * running, field)
        took = self.now[who] - began
        after, shown = self.see(who, name, field)
        went = (before - after)[:, index] * sense
        still = hands.in_vain(who, wanted, went + sense * running * took) & (np.abs(running) * person.REST <= near)
        astray = np.abs(after[:, index] + running * ahead[who] - (coming - meant)) > near
        doubtful = shown & astray & (distance < person.ARCMINUTE) & ~(self.watched[who] & still)
        shown[doubtful] = self.watch(who[doubtful], name, field, person.GLANCE)
        drift = self.own[who, index] * took
        telling = (wanted >= person.ARCMINUTE) | (
            self.watched[who] & (wanted >= person.TELLING * near + np.abs(drift))
        )
        moved = went + sense * drift
        hands.learn(who[shown], wanted[shown], slack[shown], moved[shown], telling[shown])
        return shown

    def centre_axis(self, who, name, index, field, ahead):
        """How each night's star is held along one axis."""
        near, held = person.FINEST[field], np.full(len(self.now), STUCK)
        for _ in range(person.MOST_PRESSES):
            needed, shown = self.see(who, name, field)
            running = self.own[who, index]
            left = needed[:, index] + running * ahead[who]
            there = shown & (np.abs(left) <= near)
            held[who[~shown]], held[who[there]] = LOST, THERE
            going_on = shown & ~there
            by_itself = going_on & (running * left < 0.0) & (np.abs(left) <= np.abs(running) * person.GLANCE)
            pressing = going_on & ~by_itself
            if not going_on.any():
                break
            going_on[by_itself] = self.wait_along(who[by_itself], name, index, field, ahead)
            going_on[pressing] = self.press_along(who[pressing], name, index, field, ahead)
            held[who[(by_itself | pressing) & ~going_on]] = LOST
            who = who[going_on]
        return held

    def centre(self, who, name, field):
        """How each night's star is held."""
        held = np.full(len(self.now), STUCK)
        self.own[who], self.watched[who] = 0.0, False
        for turn in range(person.ROUNDS):
            ahead = np.zeros(len(self.now))
            needed, shown = self.see(who, name, field)
            held[who[~shown]] = LOST
            who, needed = who[shown], needed[shown]
            if turn > 0:
                ahead[who] = self.until_both(who, needed, field)
            for index, early in ((0, ahead), (1, np.zeros_like(ahead))):
                along = self.centre_axis(who, name, index, field, early)[who]
                held[who] = np.where(along == THERE, STUCK, along)
                who = who[along == THERE]
            needed, shown = self.see(who, name, field)
            near = shown & (np.abs(needed) <= 2.0 * person.FINEST[field]).all(axis=1)
            held[who[~shown]], held[who[near]] = LOST, THERE
            who = who[shown & ~near]
            if not who.size:
                break
            shown = self.watch(who, name, field, person.GLANCE)
            held[who[~shown]] = LOST
            who = who[shown]
        return held

    def hunt(self, who, name, field):
        """The nights in which a search in a spiral comes upon the star."""
        found = [who[:0]]
        for index, sense in person.spiral(person.RINGS[field]):
            if not who.size:
                break
            self.press(who, index, sense, np.full(len(who), person.STEP * field), 0.0, field)
            _, shown = self.see(who, name, field)
            found.append(who[shown])
            who = who[~shown]
        return np.concatenate(found)

    def glance_or_hunt(self, who, name, field):
        """The nights in which a glance shows the star, or else a search."""
        self.now[who] += person.GLANCE
        _, shown = self.see(who, name, field)
        return np.concatenate([who[shown], self.hunt(who[~shown], name, field)])

    def find(self, who, name):
        """The nights in which the star is brought into the eyepiece by the finder."""
        ready = []
        for _ in range(2):
            who = self.glance_or_hunt(who, name, person.FINDER)
            held = self.centre(who, name, person.FINDER)
            ready.append(who[held[who] == THERE])
            who = who[held[who] == LOST]
        # What was lost twice is looked for in the eyepiece all the same.
        return self.glance_or_hunt(np.concatenate([*ready, who]), name, person.EYEPIECE)

    def bring(self, name):
        """The nights in which the star comes to the middle of the eyepiece."""
        who, centred = np.arange(len(self.now)), []
        for _ in range(2):
            self.now[who] += person.GLANCE
            _, shown = self.see(who, name, person.EYEPIECE)
            who = np.concatenate([who[shown], self.find(who[~shown], name)])
            held = self.centre(who, name, person.EYEPIECE)
            centred.append(who[held[who] == THERE])
            who = who[held[who] == LOST]
        return np.sort(np.concatenate(centred))

    def live(self, aligned_on, targets):
        """The whole evenings: the seconds of the sightings by star (NaN where there was none), and of the looks with the
        misses in arcseconds, targets by nights."""
        self.presses += 1
        sighted = {}
        for name in aligned_on:
            self.go_to(name)
            who = self.bring(name)
            sighted[name] = np.full(len(self.now), np.nan)
            sighted[name][who] = self.now[who]
            self.sight(who, name)
        seconds, misses = [], []
        for name in targets:
            self.go_to(name)
            self.now = self.now + person.SETTLING
            target, boresight = self.directions(slice(None), name), self.frames(slice(None))[:, :, 0]
            across = np.linalg.norm(np.cross(target, boresight), axis=1)
            seconds.append(self.now.copy())
            misses.append(np.arctan2(across, np.sum(target * boresight, axis=1)) * ARCSECONDS)
        return sighted, np.array(seconds), np.array(misses)
