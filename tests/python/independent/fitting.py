"""What the mount's computer makes of its sightings: the zeros of one star, the rotation of two.

``base`` is the rotation of a perfect mount at the entered latitude. A belief is a rotation of the mount on top of it and two
zeros: the dials for a direction v are a perfect mount's for the direction turned back, less the zeros.
"""

from math import pi

import numpy as np

from . import chain

PERFECT = chain.Geometry()

# Variances of a sighting in each direction, in squares of arcminutes: how well a star is centred, what the gears add, and what
# settling ground adds in an hour.
CENTRED, GEARS, SETTLING_PER_HOUR = 5.0**2, 1.0**2, 0.1**2


def near(angle, middle):
    """The same angle within half a turn of another."""
    return middle + chain.half_turn(angle - middle)


def solution_of(declination_dial):
    """0 for dials of the direct solution, 1 for those through the pole."""
    return 0 if abs(chain.half_turn(declination_dial)) <= pi / 2.0 else 1


def zeros(base, direction, dials):
    """One star: the zeros that put it where it was seen."""
    needed = PERFECT.dials_on(base, direction)[solution_of(dials[1])]
    return tuple(chain.half_turn(wanted - dial) for wanted, dial in zip(needed, dials))


def weight(age):
    """What a sighting counts that is older than the newest by so many seconds."""
    return 1.0 / (CENTRED + GEARS + SETTLING_PER_HOUR * age / 3600.0)


def rotation(base, sightings):
    """Two stars and more: the rotation that carries the directions by the dials onto those by belief as nearly as it can.

    A sighting is (the mount's seconds, direction, dials); the newest is the last. Solved by singular values.
    """
    profile = np.zeros((3, 3))
    for at, direction, (hour, declination) in sightings:
        by_dials = base @ chain.equatorial_direction(hour, declination)
        profile += weight(sightings[-1][0] - at) * np.outer(direction, by_dials)
    u, _, vt = np.linalg.svd(profile)
    return u @ np.diag([1.0, 1.0, np.linalg.det(u) * np.linalg.det(vt)]) @ vt


def wanted_dials(base, turned, offsets, direction, solution):
    """The dials for a direction by a belief, on the turn of the cables on which a northern German mount uses them."""
    hour, declination = PERFECT.dials_on(base, turned.T @ direction)[solution]
    return near(hour - offsets[0], -pi / 2.0), near(declination - offsets[1], pi * solution)
