"""Random gears for a random night: everything that a grade would draw is given in the file.

The sky, the site, the belief and the geometry are those of ``draws``; the mount is of grade ``perfect`` with its gears
written over it, so that nothing is left that this side can't know.
"""

from dataclasses import dataclass, replace
from math import degrees, pi, radians

from . import draws, drive, geared, night
from .draws import quoted
from .gears import Gears, Wave

ARCSEC = radians(1.0 / 3600.0)
# A wheel that is cut out of its centre is also a little oval: so much of the eccentricity, without a phase of its own.
OVAL = 0.3
# The drive train is refused where its slopes reach 0.9; a night is drawn below that.
STEEPEST = 0.8


@dataclass(frozen=True)
class Drawn:
    """A night with gears, and its scenario file."""

    seed: int
    night: object
    mount: geared.Mount
    text: str


def draw_gears(draw):
    """Random gears with the keys of their table."""
    def waves(orders, name, order_key):
        entries, lines = [], []
        for order, size in orders:
            amplitude, phase = draw.number(0.2 * size, size, 2), draw.number(-180.0, 180.0, 2)
            entries.append(Wave(order, amplitude * ARCSEC, radians(phase)))
            lines.append(
                f"{{ {order_key} = {order!r}, amplitude = {quoted(amplitude, 'arcsec')}, phase = {quoted(phase, 'deg')} }}"
            )
        return tuple(entries), f"{name} = [{', '.join(lines)}]"

    while True:
        teeth, ratio = draw.random.randrange(90, 361), draw.number(1.0, 6.0, 2)
        full_steps, microsteps = draw.random.choice([200, 400]), draw.random.choice([8, 16, 32, 64])
        microstep_error = draw.number(0.0, 6.0, 2)
        reducer, reducer_key = waves([(draw.number(0.2, 5.0, 2), 6.0)], "reducer_error", "order")
        worm, worm_key = waves([(1.0, 30.0), (2.0, 8.0), (3.0, 3.0)], "periodic_error", "harmonic")
        other, other_key = worm, None
        if draw.chance(0.4):
            other, other_key = waves([(1.0, 30.0), (2.0, 8.0)], "periodic_error_other_flank", "harmonic")
        # Flanks that differ by more than the play would bind, of which the physics says nothing.
        least = 80.0 if other_key else 0.0
        backlash, variation, gap_phase = draw.number(least, 300.0, 1), draw.number(0.0, 40.0, 1), draw.number(0, 359, 1)
        eccentricity, wheel_phase = draw.number(0.0, 60.0, 1), draw.number(-180.0, 180.0, 1)
        stiffness = draw.number(600.0, 8000.0, 0)
        gears = Gears(
            teeth,
            ratio,
            full_steps,
            microsteps,
            microstep_error / 100.0,
            reducer,
            (worm, other),
            backlash * ARCSEC,
            variation / 100.0,
            radians(gap_phase),
            eccentricity * ARCSEC,
            radians(wheel_phase),
            OVAL * eccentricity * ARCSEC,
            0.0,
            stiffness,
        )
        if gears.slopes() < STEEPEST:
            break
    moment, balance, friction = draw.number(0.0, 1.5, 3), draw.number(-180.0, 180.0, 1), draw.number(0.01, 0.4, 3)
    rate, acceleration, jerk = draw.number(1.0, 5.0, 2), draw.number(0.5, 4.0, 2), draw.number(1.0, 12.0, 2)
    lines = [
        f"teeth = {teeth}",
        f"reducer_ratio = {ratio!r}",
        f"full_steps = {full_steps}",
        f"microsteps = {microsteps}",
        f"microstep_error = {quoted(microstep_error, '%')}",
        reducer_key,
        worm_key,
        *([other_key] if other_key else []),
        f"backlash = {quoted(backlash, 'arcsec')}",
        f"backlash_variation = {quoted(variation, '%')}",
        f"backlash_phase = {quoted(gap_phase, 'deg')}",
        f"wheel_eccentricity = {quoted(eccentricity, 'arcsec')}",
        f"wheel_phase = {quoted(wheel_phase, 'deg')}",
        'tooth_noise = "0 arcsec"',
        'error_correction = "off"',
        f"stiffness = {quoted(stiffness, 'N m/rad')}",
        f"imbalance = {quoted(moment, 'N m')}",
        f"balance_angle = {quoted(balance, 'deg')}",
        f"friction = {quoted(friction, 'N m')}",
        f"slew_rate = {quoted(rate, 'deg/s')}",
        f"acceleration = {quoted(acceleration, 'deg/s2')}",
        f"jerk = {quoted(jerk, 'deg/s3')}",
    ]
    load = geared.Load(moment, radians(balance), friction)
    limits = drive.Rates(radians(rate), radians(acceleration), radians(jerk))
    return geared.Axis(gears, load, limits), lines


def reversing(draw, simple, mount, seconds):
    """The same mount with a load about the hour axis that changes flanks at about a third of the dwell, and its keys."""
    moment, friction = draw.number(1.0, 1.6, 3), draw.number(0.05, 0.2, 3)
    star, start, slew, look, seen = night.play(simple)[-1]
    dial = drive.tracked(seen.dials[0], seconds / 3.0, simple.clock_drift)

    def excess(balance):
        load = geared.Load(moment, balance, friction)
        hour = replace(mount.hour, load=load)
        balanced = replace(mount.declination, load=replace(mount.declination.load, moment=0.0))
        return geared.Mount(mount.geometry, mount.latitude, hour, balanced)

    low, high = dial - pi / 2, dial
    for _ in range(50):
        middle = 0.5 * (low + high)
        # The torque falls from its greatest to nothing as the mass is taken to the top.
        if excess(middle).torques(dial, seen.dials[1])[0] > friction:
            low = middle
        else:
            high = middle
    balance = round(degrees(0.5 * (low + high)), 3)
    lines = [f"imbalance = {quoted(moment, 'N m')}", f"balance_angle = {quoted(balance, 'deg')}"]
    return excess(radians(balance)), [*lines, f"friction = {quoted(friction, 'N m')}"]


def draw_night(seed, stars):
    """The random night of a seed, its last target watched for some minutes; in half of them the load changes sides then."""
    simple = draws.draw_night(seed, stars)
    draw = draws.Draw(f"gears {seed}")
    hour, hour_lines = draw_gears(draw)
    declination, declination_lines = draw_gears(draw)
    dwell, sample_every = draw.random.randrange(6, 13), draw.random.choice([2, 3, 5])
    mount = geared.Mount(simple.night.geometry, simple.night.site.latitude, hour, declination)
    if draw.chance(0.5):
        loads = ("imbalance", "balance_angle", "friction")
        mount, load_lines = reversing(draw, simple.night, mount, 60.0 * dwell)
        hour_lines = [line for line in hour_lines if not line.startswith(loads)] + load_lines
        declination_lines = [line for line in declination_lines if not line.startswith("imbalance")]
        declination_lines.append('imbalance = "0 N m"')
    text = simple.text.replace("[night]\n", f'[night]\nsample_every = "{sample_every} s"\n', 1)
    # The last table of the file is the last target's.
    text += f'dwell = "{dwell} min"\n'
    text += "\n".join(["", "[mount.hour_axis]", *hour_lines, "", "[mount.declination_axis]", *declination_lines, ""])
    return Drawn(seed, simple.night, mount, text)
