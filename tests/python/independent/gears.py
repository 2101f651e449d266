"""One axis's drive train as matter: microsteps, reducer, worm, play, wheel, wind-up.

Written from the drive train's order: the commanded angle is quantised to microsteps, whose own error is added; the
reducer's and the worm's errors follow, then the play, the wheel's errors and the wind-up of what lies behind it.
All angles are those of the axis, in radians.
"""

from dataclasses import dataclass
from math import cos, floor, pi, sin


@dataclass(frozen=True)
class Wave:
    """One harmonic: turns of the error in one turn of the worm, amplitude, phase."""

    order: float
    amplitude: float
    phase: float

    def at(self, worm_angle):
        """Its value at an angle of the worm."""
        return self.amplitude * sin(self.order * worm_angle + self.phase)

    def slope(self, teeth):
        """The greatest slope against the axis angle."""
        return abs(self.amplitude * self.order * teeth)


@dataclass(frozen=True)
class Gears:
    """The drive train of one axis. ``worm`` holds the harmonics of the driving flank and of the other one."""

    teeth: int
    reducer_ratio: float = 1.0
    full_steps: int = 0
    microsteps: int = 0
    microstep_error: float = 0.0
    reducer: tuple = ()
    worm: tuple = ((), ())
    gap: float = 0.0
    gap_variation: float = 0.0
    gap_phase: float = 0.0
    eccentricity: float = 0.0
    wheel_phase: float = 0.0
    oval: float = 0.0
    oval_phase: float = 0.0
    stiffness: float = float("inf")
    # How grease slows the wheel on its way through the gap, N m s/rad.
    seat_damping: float = 0.0

    def step(self):
        """One microstep, or zero where the motor is continuous."""
        if not self.microsteps:
            return 0.0
        return 2.0 * pi / (self.full_steps * self.microsteps * self.reducer_ratio * self.teeth)

    def full_step(self):
        """One full step."""
        return self.step() * self.microsteps

    def counted(self, commanded):
        """The nearest angle at which the motor can be ordered to stand: what the controller reads as its dial."""
        step = self.step()
        return floor(commanded / step + 0.5) * step if step else commanded

    def motor(self, commanded):
        """The motor's true angle, referred to the axis: quantised, with the error of its microsteps.

        Two sines, one in the electrical period of four full steps, one in a full step, each half of the peak.
        """
        if not self.microsteps:
            return commanded
        counted, full = self.counted(commanded), self.full_step()
        half_peak = 0.5 * self.microstep_error * full
        return counted + half_peak * (sin(2.0 * pi * counted / (4.0 * full)) + sin(2.0 * pi * counted / full))

    def input(self, commanded, flank):
        """What the worm offers to the wheel: its angle with all that lies before the play, by the flank that touches."""
        motor = self.motor(commanded)
        worm_angle = self.teeth * motor
        return motor + sum(w.at(worm_angle) for w in self.reducer) + sum(w.at(worm_angle) for w in self.worm[flank])

    def gap_at(self, wheel):
        """The play where the wheel stands."""
        return self.gap * (1.0 + self.gap_variation * cos(wheel - self.gap_phase))

    def resting(self, commanded, side):
        """The wheel's angle where it rests on a flank: side -1 is driven (it lags), +1 runs ahead."""
        offered = self.input(commanded, 0 if side < 0 else 1)
        wheel = offered
        for _ in range(6):
            wheel = offered + side * 0.5 * self.gap_at(wheel)
        return wheel

    def wheel_error(self, wheel):
        """The error of the wheel itself, after the play."""
        return self.eccentricity * sin(wheel + self.wheel_phase) + self.oval * sin(2.0 * wheel + self.oval_phase)

    def axis(self, wheel, torque):
        """The axis angle of a wheel angle under an outer torque."""
        return wheel + self.wheel_error(wheel) + torque / self.stiffness

    def slopes(self):
        """The sum of all slopes that come before the play."""
        waves = [*self.reducer, *max(self.worm, key=lambda flank: sum(w.slope(self.teeth) for w in flank))]
        steps = 0.0
        if self.microsteps:
            steps = 0.5 * self.microstep_error * 2.0 * pi * (1.0 / 4.0 + 1.0)
        return sum(w.slope(self.teeth) for w in waves) + steps


class Play:
    """The wheel within its gap: carried by the flanks, or driven by the load to one of them and held there."""

    def __init__(self, gears, friction, commanded, torque):
        self.gears = gears
        self.friction = friction
        self.excess = 0.0
        self.held = self.side(torque)
        self.before = (gears.resting(commanded, -1), gears.resting(commanded, 1))
        self.wheel = gears.resting(commanded, self.held) if self.held else gears.input(commanded, 0)

    def side(self, torque):
        """To which flank a torque drives the wheel; 0 in the floating zone."""
        if torque > self.friction:
            return 1
        return -1 if torque < -self.friction else 0

    def share(self):
        """Where the wheel is in its gap, 0 at the driving flank, 1 at the other."""
        lowest, highest = self.before
        return (self.wheel - lowest) / (highest - lowest) if highest > lowest else 0.5

    def move(self, commanded, torque, seconds):
        """Takes the motor one way to a commanded angle, where this torque acts, within some seconds.

        The side of the torque is the same all through the step; its excess over the friction changes evenly.
        """
        side = self.side(torque)
        excess = max(abs(torque) - self.friction, 0.0)
        lowest, highest = self.gears.resting(commanded, -1), self.gears.resting(commanded, 1)
        if side == 0:
            self.held = 0
            self.wheel = min(max(self.wheel, lowest), highest)
        elif self.held == side or highest <= lowest or self.gears.seat_damping == 0.0:
            self.held = side
            self.wheel = lowest if side < 0 else highest
        else:
            self.held = 0
            way = side * 0.5 * (self.excess + excess) * seconds / self.gears.seat_damping
            # In grease the wheel keeps its share of the gap while the motor carries both flanks along.
            share = self.share() + way / (highest - lowest)
            if (share >= 1.0) if side > 0 else (share <= 0.0):
                self.held = side
            self.wheel = lowest + min(max(share, 0.0), 1.0) * (highest - lowest)
        self.excess = excess
        self.before = (lowest, highest)
        return self.wheel
