//! Slips of the keyboard that the first sightings give away: hour, zone, date, sign of longitude or latitude, home mark.
//!
//! Each possible slip is tried: where would the machine have believed the stars to stand without it, and would the sightings
//! then fit what is expected of the mount? Several slips often explain the same stars (one star can't tell clock, zone,
//! longitude and home mark apart), so the answer is a question, never an assertion.

use crate::error::FitError;
use crate::model::celestial_pole;
use crate::parameters::{FIRST_ZERO, Frame, SECOND_ZERO};
use crate::priors::{Priors, Reference};
use crate::rows::{Prepared, project, tangents};
use crate::sighting::Sighting;
use kinematics::{AxisAngles, Kind, frames};
use nalgebra::{DMatrix, DVector, Vector3};
use std::fmt;
use units::{Angle, AngularRate, maths};

/// What may have been entered wrongly.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Slip {
    /// The clock is an hour fast (+1) or slow (−1): daylight saving, or the hour itself.
    Hour(i8),
    /// The zone is off by so many quarters of an hour; positive makes the clock fast.
    Zone(i16),
    /// The date is off by so many days; positive is late.
    Date(i16),
    /// Day and month were exchanged.
    DayAndMonth,
    /// East was entered as west.
    LongitudeSign,
    /// North was entered as south.
    LatitudeSign,
    /// The mark of the first axis isn't where home is: true angle minus dial.
    FirstMark(Angle),
    /// The mark of the second axis isn't where home is: true angle minus dial.
    SecondMark(Angle),
}

/// A slip that would explain the stars.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Explanation {
    /// What may have been entered wrongly.
    pub slip: Slip,
    /// Its share of the probability among all explanations found, by how often such slips happen and how well each fits.
    pub share: f64,
}

/// The first stars don't stand where they should, and these slips would explain it.
#[derive(Clone, Debug, PartialEq)]
pub struct Question {
    /// How many stars it rests on.
    pub stars: usize,
    /// How far west of where they should be the stars stand, on average, as an hour angle; negative is east.
    pub west: Angle,
    /// What may explain it, the likeliest first; empty if nothing does.
    pub explanations: Vec<Explanation>,
}

/// Below this chance the stars don't fit what is expected of the mount.
const DOUBTFUL: f64 = 1e-3;
/// Above this chance a slip explains them.
const EXPLAINS: f64 = 1e-2;
/// How many explanations are worth asking about.
const ASKED: usize = 4;

/// How often a slip happens (our own estimates: common practice, no source).
fn frequency(slip: Slip) -> f64 {
    match slip {
        Slip::Hour(_) => 0.06,
        Slip::Zone(quarters) if quarters % 4 == 0 => 0.001,
        Slip::Zone(_) => 0.000_1,
        Slip::Date(days) if days.abs() == 1 => 0.005,
        Slip::Date(_) => 0.000_3,
        Slip::DayAndMonth | Slip::LongitudeSign => 0.02,
        Slip::LatitudeSign => 0.005,
        Slip::FirstMark(_) | Slip::SecondMark(_) => 0.01,
    }
}

/// Asks what was entered wrongly if the first sightings don't fit what is expected of the mount.
///
/// `longitude` is the one that was entered, positive east. `None`: they fit, nothing is to be asked.
///
/// # Errors
/// A sighting or setting that is unusable. Stars below the horizon are welcome here: with a wrong hour they happen.
pub fn questions(
    kind: Kind,
    latitude: Angle,
    longitude: Angle,
    priors: &Priors,
    sightings: &[Sighting],
) -> Result<Option<Question>, FitError> {
    crate::checks::settings(latitude, priors)?;
    for (index, sighting) in sightings.iter().enumerate() {
        if let Some(what) = crate::checks::unusable(sighting) {
            return Err(FitError::NotFinite { index, name: sighting.name.clone(), what });
        }
    }
    if sightings.is_empty() {
        return Err(FitError::TooFew { needed: 1, given: 0 });
    }
    let setting = Setting { kind, latitude, priors, sightings };
    if setting.chance(latitude, None, |_, v| v, |dials| dials).0 > DOUBTFUL {
        return Ok(None);
    }
    let mut found = setting.explanations(longitude);
    found.sort_by(|a, b| b.share.total_cmp(&a.share));
    let total: f64 = found.iter().map(|one| one.share).sum();
    for one in &mut found {
        one.share /= total;
    }
    found.truncate(ASKED);
    Ok(Some(Question { stars: sightings.len(), west: setting.west(), explanations: found }))
}

struct Setting<'a> {
    kind: Kind,
    latitude: Angle,
    priors: &'a Priors,
    sightings: &'a [Sighting],
}

