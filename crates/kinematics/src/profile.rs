//! Moves from rest to rest, and stops, in the least time that limits of rate, acceleration and jerk allow.
//!
//! The switching times have closed forms. They are rounded up to whole nanoseconds, and the peaks of rate, acceleration
//! and jerk are then made to fit, so that a move covers its distance to the last bit and keeps every limit.

use crate::path::{Cubic, Path};
use units::{Angle, AngularAcceleration, AngularJerk, AngularRate, Span, maths};

/// What an axis's drive can do, each without sign and above zero.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// The greatest rate.
    pub rate: AngularRate,
    /// The greatest acceleration.
    pub acceleration: AngularAcceleration,
    /// The greatest jerk; without one the acceleration jumps.
    pub jerk: Option<AngularJerk>,
}

impl Limits {
    fn assert_usable(&self) {
        let jerk = self.jerk.map_or(1.0, AngularJerk::radians);
        for limit in [self.rate.radians(), self.acceleration.radians(), jerk] {
            assert!(limit.is_finite() && limit > 0.0, "a limit of motion is a number above zero");
        }
    }
}

/// How long each kind of phase lasts; a move has up to four jerks, two stretches of full acceleration and one cruise.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Phases {
    jerk: Span,
    steady_acceleration: Span,
    cruise: Span,
}

impl Phases {
    fn total(&self) -> Span {
        self.jerk * 4 + self.steady_acceleration * 2 + self.cruise
    }
}

/// A move from rest to rest.
#[derive(Clone, Debug, PartialEq)]
pub struct RestToRest {
    distance: Angle,
    phases: Phases,
    /// Relative to the start, in time and place; empty for a move of no distance.
    pieces: Vec<Cubic>,
}

impl RestToRest {
    /// The quickest move over a signed distance within limits.
    ///
    /// # Panics
    /// If the distance is not finite or a limit is not above zero.
    pub fn new(distance: Angle, limits: &Limits) -> Self {
        limits.assert_usable();
        assert!(distance.is_finite(), "a distance is a number");
        Self::from_phases(distance, quickest_phases(distance.abs().radians(), limits))
    }

    fn from_phases(distance: Angle, phases: Phases) -> Self {
        let pieces =
            if distance == Angle::ZERO { Vec::new() } else { pieces_of(distance.radians(), &phases) };
        Self { distance, phases, pieces }
    }

    /// How far it goes.
    pub fn distance(&self) -> Angle {
        self.distance
    }

    /// How long it takes, in whole nanoseconds: at most 7 ns more than the limits ask for.
    pub fn duration(&self) -> Span {
        if self.pieces.is_empty() { Span::ZERO } else { self.phases.total() }
    }

    /// How long it takes, in seconds.
    pub fn seconds(&self) -> f64 {
        self.duration().seconds()
    }

    /// Where it is, how fast, and how its rate changes, after seconds; at rest before and afterwards.
    pub fn state(&self, seconds: f64) -> (Angle, AngularRate, AngularAcceleration) {
        let at_rest = |place| (place, AngularRate::ZERO, AngularAcceleration::ZERO);
        if seconds < 0.0 {
            return at_rest(Angle::ZERO);
        }
        if self.pieces.is_empty() || seconds >= self.seconds() {
            return at_rest(self.distance);
        }
        let after = self.pieces.partition_point(|piece| piece.begin.seconds() <= seconds);
        let piece = &self.pieces[after.max(1) - 1];
        let t = seconds - piece.begin.seconds();
        let [_, _, c2, c3] = piece.coefficients;
        (
            Angle::from_radians(piece.position_after(t)),
            AngularRate::from_radians(piece.rate_after(t)),
            AngularAcceleration::from_radians(2.0 * c2 + 6.0 * c3 * t),
        )
    }

    /// Its cubic pieces, from time and place zero; none for a move of no distance.
    pub fn pieces(&self) -> &[Cubic] {
        &self.pieces
    }

    /// It as a path from place zero, begun at an instant, ending in rest.
    pub fn path(&self, at: Span) -> Path {
        let mut pieces: Vec<Cubic> = self.pieces.iter().map(|piece| piece.shifted(at, Angle::ZERO)).collect();
        pieces.push(Cubic::hold(at + self.duration(), self.distance));
        Path::from_pieces(pieces)
    }

