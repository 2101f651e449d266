//! What goes wrong in the night, each from its own instant on.

use super::{Verdict, figures, hold, hour_and_declination, near};
use crate::judges::clock::PER_SECOND;
use crate::night::{Case, EAST, Setting, WEST, look};
use bench::{Look, Outcome};
use units::{AngularRate, Span, maths};

/// What the night is without its troubles.
const CALM: &[Setting] = &[("disturb", "[]")];

/// A knock that comes later leaves the first look alone, and is in the second as it was.
pub fn strikes_when_it_says(case: &Case) -> Verdict {
    let calm = case.base_with(CALM);
    let (early, late) = case.looks(EAST);
    hold(early.miss.arcsec() > 10.0, "the early knock is not in the first look")?;
    near("miss_arcsec of the first look", late.miss.arcsec(), look(&calm, EAST).miss.arcsec(), 1e-6)?;
    let (early, late) = case.looks(WEST);
    near("miss_arcsec of the second look", late.miss.arcsec(), early.miss.arcsec(), 0.01)
}

/// A knock stays; a stiff mount that is bumped springs back at once. The result tells either by its word.
pub fn a_bump_springs_back(case: &Case) -> Verdict {
    let kinds = |outcome: &Outcome| outcome.faults.iter().map(|fault| fault.kind.clone()).collect::<Vec<_>>();
    hold(kinds(&case.base) == ["knock"] && kinds(&case.changed) == ["bump"], "the faults are not told")?;
    let calm = case.base_with(CALM);
    for target in [EAST, WEST] {
        let (knocked, bumped) = case.looks(target);
        hold(knocked.miss.arcsec() > 10.0, "the knock is not seen")?;
        near("miss_arcsec", bumped.miss.arcsec(), look(&calm, target).miss.arcsec(), 1e-6)?;
    }
    Ok(())
}

/// An axis of an alt-azimuth mount that was knocked by two arcminutes stands two aside from its dial.
fn aside(look: &Look) -> [f64; 2] {
    [(look.axes.0 - look.dials.0).arcsec(), (look.axes.1 - look.dials.1).arcsec()]
}

pub fn azimuth_knocked(case: &Case) -> Verdict {
    knocked_aside(case, [120.0, 0.0])
}

pub fn altitude_knocked(case: &Case) -> Verdict {
    knocked_aside(case, [0.0, 120.0])
}

fn knocked_aside(case: &Case, expected: [f64; 2]) -> Verdict {
    let (before, after) = case.looks(EAST);
    for ((before, after), expected) in aside(before).into_iter().zip(aside(after)).zip(expected) {
        // Both are added up as doubles of some radians.
        near("true axis minus dial, arcsec", before, 0.0, 1e-6)?;
        near("true axis minus dial, arcsec", after, expected, 1e-6)?;
    }
    Ok(())
}

/// The mount believes that it is four seconds later than it is, from the jump on.
pub fn clock_jumps(case: &Case) -> Verdict {
    let (_, declination, _) = hour_and_declination(case, WEST);
    let (before, after) = case.looks(WEST);
    let east = (after.miss_east - before.miss_east).arcsec();
    // As for a clock that was wrong from the begin.
    near("miss_east_arcsec", east, -4.0 * PER_SECOND * declination.cos(), 0.01)
}

/// While the hour motor is held for so long the sky turns on; the rotor falls back by whole electrical periods.
fn lost(outcome: &Outcome) -> f64 {
    let dwell = |at: f64| {
        let begin = outcome.dwells[EAST].begin;
        outcome
            .samples
            .iter()
            .rfind(|sample| (sample.at - begin).seconds() <= at)
            .map(|one| one.axes.0 - one.dials.0)
    };
    let (before, after) = (dwell(100.0), dwell(590.0));
    match (before, after) {
        (Some(before), Some(after)) => (before - after).arcsec(),
        _ => f64::NAN,
    }
}

/// Four full steps of the reference drive: 1 296 000″ / (50 · 3 · 160).
const ELECTRICAL_PERIOD: f64 = 54.0;

pub fn stalled_longer(case: &Case) -> Verdict {
    for (outcome, seconds) in [(&case.base, 20.0), (&case.changed, 60.0)] {
        let lost = lost(outcome);
        near("lost by the hour axis, arcsec", lost, seconds * PER_SECOND, ELECTRICAL_PERIOD)?;
        near(
            "its rest of whole periods",
            (lost / ELECTRICAL_PERIOD).round() * ELECTRICAL_PERIOD,
            lost,
            0.01,
        )?;
    }
    Ok(())
}

/// The declination axis rests while a clockwork tracks: held or not, it loses nothing.
pub fn stalled_axis_at_rest(case: &Case) -> Verdict {
    near("lost by the hour axis, arcsec", lost(&case.base), 20.0 * PER_SECOND, ELECTRICAL_PERIOD)?;
    near("lost by the hour axis, arcsec", lost(&case.changed), 0.0, 1e-6)
}

fn seen(outcome: &Outcome) -> bool {
    outcome.evening.targets[EAST].seen
}