impl Setting<'_> {
    /// How far west of belief the stars stand by the dials of the expected mount.
    fn west(&self) -> Angle {
        let chain = Frame::new(self.kind, self.latitude).chain(&self.priors.mean);
        let to_equator = frames::equatorial_to_topocentric(self.latitude).transpose();
        let hour = |v: &Vector3<f64>| frames::hour_and_declination(&(to_equator * v)).0;
        let offsets = self.sightings.iter().map(|sighting| {
            let seen = hour(&chain.boresight_from_dials(sighting.dials));
            (seen - hour(&sighting.direction)).wrapped_signed().radians()
        });
        Angle::from_radians(offsets.sum::<f64>() / self.sightings.len() as f64)
    }

    /// The chance of sightings at least so far off, and the likelihood (up to a constant factor), if the machine's
    /// beliefs were changed like this. `free` is a term about which nothing is expected; its best value comes third.
    fn chance(
        &self,
        latitude: Angle,
        free: Option<usize>,
        direction: impl Fn(&Sighting, Vector3<f64>) -> Vector3<f64>,
        dials: impl Fn(AxisAngles) -> AxisAngles,
    ) -> (f64, f64, Angle) {
        let frame = Frame::new(self.kind, latitude);
        let prepared = Prepared::new(&frame, &self.priors.mean);
        let pole = celestial_pole(latitude);
        let count = self.sightings.len();
        let reference = Reference::of(self.sightings);
        let mut rows = DMatrix::zeros(2 * count, 7);
        let mut off = DVector::zeros(2 * count);
        let mut noise = DMatrix::zeros(2 * count, 2 * count);
        for (k, sighting) in self.sightings.iter().enumerate() {
            let linearised = prepared.linearised(dials(sighting.dials));
            let (east, north) = tangents(&linearised.direction, &pole);
            let believed = direction(sighting, sighting.direction);
            let (e, n) = frames::tangent_offset(&linearised.direction, &believed, &pole);
            off[2 * k] = e.radians();
            off[2 * k + 1] = n.radians();
            rows.view_mut((2 * k, 0), (2, 7)).copy_from(&project(&linearised.columns, &east, &north));
            let variance = self.priors.variance(sighting, &reference);
            noise[(2 * k, 2 * k)] = variance;
            noise[(2 * k + 1, 2 * k + 1)] = variance;
        }
        let mut covariance = self.priors.covariance;
        if let Some(term) = free {
            // A radian of spread: anything that is not absurd.
            covariance[(term, term)] += 1.0;
        }
        let known = DMatrix::from_fn(7, 7, |i, j| covariance[(i, j)]);
        let spread = &rows * &known * rows.transpose() + noise;
        let Some(factor) = spread.cholesky() else {
            return (0.0, 0.0, Angle::ZERO);
        };
        let solved = factor.solve(&off);
        let squared = off.dot(&solved);
        let best = free.map_or(0.0, |term| known.row(term).dot(&(rows.transpose() * solved).transpose()));
        (chi_square_chance(squared, count), maths::exp(-squared / 2.0), Angle::from_radians(best))
    }

    /// All slips that would explain the stars, each with its weight.
    fn explanations(&self, longitude: Angle) -> Vec<Explanation> {
        let mut found = Vec::new();
        let mut note = |slip: Slip, (chance, likelihood, _): (f64, f64, Angle)| {
            if chance > EXPLAINS {
                found.push(Explanation { slip, share: frequency(slip) * likelihood });
            }
        };
        for (slip, fast) in self.turns(longitude) {
            // The machine believed the stars further west than they were: turn them back about the celestial pole.
            let pole = celestial_pole(self.latitude);
            let back = crate::parameters::rotation(&(pole * fast.wrapped_signed().radians()));
            note(slip, self.chance(self.latitude, None, |_, v| back * v, |dials| dials));
        }
        if self.latitude.abs() > Angle::from_degrees(1.0) {
            let other = -self.latitude;
            let turn = frames::equatorial_to_topocentric(other)
                * frames::equatorial_to_topocentric(self.latitude).transpose();
            // Home of a German mount is at the elevated pole: the dial was set to the wrong one.
            let half = if self.kind == Kind::GermanEquatorial { Angle::HALF } else { Angle::ZERO };
            let reset = |dials: AxisAngles| AxisAngles { second: dials.second + half, ..dials };
            note(Slip::LatitudeSign, self.chance(other, None, |_, v| turn * v, reset));
        }
        for term in [FIRST_ZERO, SECOND_ZERO] {
            if let Some(slip) = self.mark(term) {
                // The frequency is spread over the turn, so that a mark doesn't win by fitting anything.
                found.push(slip);
            }
        }
        found
    }

    /// A mark that is off by any angle, found by stepping towards its best value.
    fn mark(&self, term: usize) -> Option<Explanation> {
        let mut offset = Angle::ZERO;
        for _ in 0..12 {
            let moved = |dials: AxisAngles| match term {
                FIRST_ZERO => AxisAngles { first: dials.first + offset, ..dials },
                _ => AxisAngles { second: dials.second + offset, ..dials },
            };
            let (_, _, step) = self.chance(self.latitude, Some(term), |_, v| v, moved);
            offset += step;
            if !offset.is_finite() || step.abs() < Angle::from_arcsec(1.0) {
                break;
            }
        }
        let moved = |dials: AxisAngles| match term {
            FIRST_ZERO => AxisAngles { first: dials.first + offset, ..dials },
            _ => AxisAngles { second: dials.second + offset, ..dials },
        };
        let (chance, likelihood, _) = self.chance(self.latitude, Some(term), |_, v| v, moved);
        let offset = offset.wrapped_signed();
        let slip = if term == FIRST_ZERO { Slip::FirstMark(offset) } else { Slip::SecondMark(offset) };
        (chance > EXPLAINS).then(|| Explanation { slip, share: frequency(slip) * likelihood })
    }

    /// Slips that turn the sky about its pole, with the hour angle by which belief would be too far west.
    fn turns(&self, longitude: Angle) -> Vec<(Slip, Angle)> {
        let hour = Angle::from_degrees(AngularRate::SIDEREAL.degrees() * 3600.0);
        let day = Angle::from_degrees(360.0 * (AngularRate::SIDEREAL_TURNS_PER_UT1_DAY - 1.0));
        let mut turns = vec![(Slip::Hour(1), hour), (Slip::Hour(-1), -hour)];
        // Zones lie between −12 h and +14 h, so a mistake can be up to 26 h; a whole day more is a date.
        for quarters in (-56_i16..=56).filter(|quarters| quarters.abs() > 1 && quarters.abs() != 4) {
            turns.push((Slip::Zone(quarters), hour * (f64::from(quarters) / 4.0)));
        }
        for days in [-365_i16, -31, -30, -10, -7, -2, -1, 1, 2, 7, 10, 30, 31, 365] {
            turns.push((Slip::Date(days), day * f64::from(days)));
        }
        if let Some(days) = self.sightings.first().and_then(days_if_exchanged) {
            turns.push((Slip::DayAndMonth, day * days));
        }
        if longitude.abs() > Angle::from_degrees(0.1) {
            turns.push((Slip::LongitudeSign, longitude * 2.0));
        }
        turns
    }
}