    /// The same move in exactly this longer time, every phase stretched alike; itself if the time is not longer.
    ///
    /// A stretch by s divides the peak rate by s, acceleration by s², jerk by s³.
    pub fn stretched(&self, duration: Span) -> Self {
        if self.pieces.is_empty() || duration <= self.duration() {
            return self.clone();
        }
        let factor = duration.seconds() / self.seconds();
        // Down to whole nanoseconds, never below what it was: the cruise takes what is left over.
        let longer =
            |span: Span| Span::from_nanoseconds((span.nanoseconds() as f64 * factor) as i64).max(span);
        let mut phases = Phases {
            jerk: longer(self.phases.jerk),
            steady_acceleration: longer(self.phases.steady_acceleration),
            cruise: Span::ZERO,
        };
        phases.cruise = duration - phases.total();
        Self::from_phases(self.distance, phases)
    }
}

/// Two moves that end together: the quicker one stretched.
pub fn synchronised(first: &RestToRest, second: &RestToRest) -> (RestToRest, RestToRest) {
    let together = first.duration().max(second.duration());
    (first.stretched(together), second.stretched(together))
}

/// The phases of the quickest move over `d` radians, rounded up to whole nanoseconds.
fn quickest_phases(d: f64, limits: &Limits) -> Phases {
    let (v, a) = (limits.rate.radians(), limits.acceleration.radians());
    let Some(jerk) = limits.jerk else {
        let (accelerate, cruise) =
            if d >= v * v / a { (v / a, d / v - v / a) } else { ((d / a).sqrt(), 0.0) };
        return phases(0.0, accelerate, cruise);
    };
    let j = jerk.radians();
    if v >= a * a / j {
        let full = a / j;
        if d >= v * v / a + v * full {
            return phases(full, v / a - full, d / v - v / a - full);
        }
        if d >= 2.0 * a * full * full {
            // The peak rate solves p²/a + p·a/j = d.
            let half = a * full / 2.0;
            let peak = (half * half + a * d).sqrt() - half;
            return phases(full, peak / a - full, 0.0);
        }
    } else {
        let ramp = (v / j).sqrt();
        if d >= 2.0 * v * ramp {
            return phases(ramp, 0.0, d / v - 2.0 * ramp);
        }
    }
    phases(maths::cbrt(d / (2.0 * j)), 0.0, 0.0)
}

fn phases(jerk: f64, steady_acceleration: f64, cruise: f64) -> Phases {
    Phases {
        jerk: whole_up(jerk),
        steady_acceleration: whole_up(steady_acceleration),
        cruise: whole_up(cruise),
    }
}

/// Seconds up to whole nanoseconds; what is above a whole one by rounding only stays there.
fn whole_up(seconds: f64) -> Span {
    let nearest = Span::from_seconds(seconds);
    // Four units in the last place: the switching times come from at most as many roundings.
    if (seconds - nearest.seconds()).abs() <= 4.0 * f64::EPSILON * seconds.abs() {
        nearest.max(Span::ZERO)
    } else {
        Span::from_seconds_up(seconds).max(Span::ZERO)
    }
}

/// The pieces of a move over `d` radians, signed.
fn pieces_of(d: f64, phases: &Phases) -> Vec<Cubic> {
    let (tj, ta, tv) = (phases.jerk.seconds(), phases.steady_acceleration.seconds(), phases.cruise.seconds());
    // No time is shorter than the quickest, so neither peak is above its limit.
    let rate = d / (2.0 * tj + ta + tv);
    let acceleration = rate / (tj + ta);
    let jerk = if tj > 0.0 { acceleration / tj } else { 0.0 };
    // Speeding up, from time and place zero.
    let ramp = jerk * tj * tj / 2.0;
    let after_ramp = jerk * tj * tj * tj / 6.0;
    let gained = after_ramp + ta * (ramp + ta * acceleration / 2.0);
    let rise = [
        (phases.jerk, [0.0, 0.0, 0.0, jerk / 6.0]),
        (phases.steady_acceleration, [after_ramp, ramp, acceleration / 2.0, 0.0]),
        (phases.jerk, [gained, rate - ramp, acceleration / 2.0, -jerk / 6.0]),
    ];
    let covered = rate * (2.0 * tj + ta) / 2.0;
    let cruise = (phases.cruise, [covered, rate, 0.0, 0.0]);
    // Slowing down is speeding up seen backwards from the end, so that it ends in rest to the last bit.
    let fall = rise.iter().rev().map(|&(span, coefficients)| {
        let end = Cubic { begin: Span::ZERO, coefficients }.rebased(span).coefficients;
        (span, [d - end[0], end[1], -end[2], end[3]])
    });
    let mut begin = Span::ZERO;
    let mut pieces = Vec::with_capacity(7);
    for (span, coefficients) in rise.iter().copied().chain([cruise]).chain(fall) {
        if span > Span::ZERO {
            pieces.push(Cubic { begin, coefficients });
            begin += span;
        }
    }
    pieces
}

