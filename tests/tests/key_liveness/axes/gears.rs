//! Gears: worm, reducer, wheel, and the recorded correction.

use super::{AxisRow, Case, Turner, row};
use crate::judges::{Verdict, hold, near};
use crate::night::Setting;
use units::maths;

const WORM: Setting =
    ("periodic_error", "[{ harmonic = 1.0, amplitude = \"12 arcsec\", phase = \"40 deg\" }]");
const REDUCER: Setting =
    ("reducer_error", "[{ order = 1.37, amplitude = \"10 arcsec\", phase = \"25 deg\" }]");
const OTHER_FLANK: Setting =
    ("periodic_error_other_flank", "[{ harmonic = 2.0, amplitude = \"6 arcsec\", phase = \"10 deg\" }]");
const FLANKS: &[Setting] = &[WORM, OTHER_FLANK, ("backlash", "\"100 arcsec\"")];
const ECCENTRIC: &[Setting] = &[("wheel_eccentricity", "\"30 arcsec\""), ("wheel_phase", "\"20 deg\"")];
const CORRECTED: &[Setting] = &[WORM, ("error_correction", "\"on\""), ("error_correction_turns", "4")];
const IMPERFECTLY: &[Setting] = &[REDUCER, ("error_correction", "\"on\""), ("error_correction_turns", "4")];

pub const ROWS: &[AxisRow] = &[
    row("teeth", &[WORM], "144", |case| {
        worm(&mut case.before(), 160.0, 1.0, 12.0, 40.0)?;
        worm(&mut case.after(), 144.0, 1.0, 12.0, 40.0)
    }),
    row("periodic_error[0].harmonic", &[WORM], "3.0", |case| worm(&mut case.after(), 160.0, 3.0, 12.0, 40.0)),
    row("periodic_error[0].amplitude", &[WORM], "\"20 arcsec\"", |case| {
        worm(&mut case.after(), 160.0, 1.0, 20.0, 40.0)
    }),
    row("periodic_error[0].phase", &[WORM], "\"100 deg\"", |case| {
        worm(&mut case.after(), 160.0, 1.0, 12.0, 100.0)
    }),
    row("reducer_error[0].order", &[REDUCER], "2.61", |case| {
        worm(&mut case.before(), 160.0, 1.37, 10.0, 25.0)?;
        worm(&mut case.after(), 160.0, 2.61, 10.0, 25.0)
    }),
    row("reducer_error[0].amplitude", &[REDUCER], "\"7 arcsec\"", |case| {
        worm(&mut case.after(), 160.0, 1.37, 7.0, 25.0)
    }),
    row("reducer_error[0].phase", &[REDUCER], "\"200 deg\"", |case| {
        worm(&mut case.after(), 160.0, 1.37, 10.0, 200.0)
    }),
    row("periodic_error_other_flank[0].harmonic", FLANKS, "3.0", |case| flanks(case, 3.0, 6.0, 10.0)),
    row("periodic_error_other_flank[0].amplitude", FLANKS, "\"9 arcsec\"", |case| {
        flanks(case, 2.0, 9.0, 10.0)
    }),
    row("periodic_error_other_flank[0].phase", FLANKS, "\"70 deg\"", |case| flanks(case, 2.0, 6.0, 70.0)),
    row("wheel_eccentricity", ECCENTRIC, "\"50 arcsec\"", |case| {
        wheel(&mut case.before(), 30.0, 20.0)?;
        wheel(&mut case.after(), 50.0, 20.0)
    }),
    row("wheel_phase", ECCENTRIC, "\"80 deg\"", |case| wheel(&mut case.after(), 30.0, 80.0)),
    row("tooth_noise", &[("tooth_noise", "\"10 arcsec\"")], "\"20 arcsec\"", teeth),
    row("error_correction", CORRECTED, "\"off\"", |case| {
        // Straight lines between 64 bins leave a·(π/64)²/2 = 0.0012 a; and as the corrected worm stands elsewhere than the one
        // that was recorded, up to a · (N a)/2 = 12″ · 0.0093/2.
        for place in PLACES {
            near("corrected, arcsec", case.before().aside(place), 0.0, 0.015 + 0.056)?;
        }
        worm(&mut case.after(), 160.0, 1.0, 12.0, 40.0)
    }),
    row("error_correction_turns", IMPERFECTLY, "1", correction_turns),
    row("worm_index", CORRECTED, "false", worm_index),
];

/// Angles that are no multiples of anything.
const PLACES: [f64; 5] = [11.3, 17.72, 29.05, 41.191, 57.9];

fn sine_of_degrees(degrees: f64) -> f64 {
    maths::sincos(degrees.to_radians()).0
}