/// By how many days the believed date is late if day and month were exchanged; `None` where they can't have been.
fn days_if_exchanged(sighting: &Sighting) -> Option<f64> {
    let believed = sky::time::utc_from_instant(sighting.at).ok()?;
    if believed.day > 12 || believed.day == believed.month {
        return None;
    }
    let exchanged = sky::time::Utc { day: believed.month, month: believed.day, ..believed };
    let other = sky::time::instant_from_utc(&exchanged).ok()?;
    Some(sighting.at.since(other).hours() / 24.0)
}

/// The chance of a χ² with 2·pairs degrees of freedom beyond this: e^(−x/2) Σ (x/2)^k/k! (exact for even degrees).
pub(crate) fn chi_square_chance(squared: f64, pairs: usize) -> f64 {
    let half = squared / 2.0;
    let mut term = 1.0;
    let mut sum = 1.0;
    for k in 1..pairs {
        term *= half / k as f64;
        sum += term;
    }
    maths::exp(-half) * sum
}

impl fmt::Display for Slip {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let way = |fast: bool| if fast { "fast" } else { "slow" };
        match *self {
            Self::Hour(hours) => {
                write!(f, "is the clock an hour {} (daylight saving, or the zone)", way(hours > 0))
            }
            Self::Zone(quarters) => {
                write!(f, "is the zone off by {} h", f64::from(quarters.abs()) / 4.0)
            }
            Self::Date(days) => {
                let plural = if days.abs() == 1 { "day" } else { "days" };
                let way = if days > 0 { "late" } else { "early" };
                write!(f, "is the date {} {plural} too {way}", days.abs())
            }
            Self::DayAndMonth => f.write_str("were day and month exchanged"),
            Self::LongitudeSign => f.write_str("was east entered for west in the longitude"),
            Self::LatitudeSign => f.write_str("was north entered for south in the latitude"),
            Self::FirstMark(offset) => {
                write!(f, "is the first axis's home mark {:.1} deg off", offset.degrees().abs())
            }
            Self::SecondMark(offset) => {
                write!(f, "is the second axis's home mark {:.1} deg off", offset.degrees().abs())
            }
        }
    }
}

impl fmt::Display for Question {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (who, they) = match self.stars {
            1 => ("this star stands", "it"),
            2 => ("both stars stand", "they"),
            _ => ("the stars stand", "they"),
        };
        let side = if self.west >= Angle::ZERO { "west" } else { "east" };
        write!(
            f,
            "{who} {:.2} deg {side} of where {they} should be by clock and site",
            self.west.degrees().abs()
        )?;
        if self.explanations.is_empty() {
            return f.write_str(": is this the right star, and is the mount at its home mark?");
        }
        for (k, one) in self.explanations.iter().enumerate() {
            write!(f, "{}{}", if k == 0 { ": " } else { ", or " }, one.slip)?;
        }
        f.write_str("?")
    }
}
