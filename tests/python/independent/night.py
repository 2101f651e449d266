"""One night: what the controller believes, where it sends the mount, and by how much the target is missed.

The belief is made of the entered site, the controller's clock and the catalogue alone; the truth of the true site,
the true instant and the mount's geometry. They meet only in the dials.
"""

from dataclasses import dataclass, field, replace
from math import degrees, radians

from . import chain, drive, sky

ARCSECONDS = degrees(1.0) * 3600.0
# The look comes this long after the arrival.
LOOK_AFTER = 3.0


@dataclass(frozen=True)
class Entered:
    """What was typed into the controller: site, and how wrong its clock was at the begin of the night (+ fast)."""

    site: sky.Site
    clock_error: float = 0.0
    zone_error: float = 0.0
    daylight_saving_wrong: bool = False

    def clock_offset(self):
        """Believed minus true, seconds, at the begin of the night."""
        return self.clock_error + self.zone_error + (3600.0 if self.daylight_saving_wrong else 0.0)


@dataclass(frozen=True)
class Night:
    """A night of a German equatorial mount of grade ``perfect`` without alignment."""

    begin: sky.Instant
    ut1_minus_utc: float
    site: sky.Site
    entered: Entered
    geometry: chain.Geometry
    clock_drift: float
    targets: list = field(default_factory=list)

    def ut1_minus_tai(self):
        """Constant through the night."""
        return self.ut1_minus_utc - self.begin.tai_minus_utc()

    def believed(self, instant):
        """The controller's instant at a true one."""
        gained = self.clock_drift * instant.since(self.begin)
        return instant.plus(self.entered.clock_offset() + gained)

    def believed_place(self, star, instant):
        """The observed place that the controller computes at a true instant."""
        return sky.observe(star, self.believed(instant), self.entered.site, self.ut1_minus_tai())

    def true_place(self, star, instant):
        """The observed place in truth."""
        return sky.observe(star, instant, self.site, self.ut1_minus_tai())

    def wanted_dials(self, star, instant):
        """(hour dial, declination dial, solution) that the controller wants at a true instant."""
        place = self.believed_place(star, instant)
        return chain.unwrapped(place.hour_angle, place.declination, self.entered.site.latitude)


@dataclass(frozen=True)
class Look:
    """All values of one go-to at the look, degrees and arcseconds as in ``night.json``."""

    values: dict
    solution: str
    tube_side: str
    shaft_east: float
    dials: tuple


def look_at(night, star, look):
    """What a look shows: the go-to arrived three seconds before, and the hour axis has tracked since."""
    arrival = look.plus(-LOOK_AFTER)
    hour, declination, solution = night.wanted_dials(star, arrival)
    hour = drive.tracked(hour, LOOK_AFTER, night.clock_drift)
    hour_axis, declination_axis = night.geometry.axes(hour, declination)
    latitude = night.site.latitude
    boresight = night.geometry.boresight(latitude, hour_axis, declination_axis)
    target = night.true_place(star, look)
    east, north = sky.offset_east_north(target.direction(), boresight, night.site.pole())
    boresight_azimuth, boresight_altitude = sky.azimuth_altitude(boresight)
    right_ascension, true_declination = sky.moved(star, look)
    shaft_east = float(night.geometry.declination_axis(latitude, hour_axis)[0])
    values = {
        "icrs_ra_deg": degrees(right_ascension),
        "icrs_dec_deg": degrees(true_declination),
        "target_azimuth_deg": degrees(target.azimuth),
        "target_altitude_deg": degrees(target.altitude),
        "boresight_azimuth_deg": degrees(boresight_azimuth),
        "boresight_altitude_deg": degrees(boresight_altitude),
        "hour_dial_deg": degrees(hour),
        "declination_dial_deg": degrees(declination),
        "hour_axis_deg": degrees(hour_axis),
        "declination_axis_deg": degrees(declination_axis),
        "miss_arcsec": sky.separation(target.direction(), boresight) * ARCSECONDS,
        "miss_east_arcsec": east * ARCSECONDS,
        "miss_north_arcsec": north * ARCSECONDS,
    }
    tube_side = "west" if shaft_east > 0.0 else "east"
    return Look(values, solution, tube_side, shaft_east, (hour, declination))


def slew_seconds(night, star, start, dials):
    """How long the go-to takes that starts at a true instant from these dials: the wanted dials' own motion
    plus a rest-to-rest profile of what parts them at the start."""
    hour, declination, _ = night.wanted_dials(star, start)
    return drive.slew_time(hour - dials[0], declination - dials[1])


def play(night):
    """The whole night by our own timing: a list of (star, start, slew seconds, look instant, Look)."""
    start, dials = night.begin, chain.home(night.entered.site.latitude)
    rows = []
    for star in night.targets:
        seconds = slew_seconds(night, star, start, dials)
        instant = start.plus(seconds + LOOK_AFTER)
        look = look_at(night, star, instant)
        rows.append((star, start, seconds, instant, look))
        start, dials = instant, look.dials
    return rows


def with_target(night, star):
    """The same night with one more target at its end."""
    return replace(night, targets=[*night.targets, star])


def site_of(latitude_deg, longitude_deg, height, air):
    """A site from degrees."""
    return sky.Site(radians(latitude_deg), radians(longitude_deg), height, air)
