"""The mount as a chain of rotations: base, hour axis, declination axis, tube.

Frames are right-handed. Q: meridian point of the equator, East, north celestial pole. T: East, North, Up.
The hour angle is positive west, so the hour axis turns by minus its angle about the north pole.
"""

from dataclasses import dataclass
from math import asin, cos, pi, sin, sqrt

import numpy as np

from .sky import azimuth_altitude, direction


class Unreachable(ValueError):
    """The tube can't be brought to this direction: it lies within the cap round the mount's pole."""


def turn_x(angle):
    """Rotation matrix about x."""
    c, s = cos(angle), sin(angle)
    return np.array([[1, 0, 0], [0, c, -s], [0, s, c]], dtype=float)


def turn_y(angle):
    """Rotation matrix about y."""
    c, s = cos(angle), sin(angle)
    return np.array([[c, 0, s], [0, 1, 0], [-s, 0, c]], dtype=float)


def turn_z(angle):
    """Rotation matrix about z."""
    c, s = cos(angle), sin(angle)
    return np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]], dtype=float)


def turn_vector(omega):
    """The exact rotation by a rotation vector (Rodrigues)."""
    angle = float(np.linalg.norm(omega))
    if angle == 0.0:
        return np.eye(3)
    x, y, z = np.asarray(omega) / angle
    cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    return np.eye(3) + sin(angle) * cross + (1.0 - cos(angle)) * (cross @ cross)


def equatorial_frame(latitude):
    """Q to T: columns are the meridian point of the equator, East, the north pole."""
    c, s = cos(latitude), sin(latitude)
    return np.array([[0.0, 1.0, 0.0], [-s, 0.0, c], [c, 0.0, s]])


def equatorial_direction(hour_angle, declination):
    """Unit vector in Q."""
    return np.array(
        [cos(declination) * cos(hour_angle), -cos(declination) * sin(hour_angle), sin(declination)]
    )


@dataclass(frozen=True)
class Geometry:
    """The fixed errors of an equatorial mount, radians.

    The polar errors are those of the axis's elevated end: too high, too far east, in either hemisphere.
    """

    polar_altitude: float = 0.0
    polar_azimuth: float = 0.0
    lean_north: float = 0.0
    lean_east: float = 0.0
    hour_zero: float = 0.0
    declination_zero: float = 0.0
    skew: float = 0.0
    cone: float = 0.0
    flexure: float = 0.0

    def base(self, latitude):
        """The base's rotation to T at a true latitude."""
        sign = 1.0 if latitude >= 0.0 else -1.0
        lean = turn_vector((-self.lean_north, self.lean_east, 0.0))
        return lean @ turn_z(-sign * self.polar_azimuth) @ equatorial_frame(latitude + sign * self.polar_altitude)

    def declination_axis(self, latitude, hour_axis):
        """The direction (T) of the declination axis's +y end, which carries the counterweight."""
        return self.base(latitude) @ turn_z(-hour_axis) @ turn_x(self.skew) @ np.array([0.0, 1.0, 0.0])

    def axes(self, hour_dial, declination_dial):
        """True axis angles of dial angles."""
        return hour_dial + self.hour_zero, declination_dial + self.declination_zero

    def rigid(self, latitude, hour_axis, declination_axis):
        """The boresight (T) of true axis angles, before the tube droops."""
        tube = turn_z(-hour_axis) @ turn_x(self.skew) @ turn_y(-declination_axis) @ turn_z(self.cone)
        return self.base(latitude) @ tube @ np.array([1.0, 0.0, 0.0])

    def boresight(self, latitude, hour_axis, declination_axis):
        """The boresight (T) of true axis angles."""
        azimuth, altitude = azimuth_altitude(self.rigid(latitude, hour_axis, declination_axis))
        return direction(azimuth, altitude - self.flexure * cos(altitude))

    def field(self, base, hour_axis, declination_axis):
        """The attitude (T) of what the eyepiece shows at true axis angles: columns boresight, lateral, the tube's up.

        The lateral direction is on the side of the declination axis's +y end. Drooping, the tube turns about the level
        axis square to its vertical plane.
        """
        tube = turn_z(-hour_axis) @ turn_x(self.skew) @ turn_y(-declination_axis) @ turn_z(self.cone)
        rigid = base @ tube
        east, north, _ = rigid[:, 0]
        # The axis times the cosine of the altitude: turning about it by the flexure droops the tube by f cos h.
        return turn_vector((-self.flexure * north, self.flexure * east, 0.0)) @ rigid

    def undroop(self, vector):
        """The rigid direction whose droop gives this one."""
        azimuth, wanted = azimuth_altitude(vector)
        altitude = wanted
        for _ in range(20):
            miss = altitude - self.flexure * cos(altitude) - wanted
            altitude -= miss / (1.0 + self.flexure * sin(altitude))
        return direction(azimuth, altitude)

    def dials(self, latitude, vector):
        """Both pairs of dial angles (direct, through the pole) that bring the boresight to a direction of T.

        Hour angles within half a turn either way. Raises ``Unreachable`` within the cap round the mount's pole.
        """
        return self.dials_on(self.base(latitude), vector)

    def dials_on(self, base, vector):
        """The same with the base's rotation at hand."""
        p = base.T @ self.undroop(vector)
        n, c = self.skew, self.cone
        q = (p[2] - sin(c) * sin(n)) / (cos(c) * cos(n))
        if abs(q) > 1.0:
            raise Unreachable(f"sine of the declination axis would be {q}")
        direct = float(np.arctan2(q, sqrt((1.0 - q) * (1.0 + q))))
        return tuple(self._dials_of(p, t) for t in (direct, pi - direct))

    def _dials_of(self, p, t):
        n, c = self.skew, self.cone
        x = cos(c) * cos(t)
        y = sin(c) * cos(n) - cos(c) * sin(t) * sin(n)
        hour = float(np.arctan2(y, x) - np.arctan2(p[1], p[0])) - self.hour_zero
        return half_turn(hour), half_turn(t - self.declination_zero)


