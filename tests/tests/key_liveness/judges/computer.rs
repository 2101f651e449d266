//! The mount's own settings.

use super::{Verdict, hold, hour_and_declination, near};
use crate::judges::clock::PER_SECOND;
use crate::night::{Case, EAST, GROUND, WEST, look, prepared};
use bench::{GotoOutcome, Outcome};
use tests::mount::Mount;
use units::Angle;

fn aside(outcome: &Outcome, target: usize) -> f64 {
    let look = look(outcome, target);
    (look.axes.1 - look.dials.1).arcsec()
}

/// The declination axis comes down from home: it hangs half of its play of 100″ above its dial. Where it is to arrive
/// northward it goes past the target and returns, and is pushed: half of it below.
pub fn the_last_way_takes_up_the_play(case: &Case) -> Verdict {
    near("before, arcsec", aside(&case.base, EAST), 50.0, 1e-3)?;
    near("after, arcsec", aside(&case.changed, EAST), -50.0, 1e-3)
}

/// Going only 36″ past the target doesn't cross the play: the axis was half the play above the lowest dial, and stays.
pub fn too_short_an_overshoot(case: &Case) -> Verdict {
    near("before, arcsec", aside(&case.base, EAST), -50.0, 1e-3)?;
    near("after, arcsec", aside(&case.changed, EAST), 50.0 - 36.0, 1e-3)
}

/// Under air a clockwork drifts from the star, and a mount that turns both axes by its model doesn't.
pub fn both_axes_follow(case: &Case) -> Verdict {
    let size = |outcome: &Outcome| outcome.dwells[EAST].peak_to_peak.arcsec();
    hold(size(&case.base) > 1.0, "one axis does as well")?;
    // Knots of the model's course are good to 0.01″.
    near("peak_to_peak_arcsec", size(&case.changed), 0.0, 0.03)
}

fn drift(outcome: &Outcome) -> f64 {
    outcome.dwells[EAST].drift.arcsec()
}

/// The Sun's mean rate is 15″ a second, the stars' 15.041″.
pub fn solar_rate(case: &Case) -> Verdict {
    let (_, declination, _) = hour_and_declination(case, EAST);
    // Diurnal aberration, 0.3″ at most, turns by 2.5° in ten minutes: 0.013″ in 600 s.
    near("drift, arcsec/s", drift(&case.base), 0.0, 2.2e-5)?;
    near("drift, arcsec/s", drift(&case.changed), (PER_SECOND - 15.0) * declination.cos(), 3e-5)
}

/// A hundredth more than the stars' rate.
pub fn custom_rate(case: &Case) -> Verdict {
    let (_, declination, _) = hour_and_declination(case, EAST);
    near(
        "drift, arcsec/s",
        drift(&case.changed) - drift(&case.base),
        0.01 * PER_SECOND * declination.cos(),
        2e-4,
    )
}

/// The other position of one direction: half a turn of the hour axis, the declination axis mirrored.
pub fn the_other_position(case: &Case) -> Verdict {
    let (before, after) = case.looks(WEST);
    hold((before.solution, after.solution) == ("through-pole", "direct"), "the solutions are others")?;
    let turned = PER_SECOND * (after.at - before.at).seconds() / 3600.0;
    // A milliarcsecond of diurnal aberration while the slews differ.
    near("hour_dial_deg", after.dials.0.degrees() - before.dials.0.degrees() - turned, 180.0, 1e-5)?;
    near("declination_dial_deg", after.dials.1.degrees() + before.dials.1.degrees(), 180.0, 1e-5)
}

/// Three directions over the ground, of which the last makes both axes turn back: a motor that runs on by 150″ where it turns
/// back throws the axis of a mount without play that far aside of where it was.
fn thrown(case: &Case, first_axis: bool) -> Verdict {
    let mut thrown = false;
    for target in 0..case.base.gotos.len() {
        let (before, after) = case.looks(target);
        let shift = if first_axis { after.axes.0 - before.axes.0 } else { after.axes.1 - before.axes.1 };
        let other = if first_axis { after.axes.1 - before.axes.1 } else { after.axes.0 - before.axes.0 };
        near("of the other axis, arcsec", other.arcsec(), 0.0, 1e-3)?;
        if shift.abs() > Angle::from_arcsec(1.0) {
            hold(target > 0, "an axis that never turned back is thrown aside")?;
            near("thrown aside, arcsec", shift.arcsec().abs(), 150.0, 1e-3)?;
            thrown = true;
        }
    }
    hold(thrown, "nothing is taken up")
}