/// From a steady rate to rest, from time and place zero, in the least time; ends in rest.
///
/// It covers v²/2a; with a jerk limit j, va/2j more (v√(v/j) in all where v < a²/j).
pub fn stopping(rate: AngularRate, limits: &Limits) -> Path {
    stopping_from(rate, AngularAcceleration::ZERO, limits)
}

/// From a rate that is itself changing to rest, from time and place zero, in the least time; ends in rest.
///
/// Without a jerk limit the present acceleration doesn't matter. With one, the acceleration goes to its peak against the
/// motion, may stay there, and comes back to zero together with the rate. The limit of rate is not looked at: a motion within
/// its limits comes to rest within them but for what its present acceleration still adds. Times are rounded up to whole
/// nanoseconds and the peak is made to fit, which keeps the jerk limit to about a nanosecond's share of each phase.
///
/// # Panics
/// If a limit is not above zero or the motion is not finite.
pub fn stopping_from(rate: AngularRate, acceleration: AngularAcceleration, limits: &Limits) -> Path {
    limits.assert_usable();
    assert!(rate.is_finite() && acceleration.is_finite(), "a motion is made of numbers");
    let (v, a) = (rate.radians(), limits.acceleration.radians());
    let Some(jerk) = limits.jerk.map(AngularJerk::radians) else {
        return stop(v, v.signum(), 0.0, [Span::ZERO, whole_up(v.abs() / a), Span::ZERO]);
    };
    let now = acceleration.radians();
    // What the rate would come to if the acceleration were taken away at once: that is what must be braked.
    let coasting = v + now * now.abs() / (2.0 * jerk);
    let sense = if coasting == 0.0 { -now.signum() } else { coasting.signum() };
    let (change, already) = (sense * v, -sense * now);
    let peak = (jerk * change + already * already / 2.0).max(0.0).sqrt().min(a.max(already));
    let held = (change - peak * peak / jerk + already * already / (2.0 * jerk)) / peak;
    let times = [(peak - already) / jerk, if peak > 0.0 { held } else { 0.0 }, peak / jerk];
    stop(v, sense, already, times.map(whole_up))
}

/// The path of a stop from rate `v`, braking in `sense` (against which the braking acts), `already` braking so hard, in
/// three times: to the peak, at the peak, back to zero.
fn stop(v: f64, sense: f64, already: f64, times: [Span; 3]) -> Path {
    let [t1, t2, t3] = times.map(Span::seconds);
    let weight = t1 / 2.0 + t2 + t3 / 2.0;
    if weight == 0.0 {
        return Path::hold(Span::ZERO, Angle::ZERO);
    }
    let peak = -sense * (sense * v - already * t1 / 2.0) / weight;
    let now = -sense * already;
    let onset = if t1 > 0.0 { (peak - now) / t1 } else { 0.0 };
    let release = if t3 > 0.0 { peak / t3 } else { 0.0 };
    let phases = [
        (times[0], [v, now / 2.0, onset / 6.0]),
        (times[1], [-peak * (t2 + t3 / 2.0), peak / 2.0, 0.0]),
        (times[2], [-peak * t3 / 2.0, peak / 2.0, -release / 6.0]),
    ];
    let (mut begin, mut place) = (Span::ZERO, 0.0);
    let mut pieces = Vec::with_capacity(4);
    for (span, [c1, c2, c3]) in phases {
        if span > Span::ZERO {
            let piece = Cubic { begin, coefficients: [place, c1, c2, c3] };
            place = piece.position_after(span.seconds());
            pieces.push(piece);
            begin += span;
        }
    }
    pieces.push(Cubic::hold(begin, Angle::from_radians(place)));
    Path::from_pieces(pieces)
}
