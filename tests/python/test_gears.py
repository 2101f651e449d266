"""The independent drive train by itself: worked values, limits, and what must be the same either way."""

from math import degrees, pi, radians

import pytest

from independent import drive, gears, motion

ARCSEC = radians(1.0 / 3600.0)


def loose(gap, **others):
    """Gears with play and nothing else."""
    return gears.Gears(160, gap=gap * ARCSEC, **others)


def walk(play, places, torques=None):
    """The wheel's angles, arcseconds, along a way of the motor."""
    torques = torques or [0.0] * len(places)
    return [play.move(x * ARCSEC, torque, 1.0) / ARCSEC for x, torque in zip(places, torques)]


def test_play_keeps_the_wheel_until_a_flank_comes():
    play = gears.Play(loose(4.0), 0.0, 0.0, 0.0)
    assert walk(play, [10.0, -5.0, 3.0]) == pytest.approx([8.0, -3.0, 1.0], abs=1e-9)
    play = gears.Play(loose(90.0), 0.0, 0.0, 0.0)
    expected = [0.0, 155.0, 95.0, 95.0, -35.0, -25.0, 255.0]
    assert walk(play, [0.0, 200.0, 50.0, 120.0, -80.0, 20.0, 300.0]) == pytest.approx(expected, abs=1e-9)


def test_load_decides_the_flank():
    play = gears.Play(loose(2.0), 1.0, 0.0, 5.0)
    found = walk(play, [0.0, 1.0, 2.0, 1.0, 0.0], [5.0, 5.0, 0.0, 0.0, -5.0])
    assert found == pytest.approx([1.0, 2.0, 2.0, 2.0, -1.0], abs=1e-9)


def test_crossing_takes_the_gap_times_the_damping_over_the_excess():
    # 120 arcsec, 200 N m s/rad, 0.3 N m of excess: 0.39 s.
    play = gears.Play(loose(120.0, seat_damping=200.0), 0.1, 0.0, -0.4)
    assert play.share() == pytest.approx(0.0, abs=1e-9)
    seconds = 120.0 * ARCSEC * 200.0 / 0.3
    assert seconds == pytest.approx(0.39, abs=0.005)
    play.move(0.0, 0.1, 1.0)
    play.move(0.0, 0.4, 0.0)
    play.move(0.0, 0.4, 0.5 * seconds)
    assert play.share() == pytest.approx(0.5, abs=1e-6)
    play.move(0.0, 0.4, 0.6 * seconds)
    assert play.share() == pytest.approx(1.0, abs=1e-12)


def test_a_gap_that_varies_is_solved_where_the_wheel_stands():
    wheel = loose(100.0, gap_variation=0.4, gap_phase=1.0)
    for commanded in (-2.0, 0.3, 1.0, 2.5):
        for side in (-1, 1):
            rests = wheel.resting(commanded, side)
            assert rests - side * 0.5 * wheel.gap_at(rests) == pytest.approx(commanded, abs=1e-13)


def test_microsteps():
    motor = gears.Gears(160, 3.0, 200, 32, 0.05)
    assert motor.step() / ARCSEC == pytest.approx(0.421875, abs=1e-9)
    assert motor.full_step() / ARCSEC == pytest.approx(13.5, abs=1e-9)
    errors = [motor.motor(k * motor.step()) - k * motor.step() for k in range(4 * 32)]
    # Both sines together reach at most the peak of 5 % of a full step, 0.675 arcsec, and add up to nothing.
    assert 0.5 * 0.675 < max(errors) / ARCSEC <= 0.675
    assert sum(errors) / ARCSEC == pytest.approx(0.0, abs=1e-6)
    assert motor.counted(1.3 * motor.step()) == pytest.approx(motor.step(), abs=1e-15)


def test_the_worm_turns_once_a_tooth():
    worm = gears.Gears(180, worm=((gears.Wave(1.0, 15.0 * ARCSEC, 0.0),),) * 2)
    period = 86164.0905 / 180
    assert period == pytest.approx(478.689, abs=0.001)
    rate = 2.0 * pi / 86164.0905
    slope = (worm.input(rate * 1.0, 0) - worm.input(rate * -1.0, 0)) / 2.0 - rate
    # 15 arcsec in a sine of 478.689 s: 0.19689 arcsec/s where it is steepest.
    assert slope / ARCSEC == pytest.approx(0.19689, abs=1e-4)


def test_a_wheel_out_of_its_centre():
    # 8 micrometres on 60 millimetres.
    eccentricity = 8e-6 / 60e-3
    assert eccentricity / ARCSEC == pytest.approx(27.50, abs=0.01)
    wheel = gears.Gears(160, eccentricity=eccentricity)
    assert wheel.axis(pi / 2, 0.0) - pi / 2 == pytest.approx(eccentricity, abs=1e-15)


@pytest.mark.parametrize("distance", [0.01, 0.05, 1.0, 3.0, 30.0, 90.0])
@pytest.mark.parametrize("jerk", [1.0, 4.0, 6.0])
def test_profiles_arrive_and_keep_their_limits(distance, jerk):
    limits = drive.Rates(radians(3.0), radians(2.0), radians(jerk))
    profile = motion.Profile(radians(distance), limits)
    assert profile.at(0.0) == 0.0
    assert degrees(profile.at(profile.seconds)) == pytest.approx(distance, abs=1e-12)
    step = profile.seconds / 2000.0
    places = [profile.at(k * step) for k in range(2001)]
    rates = [(b - a) / step for a, b in zip(places, places[1:])]
    assert min(rates) >= -1e-12
    assert max(rates) <= limits.rate * (1.0 + 1e-9)
    # The halves meet: no jump in the middle.
    assert max(abs(b - a) for a, b in zip(rates, rates[1:])) <= limits.acceleration * step * (1.0 + 1e-6)


def test_a_slew_backwards_turns_round_twice():
    limits = drive.Rates(radians(3.0), radians(2.0), radians(6.0))
    profile = motion.Profile(radians(-30.0), limits)
    rate = drive.SIDEREAL_RATE
    slew = motion.Slew(0.0, profile.seconds, rate, profile)
    turns = slew.turning_points()
    assert len(turns) == 2
    # Before the end by sqrt(2 r / j), and by r t 2/3 beyond where it ends.
    before_end = (2.0 * rate / limits.jerk) ** 0.5
    assert profile.seconds - turns[1] == pytest.approx(before_end, abs=1e-4)
    assert slew.at(turns[1]) == pytest.approx(-2.0 / 3.0 * rate * before_end, abs=1e-9)


def test_slopes_add_up():
    worm = gears.Gears(160, worm=((gears.Wave(12.0, 100.0 * ARCSEC, 0.0),),) * 2)
    assert worm.slopes() == pytest.approx(100.0 * ARCSEC * 160 * 12, abs=1e-12)
