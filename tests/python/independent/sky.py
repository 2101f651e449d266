"""Where a star stands: instants, sites, air and observed places.

The astrometry is ERFA's (IAU 2006/2000A precession-nutation, aberration, deflection by the Sun, refraction as
A tan z + B tan^3 z the way its routine ``atioq`` applies it), polar motion zero.
"""

import warnings
from dataclasses import dataclass
from math import cos, exp, radians, sin

import erfa
import numpy as np

# Dates after the library's leap-second table are "dubious" to it; the bench takes TAI - UTC as constant there.
warnings.filterwarnings("ignore", category=erfa.ErfaWarning)

DAY = 86400.0
WAVELENGTH_MICROMETRES = 0.55
MAS = radians(1.0 / 3.6e6)


@dataclass(frozen=True)
class Instant:
    """An instant of TAI: a Julian date at midnight, and the seconds since then."""

    day: float
    seconds: float

    @staticmethod
    def from_utc(text):
        """From ``YYYY-MM-DDTHH:MM:SS[.f]`` with ``Z`` or an offset ``+HH:MM``."""
        offset = 0.0
        body = text
        if text.endswith("Z"):
            body = text[:-1]
        elif text[-6] in "+-":
            body = text[:-6]
            hours, minutes = text[-5:].split(":")
            offset = (int(hours) * 60 + int(minutes)) * 60.0
            if text[-6] == "-":
                offset = -offset
        date, clock = body.split("T")
        year, month, day = (int(part) for part in date.split("-"))
        hour, minute, second = clock.split(":")
        utc = erfa.dtf2d("UTC", year, month, day, int(hour), int(minute), float(second))
        tai1, tai2 = erfa.utctai(*utc)
        return Instant(float(tai1), float(tai2) * DAY).plus(-offset)

    def plus(self, seconds):
        """Later by some seconds of TAI."""
        total = self.seconds + seconds
        days = total // DAY
        return Instant(self.day + days, total - days * DAY)

    def since(self, earlier):
        """Seconds of TAI since another instant."""
        return (self.day - earlier.day) * DAY + (self.seconds - earlier.seconds)

    def utc(self):
        """As the library's two-part UTC date."""
        return erfa.taiutc(self.day, self.seconds / DAY)

    def utc_text(self):
        """As ``YYYY-MM-DDTHH:MM:SS.ffffffZ``."""
        year, month, day, clock = erfa.d2dtf("UTC", 6, *self.utc())
        hour, minute, second, fraction = (int(clock[part]) for part in "hmsf")
        return f"{year:04d}-{month:02d}-{day:02d}T{hour:02d}:{minute:02d}:{second:02d}.{fraction:06d}Z"

    def tai_minus_utc(self):
        """In seconds, by the leap-second table."""
        year, month, day, fraction = erfa.jd2cal(*self.utc())
        return float(erfa.dat(year, month, day, fraction))


@dataclass(frozen=True)
class Air:
    """Air at the site; a pressure of zero is a vacuum."""

    pressure_hpa: float
    temperature_c: float
    humidity: float

    @staticmethod
    def standard(height, temperature_c=10.0, humidity=0.5):
        """The pressure of an isothermal column above sea level."""
        kelvins = temperature_c + 273.15
        return Air(1013.25 * exp(-height / (29.3 * kelvins)), temperature_c, humidity)


@dataclass(frozen=True)
class Site:
    """A place on the ellipsoid (WGS84): north and east positive, height in metres."""

    latitude: float
    longitude: float
    height: float
    air: Air

    def pole(self):
        """The direction of the unrefracted north celestial pole."""
        return np.array([0.0, cos(self.latitude), sin(self.latitude)])


@dataclass(frozen=True)
class Star:
    """A place in the international celestial frame at epoch J2000.0.

    Motion in milliarcseconds a year (in right ascension times cos declination), parallax in milliarcseconds.
    """

    name: str
    right_ascension: float
    declination: float
    motion_ra_cosdec_mas: float = 0.0
    motion_dec_mas: float = 0.0
    parallax_mas: float = 0.0

    def motion(self):
        """In radians a year, the first as the rate of right ascension itself."""
        return self.motion_ra_cosdec_mas * MAS / cos(self.declination), self.motion_dec_mas * MAS


def direction(azimuth, altitude):
    """(East, North, Up) of an azimuth from north through east and an altitude."""
    return np.array([cos(altitude) * sin(azimuth), cos(altitude) * cos(azimuth), sin(altitude)])


def azimuth_altitude(vector):
    """Azimuth within a turn from north through east, altitude."""
    east, north, up = vector
    return float(np.arctan2(east, north)) % (2.0 * np.pi), float(np.arctan2(up, np.hypot(east, north)))


@dataclass(frozen=True)
class Observed:
    """An observed place: refraction and diurnal aberration are in it."""

    azimuth: float
    altitude: float
    hour_angle: float
    declination: float

    def direction(self):
        """As a unit vector (East, North, Up)."""
        return direction(self.azimuth, self.altitude)


def observe(star, instant, site, ut1_minus_tai):
    """The observed place of a star at an instant, hour angle positive west within half a turn."""
    return observe_at(star, instant, site, ut1_minus_tai + instant.tai_minus_utc())


def observe_at(star, instant, site, ut1_minus_utc):
    """The same for whoever knows UT1 - UTC."""
    rate_ra, rate_dec = star.motion()
    azimuth, zenith, hour_angle, declination, _, _ = erfa.atco13(
        star.right_ascension,
        star.declination,
        rate_ra,
        rate_dec,
        max(star.parallax_mas, 0.0) / 1000.0,
        0.0,
        *instant.utc(),
        ut1_minus_utc,
        site.longitude,
        site.latitude,
        site.height,
        0.0,
        0.0,
        site.air.pressure_hpa,
        site.air.temperature_c,
        site.air.humidity,
        WAVELENGTH_MICROMETRES,
    )
    return Observed(float(azimuth), np.pi / 2 - float(zenith), float(hour_angle), float(declination))


def moved(star, instant):
    """Right ascension and declination with the motion up to an instant, no parallax."""
    tt = erfa.taitt(instant.day, instant.seconds / DAY)
    rate_ra, rate_dec = star.motion()
    right_ascension, declination, *_ = erfa.pmsafe(
        star.right_ascension, star.declination, rate_ra, rate_dec, 0.0, 0.0, 2451545.0, 0.0, *tt
    )
    return float(right_ascension) % (2.0 * np.pi), float(declination)


def sun_altitude(instant, site, ut1_minus_tai):
    """The Sun's altitude to about an arcminute: enough to keep a random night dark."""
    earth_from_sun, _ = erfa.epv00(*erfa.taitt(instant.day, instant.seconds / DAY))
    right_ascension, declination = erfa.c2s(-earth_from_sun["p"])
    return observe(Star("Sun", float(right_ascension), float(declination)), instant, site, ut1_minus_tai).altitude


def separation(one, other):
    """The great circle between two unit vectors, good for the smallest angles."""
    return float(np.arctan2(np.linalg.norm(np.cross(one, other)), np.dot(one, other)))


def offset_east_north(target, boresight, pole):
    """Where the boresight lies as seen from the target: (east, north) parts of the great circle between them.

    East and north are those of the celestial pole that is handed in.
    """
    east = np.cross(pole, target)
    north = pole - np.dot(pole, target) * target
    towards = np.array([np.dot(boresight, east), np.dot(boresight, north)])
    length = np.linalg.norm(towards)
    if length == 0.0:
        return 0.0, 0.0
    return tuple(float(part) for part in separation(target, boresight) * towards / length)