/// An error of the worm, or of the stages before it: a · sin(order · N ψ + p), N being the teeth.
fn worm(turner: &mut Turner, teeth: f64, order: f64, amplitude: f64, phase: f64) -> Verdict {
    for place in PLACES {
        let expected = amplitude * sine_of_degrees(order * teeth * turner.dial_of(place) + phase);
        // Printed dials are good to 4e-5″, and a motion over N teeth multiplies nothing.
        near("true angle minus dial, arcsec", turner.aside(place), expected, 1e-3)?;
    }
    Ok(())
}

/// Reached from above, the axis rests on the other flank, half the play of 100″ higher, with that flank's error.
fn flanks(case: &Case, order: f64, amplitude: f64, phase: f64) -> Verdict {
    let mut turner = case.after();
    for place in PLACES {
        let angle = 160.0 * turner.dial_of(place);
        turner.go(place - 2.0);
        let driving = 12.0 * sine_of_degrees(angle + 40.0) - 50.0;
        near("reached from below, arcsec", turner.aside(place), driving, 1e-3)?;
        turner.go(place + 2.0);
        let leading = amplitude * sine_of_degrees(order * angle + phase) + 50.0;
        near("reached from above, arcsec", turner.aside(place), leading, 1e-3)?;
    }
    Ok(())
}

/// An eccentric wheel: e · sin(y + p), and an oval of 0.3 e whose phase a perfect mount has at zero.
fn wheel(turner: &mut Turner, eccentricity: f64, phase: f64) -> Verdict {
    for place in PLACES {
        let dial = turner.dial_of(place);
        let expected = eccentricity * (sine_of_degrees(dial + phase) + 0.3 * sine_of_degrees(2.0 * dial));
        near("true angle minus dial, arcsec", turner.aside(place), expected, 1e-3)?;
    }
    Ok(())
}

/// Twenty teeth of a normal distribution: twice the sigma is twice each tooth, from the same stream of the same seed; and
/// the root mean square is sigma within 1/√40 · 3 of itself (three deviations of it).
fn teeth(case: &Case) -> Verdict {
    let (mut before, mut after) = (case.before(), case.after());
    let mut squares = 0.0;
    for tooth in 0..20 {
        // At a tooth's own middle, where the joining cubics go through it.
        let place = f64::from(tooth) * 2.25 + (2.25 - before.dial_of(0.0) % 2.25) % 2.25;
        let (one, two) = (before.aside(place), after.aside(place));
        near("of twice the noise, arcsec", two, 2.0 * one, 1e-3)?;
        squares += one * one;
    }
    near("root mean square of the teeth, arcsec", (squares / 20.0).sqrt(), 10.0, 10.0 * 3.0 / 40.0_f64.sqrt())
}

/// A stage of order ρ that doesn't repeat with the worm keeps |sin πρK / (K sin πρ)| of its amplitude in a table over K
/// turns: with ρ = 1.37 all of it after one turn, 0.272 after four. The table is what is left beside the stage's own wave.
fn correction_turns(case: &Case) -> Verdict {
    let table = |mut turner: Turner| -> f64 {
        let mut greatest = 0.0_f64;
        // 24 places of one turn of the worm.
        for step in 0..24 {
            let place = 30.0 + 2.25 * f64::from(step) / 24.0;
            let stage = 10.0 * sine_of_degrees(1.37 * 160.0 * turner.dial_of(place) + 25.0);
            greatest = greatest.max((turner.aside(place) - stage).abs());
        }
        greatest
    };
    // The straight trend is taken off: turns' means of up to |sin πρ / πρ| of 10″ are no wave of the worm, and tilt the table by
    // half of their slope of an arcsecond or so a turn.
    near("a table over four turns, arcsec", table(case.before()), 2.72, 0.8)?;
    let one = table(case.after());
    hold((5.0..13.0).contains(&one), &format!("a table over one turn has {one} arcsec"))
}

/// With an index mark the correction outlives a loss of power; without, the worm's error is back: its amplitude by four
/// places a quarter of a turn apart, since the dial has another zero now.
fn worm_index(case: &Case) -> Verdict {
    let amplitude = |mut turner: Turner| {
        turner.go(30.0);
        turner.cut_power();
        let quarter = 360.0 / 160.0 / 4.0;
        let mut angles = [0.0; 4];
        for (step, angle) in angles.iter_mut().enumerate() {
            *angle = (turner.turn_by(quarter) - quarter * step as f64) * 3600.0;
        }
        let [first, second, third, fourth] = angles;
        let (half, other) = ((first - third) / 2.0, (second - fourth) / 2.0);
        (half * half + other * other).sqrt()
    };
    near("amplitude with a mark, arcsec", amplitude(case.before()), 0.0, 0.06)?;
    near("amplitude without, arcsec", amplitude(case.after()), 12.0, 0.01)
}
