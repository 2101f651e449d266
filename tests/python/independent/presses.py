"""What a key of the hand controller does to an axis: a motion on top of tracking, within limits of acceleration and jerk.

The axis is brought to the key's rate in the least time, goes on at it, and is brought back to nothing in the least time when
the press is over; a short press is over before the rate is reached. How far that goes is all that matters here: nobody looks
before it is over.
"""

from math import copysign, sqrt


def change_of_rate(rate, acceleration, wanted, limits):
    """The quickest way from a rate that is itself changing to a steady one: three phases, each (seconds, jerk).

    The acceleration goes to its peak, may stay there, and comes back to nothing together with the difference of the rates.
    """
    a, j = limits.acceleration, limits.jerk
    gap = rate - wanted
    # What the difference comes to if the acceleration is taken away at once: that has to be made good.
    coasting = gap + acceleration * abs(acceleration) / (2.0 * j)
    against = copysign(1.0, coasting if coasting != 0.0 else -acceleration)
    gap, already = against * gap, -against * acceleration
    peak = min(sqrt(max(j * gap + already * already / 2.0, 0.0)), max(a, already))
    if peak == 0.0:
        return []
    hold = (gap - peak * peak / j + already * already / (2.0 * j)) / peak
    return [((peak - already) / j, -against * j), (hold, 0.0), (peak / j, against * j)]


def gone_on(state, seconds, jerk):
    """Place, rate and acceleration after some seconds of a steady jerk."""
    place, rate, acceleration = state
    return (
        place + seconds * (rate + seconds * (acceleration / 2.0 + seconds * jerk / 6.0)),
        rate + seconds * (acceleration + seconds * jerk / 2.0),
        acceleration + seconds * jerk,
    )


def way(rate, seconds, limits):
    """How far an axis goes by a press of so many seconds (of the mount's clock) at a rate, the stopping included."""
    state, left = (0.0, 0.0, 0.0), seconds
    for length, jerk in change_of_rate(0.0, 0.0, rate, limits):
        part = min(length, left)
        state = gone_on(state, part, jerk)
        left -= part
    state = gone_on(state, left, 0.0)
    for length, jerk in change_of_rate(state[1], state[2], 0.0, limits):
        state = gone_on(state, length, jerk)
    return state[0]