/// The first target, at an azimuth of 111°, is behind the cloud in one night and not in the other.
pub fn hidden_only_before(case: &Case) -> Verdict {
    let azimuth = look(&case.base, EAST).target.0.degrees();
    near("target_azimuth_deg", azimuth, 111.4, 1.0)?;
    hold(!seen(&case.base) && seen(&case.changed), "the cloud hides the target wrongly")
}

/// A steady wind's torque on what gives way goes with the square of its speed: what both axes are pushed aside by.
pub fn wind_squared(case: &Case) -> Verdict {
    blown(case, 4.0)
}

/// From the other side it pushes the other way.
pub fn wind_from_behind(case: &Case) -> Verdict {
    blown(case, -1.0)
}

fn blown(case: &Case, ratio: f64) -> Verdict {
    let (before, after) = case.looks(EAST);
    let (one, other) = (aside(before), aside(after));
    hold(one[0].abs() + one[1].abs() > 0.5, "the wind is too weak to judge")?;
    for axis in 0..2 {
        // The tube turns by arcseconds in it: its area towards the wind stays the same to a millionth.
        near("pushed aside, arcsec", other[axis], ratio * one[axis], 1e-3 * one[axis].abs() + 1e-6)?;
    }
    Ok(())
}

/// Twice the gusts, from the same draws, shake the tube twice as much, to the first order of gust over mean; the square of
/// a gust of 8 % adds some per cent.
pub fn gusts_doubled(case: &Case) -> Verdict {
    let rms = |outcome: &Outcome| outcome.dwells[EAST].rms.arcsec();
    hold(rms(&case.base) > 0.05, "the gusts are too weak to judge")?;
    near("rms_arcsec, as a ratio", rms(&case.changed) / rms(&case.base), 2.0, 0.15)
}

/// What a tripod that sinks has turned the tube by, as parts east and north: the difference to the calm night.
fn sunk(outcome: &Outcome, calm: &Outcome, target: usize) -> [f64; 2] {
    let (one, other) = (look(outcome, target), look(calm, target));
    [(one.miss_east - other.miss_east).arcsec(), (one.miss_north - other.miss_north).arcsec()]
}

/// Twice the size, from the same direction, is twice the turn; a hundredth for the second order of two arcminutes.
pub fn sinks_twice(case: &Case) -> Verdict {
    sinks(case, 2.0)
}

/// After a time t a size of e^(−t/τ) is left to come: half the time constant has turned the base further by the ratio of
/// both courses.
pub fn sinks_sooner(case: &Case) -> Verdict {
    let t = (look(&case.base, WEST).at - case.begin() - Span::from_whole_seconds(5)).seconds();
    let course = |time: f64| 1.0 - maths::exp(-t / time);
    sinks(case, course(600.0) / course(1200.0))
}

fn sinks(case: &Case, ratio: f64) -> Verdict {
    let calm = case.base_with(&[("disturb", "[]"), ("setup.settling", "\"0 arcmin\"")]);
    let (one, other) = (sunk(&case.base, &calm, WEST), sunk(&case.changed, &calm, WEST));
    hold(maths::hypot(one[0], one[1]) > 5.0, "the base has sunk too little to judge")?;
    for part in 0..2 {
        near(
            "turned by sinking, arcsec",
            other[part],
            ratio * one[part],
            0.01 * maths::hypot(one[0], one[1]),
        )?;
    }
    Ok(())
}

/// Cooled by 20 K the play of 100″ closes by 0.45 % a kelvin (the bench's own value), so that the axis, which rests on one
/// flank, stands nearer to its dial by half of nine arcseconds.
pub fn cold_closes_the_play(case: &Case) -> Verdict {
    let (before, after) = case.looks(WEST);
    let shift = aside(after)[0] - aside(before)[0];
    // A tooth further or not: the dials of both looks differ by a fraction of a second of tracking.
    near("shift of the hour axis in its play, arcsec", shift.abs(), 100.0 * 0.0045 * 20.0 / 2.0, 0.1)
}

/// How long that battery lasts, seconds.
const LASTS: f64 = 300.0;

/// A battery that lasts five minutes leaves the night alone until then; from then on the tube rests.
pub fn a_battery_dies(case: &Case) -> Verdict {
    hold(
        figures(&case.base) == figures(&case.base_with(&[("mount.battery_life", "")])),
        "a fresh battery is felt",
    )?;
    let (_, declination, _) = hour_and_declination(case, EAST);
    let begin = case.begin();
    let error = |after: f64| {
        let sample = case.changed.samples.iter().find(|sample| (sample.at - begin).seconds() >= after);
        sample.map_or(f64::NAN, |one| maths::hypot(one.error_east.arcsec(), one.error_north.arcsec()))
    };
    near("error before, arcsec", error(LASTS - 2.0), 0.0, 0.01)?;
    // From the reset on the sky turns away from a tube at rest; a minute's way is a small circle, whose chord lacks 1e-6.
    let expected = AngularRate::SIDEREAL.arcsec() * 60.0 * declination.cos();
    near("error a minute after, arcsec", error(LASTS + 60.0), expected, 2.0 * AngularRate::SIDEREAL.arcsec())
}