pub fn first_axis_thrown(case: &Case) -> Verdict {
    thrown(case, true)
}

pub fn second_axis_thrown(case: &Case) -> Verdict {
    thrown(case, false)
}

/// At the end of its range the mount rests; told to flip it goes over and tracks on, so that a perfect one never leaves.
pub fn flips(case: &Case) -> Verdict {
    let last = |outcome: &Outcome| outcome.samples.last().copied();
    let (Some(before), Some(after)) = (last(&case.base), last(&case.changed)) else {
        return Err("there are no samples".to_owned());
    };
    hold(before.error_east.abs() > Angle::from_degrees(1.0), "the mount has not stopped")?;
    // Within five hours annual aberration moves by 20.5″ · 2π · 5/8766 = 0.07″.
    near("error_east_arcsec", after.error_east.arcsec(), 0.0, 0.1)?;
    hold(after.dials.0.degrees() < -90.0 && after.dials.1.degrees() > 90.0, "it has not gone over")
}

/// The mount refuses a target, and says why.
fn refused(case: &Case, target: usize, because: &str) -> Verdict {
    hold(case.base.gotos[target].outcome == GotoOutcome::Arrived, "it was not reached before either")?;
    let row = &case.changed.gotos[target];
    hold(row.outcome == GotoOutcome::Refused, &format!("the outcome is {}", row.outcome.word()))?;
    let sentence = row.refusal.as_deref().unwrap_or_default();
    hold(sentence.contains(because), &format!("it says: {sentence}"))
}

pub fn too_low(case: &Case) -> Verdict {
    refused(case, GROUND, "from 40.4 deg to 90.0 deg")
}

pub fn too_high(case: &Case) -> Verdict {
    refused(case, EAST, "to 45.0 deg")
}

pub fn too_near_the_zenith(case: &Case) -> Verdict {
    refused(case, 1, "zenith")
}

pub fn too_near_the_sun(case: &Case) -> Verdict {
    refused(case, 1, "Sun")
}

/// Ten degrees beyond the south are reached from the north by the east, or the other way round where the cable is short.
pub fn the_cable_decides(case: &Case) -> Verdict {
    let (before, after) = case.looks(1);
    near("azimuth_dial_deg", before.dials.0.degrees(), 190.0, 1e-6)?;
    near("azimuth_dial_deg", after.dials.0.degrees(), -170.0, 1e-6)
}

/// Half of a slew's time is half of both ways if the axes arrive together; otherwise the one with the shorter way has arrived.
pub fn axes_arrive_together(case: &Case) -> Verdict {
    let half_way = |settings: &[crate::night::Setting]| -> Result<(f64, f64), String> {
        let prepared = prepared(settings).map_err(|_| "the night is refused".to_owned())?;
        let mut mount = Mount::new(prepared.world_spec().clone());
        let seconds = mount.seconds("goto hour_axis=-60deg declination_axis=80deg", "seconds");
        // 30°: D/v + v/a + a/j; printed to a millisecond.
        near("seconds", seconds, 10.0 + 1.5 + 1.0 / 3.0, 6e-4)?;
        mount.wait((10.0 + 1.5 + 1.0 / 3.0) / 2.0);
        Ok((mount.degrees("axes", "hour_dial"), mount.degrees("axes", "declination_dial")))
    };
    let (hour, declination) = half_way(&[])?;
    near("hour_dial half way", hour, -75.0, 1e-6)?;
    near("declination_dial half way", declination, 80.0, 1e-6)?;
    let (hour, declination) = half_way(&[case.change()])?;
    near("hour_dial half way", hour, -75.0, 1e-6)?;
    near("declination_dial half way", declination, 85.0, 1e-6)
}
