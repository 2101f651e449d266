//! What somebody learns of the gears: a correction of the periodic error, and the play.

use super::{Verdict, hold, near};
use crate::night::Case;
use bench::{CorrectionRow, Outcome, PeriodicRow};

/// One turn of a worm of 160 teeth at the sidereal rate, seconds: the mean sidereal day over the teeth (Aoki et al., Astronomy and
/// Astrophysics 105 (1982) 359, from memory).
const TURN: f64 = 86_164.090_5 / 160.0;

fn correction(outcome: &Outcome) -> Result<&CorrectionRow, String> {
    outcome.correction.as_ref().ok_or_else(|| "nothing was recorded".to_owned())
}

fn left(outcome: &Outcome) -> Result<PeriodicRow, String> {
    let row = correction(outcome)?;
    hold(row.result == "kept", &format!("the recording ended {}", row.result))?;
    row.left.ok_or_else(|| "the recording came to no end".to_owned())
}

/// The same draws, twice as large: what they leave is twice as much. Without any air 0.02″ are left of the worm.
pub fn twice_the_seeing(case: &Case) -> Verdict {
    let (base, changed) = (left(&case.base)?.rms.arcsec(), left(&case.changed)?.rms.arcsec());
    hold(base > 0.5, "the air leaves nothing")?;
    near("left_rms_arcsec, as a ratio", changed / base, 2.0, 0.1)
}

/// The recording lasts as many turns of the worm as are asked for, and its end is heard at once.
pub fn one_turn_more(case: &Case) -> Verdict {
    for (outcome, turns) in [(&case.base, 1.0), (&case.changed, 2.0)] {
        left(outcome)?;
        let row = correction(outcome)?;
        let (Some(begin), Some(end)) = (row.begin, row.end) else { return Err("it has no time".to_owned()) };
        near("turns", row.turns as f64, turns, 0.0)?;
        near("seconds", (end - begin).seconds(), turns * TURN, 0.01)?;
    }
    Ok(())
}

pub fn the_star_that_is_guided(case: &Case) -> Verdict {
    left(&case.changed)?;
    let stars = [correction(&case.base)?.star.as_deref(), correction(&case.changed)?.star.as_deref()];
    hold(stars == [Some("Rigel"), Some("Procyon")], &format!("the stars are {stars:?}"))
}

/// A reading in twice the time: half of the 53 corrections that 538 s have room for.
pub fn half_the_corrections(case: &Case) -> Verdict {
    let (base, changed) = (correction(&case.base)?.corrections, correction(&case.changed)?.corrections);
    near("corrections every 10 s", base as f64, 53.0, 1.0)?;
    near("corrections every 20 s", changed as f64, 26.0, 1.0)
}

/// What isn't played back corrects nothing.
pub fn not_played(case: &Case) -> Verdict {
    let (base, changed) = (correction(&case.base)?, correction(&case.changed)?);
    hold(base.played && !changed.played && changed.kept_at_end, "it is played, or not kept")?;
    near("left_rms_arcsec", left(&case.changed)?.rms.arcsec(), 15.0 / 2.0_f64.sqrt(), 0.001)?;
    hold(left(&case.base)?.rms.arcsec() < 3.0, "played back, it corrects nothing either")
}

/// Each round of a perfect person tells the play of 150″ of the declination axis.
pub fn three_rounds(case: &Case) -> Verdict {
    for (outcome, rounds) in [(&case.base, 1), (&case.changed, 3)] {
        let [hour, declination] = &outcome.plays[..] else { return Err("nothing was measured".to_owned()) };
        hold(hour.rounds == rounds && declination.rounds == rounds, "the rounds are others")?;
        hold(declination.scatter.is_some() == (rounds > 1), "one round has no scatter, three have one")?;
        let measured = declination.measured.map_or(f64::NAN, |play| play.arcsec());
        // A key is let go within a millisecond, 0.03″.
        near("measured_arcsec", measured, 150.0, 0.1)?;
    }
    Ok(())
}

pub fn the_star_of_the_play(case: &Case) -> Verdict {
    let star = |outcome: &Outcome| outcome.plays.first().and_then(|row| row.star.clone());
    let stars = [star(&case.base), star(&case.changed)];
    hold(stars == [Some("Regulus".to_owned()), Some("Castor".to_owned())], &format!("they are {stars:?}"))
}

/// Whoever sets no take-up leaves the mount as it was.
pub fn not_taken_up(case: &Case) -> Verdict {
    let taken_up =
        |outcome: &Outcome| outcome.plays.get(1).and_then(|row| row.take_up).map(|angle| angle.arcsec());
    near("take_up_arcsec", taken_up(&case.base).unwrap_or(f64::NAN), 150.0, 0.1)?;
    hold(taken_up(&case.changed).is_none(), "the take-up was set")
}