def half_turn(angle):
    """The same angle within (-pi, pi]."""
    return pi - (pi - angle) % (2.0 * pi)


def unwrapped(hour_angle, declination, latitude):
    """The dials of a perfect German equatorial mount for a place, in the sense that keeps the cables whole.

    East of the meridian the direct solution, else through the pole; the declination dial is counted on from home,
    which is +90 degrees in the north and -90 in the south. Returns (hour dial, declination dial, solution).
    """
    if hour_angle < 0.0:
        return hour_angle, declination, "direct"
    over = pi if latitude >= 0.0 else -pi
    return hour_angle - pi, over - declination, "through-pole"


def home(latitude):
    """The dials at home: weights down, tube along the polar axis."""
    return -pi / 2, pi / 2 if latitude >= 0.0 else -pi / 2


def first_order(term, hour_angle, declination, latitude, side):
    """First-order effect (true hour angle - dial, true declination - dial) of one unit of a term; for tests.

    ``side`` is +1 direct, -1 through the pole. The polar terms are those of the axis's north end.
    """
    sh, ch = sin(hour_angle), cos(hour_angle)
    sd, cd = sin(declination), cos(declination)
    sp, cp = sin(latitude), cos(latitude)
    return {
        "hour_zero": (1.0, 0.0),
        "declination_zero": (0.0, side),
        "polar_altitude": (-sd / cd * sh, -ch),
        "polar_azimuth": (sp - cp * sd / cd * ch, cp * sh),
        "skew": (side * sd / cd, 0.0),
        "cone": (-side / cd, 0.0),
        "flexure": (cp * sh / cd, -(sp * cd - cp * sd * ch)),
    }[term]


def place_of(vector, latitude):
    """Hour angle and declination of a direction of T."""
    x, y, z = equatorial_frame(latitude).T @ vector
    return float(np.arctan2(-y, x)), asin(max(-1.0, min(1.0, z)))
