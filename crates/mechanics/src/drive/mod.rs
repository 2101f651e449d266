//! The drive train as pure functions: from the ordered motion to the flanks of the worm, and from the wheel to the axis.
//!
//! All positions are angles of the axis in radians. Upstream of the play stand the microsteps, the reducer and the worm,
//! downstream of it the wheel. None of them has a memory.

mod microstep;
mod waves;
mod wheel;

use crate::correction::CorrectionTable;
use crate::spec::{AxisSpec, Harmonic};
use crate::turns::{Place, Turns, nearest};
use microstep::Microsteps;
use units::maths;
use waves::Waves;
pub(crate) use wheel::WheelErrors;

/// One axis's gears, prepared.
#[derive(Clone, Debug)]
pub(crate) struct Drive {
    /// One microstep and its inverse, or none for a drive without quantisation.
    resolution: Option<(f64, f64)>,
    /// Worm turns per radian of axis angle.
    worm_turns: f64,
    /// Four full steps: what a rotor falls back by.
    pub cycle: f64,
    microsteps: Microsteps,
    reducer: Waves,
    worm: [Waves; 2],
    flanks_differ: bool,
    /// How far the two flanks' errors may be apart, as a bound.
    flanks_apart: f64,
    pub wheel: WheelErrors,
    pub gap: Gap,
    plain: bool,
}

/// The play round the wheel.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Gap {
    mean: f64,
    /// Cosine and sine part of its variation.
    along: f64,
    across: f64,
}

impl Gap {
    fn new(spec: &AxisSpec) -> Self {
        let mean = spec.backlash.radians();
        let (s, c) = spec.backlash_phase.sin_cos();
        let variation = mean * spec.backlash_variation.fraction();
        Self { mean, along: variation * c, across: variation * s }
    }

    /// Whether there is none at all.
    pub fn is_closed(&self) -> bool {
        self.mean == 0.0
    }

    /// A bound below the play anywhere round the wheel.
    fn least(&self) -> f64 {
        self.mean - (self.along.abs() + self.across.abs())
    }

    /// How far from a flank the wheel stands on a side of it (±1): the root of d = side·h(flank + d) with h half of the play, by
    /// Lagrange's series to the third order. The flank is `ahead` of a place with this sine and cosine.
    ///
    /// The next terms are of the order of h·h′³ and ahead³·h: 1e-8″ for a play of 500″ that varies by 40 %.
    #[inline(always)]
    fn beside(&self, (s, c): (f64, f64), ahead: f64, side: f64, warmth: f64) -> f64 {
        let half = 0.5 * warmth;
        let there = half * (self.along * c + self.across * s);
        let steep = half * (self.across * c - self.along * s);
        let varying = there + ahead * (steep - 0.5 * ahead * there);
        let slope = steep - ahead * there;
        let h = half * self.mean + varying;
        side * h + h * slope + side * h * (slope * slope - 0.5 * h * varying)
    }
}

/// The room that the worm leaves to the wheel: `low` where the driving flank pushes it, `high` where it rests against
/// the leading one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Room {
    pub low: f64,
    pub high: f64,
}

impl Drive {
    pub fn new(spec: &AxisSpec) -> Self {
        let full_step = spec.full_step().radians();
        let resolution = spec.microstep().radians();
        let microsteps = Microsteps::new(spec);
        let reducer = Waves::new(&spec.reducer_errors);
        let worm = [Waves::new(&spec.worm_errors[0]), Waves::new(&spec.worm_errors[1])];
        let gap = Gap::new(spec);
        let wheel = WheelErrors::new(&spec.wheel);
        let silent = microsteps.is_silent() && reducer.is_silent() && worm.iter().all(Waves::is_silent);
        Self {
            resolution: (!spec.continuous).then(|| (resolution, 1.0 / resolution)),
            worm_turns: spec.teeth as f64 / maths::TAU,
            cycle: 4.0 * full_step,
            microsteps,
            reducer,
            flanks_differ: spec.worm_errors[0] != spec.worm_errors[1],
            flanks_apart: spec.worm_errors.iter().flatten().map(|wave| wave.amplitude.radians().abs()).sum(),
            worm,
            plain: silent && gap.is_closed(),
            wheel,
            gap,
        }
    }

    /// Whether the wheel follows the motor exactly: no error upstream of the play, and no play.
    pub fn is_plain(&self) -> bool {
        self.plain
    }

    /// The nearest position that the motor can be ordered to.
    #[inline(always)]
    pub fn quantised(&self, position: f64) -> f64 {
        match self.resolution {
            None => position,
            Some((resolution, inverse)) => nearest(position * inverse) * resolution,
        }
    }

    /// Turns of the worm at a position of the motor.
    #[inline]
    pub fn worm_turns(&self, motor: f64) -> f64 {
        motor * self.worm_turns
    }

    /// The room for the wheel at a position of the motor. `warmth` scales the play (1 at the reference temperature).
    #[inline]
    pub fn room(&self, turns: &Turns, place: &Place, warmth: f64) -> Room {
        let motor = place.at;
        if self.plain {
            return Room { low: motor, high: motor };
        }
        let [driving, leading] = self.flanks(turns, motor);
        if self.gap.is_closed() {
            let middle = 0.5 * (driving + leading);
            return Room { low: middle, high: middle };
        }
        let low = driving + self.gap.beside(place.turn, driving - motor, -1.0, warmth);
        let high = leading + self.gap.beside(place.turn, leading - motor, 1.0, warmth);
        if low <= high {
            return Room { low, high };
        }
        // Flanks whose errors differ by more than the play bind: the wheel stands between them.
        let middle = 0.5 * (low + high);
        Room { low: middle, high: middle }
    }

    /// One end of that room alone: where the wheel stands whom the load holds to a flank. None if the flanks might bind.
    #[inline(always)]
    pub fn held(&self, turns: &Turns, place: &Place, leading: bool, warmth: f64) -> Option<f64> {
        if self.may_bind(warmth) {
            return None;
        }
        Some(self.end(turns, place, self.reduced(turns, place.at), leading, warmth))
    }

    /// Where a wheel that rests at a place is pushed to: from most places one flank reaches it, and the other, which then is
    /// out of reach, isn't looked for. `backwards` says which to try first. None if the flanks might bind.
    #[inline(always)]
    pub fn pushed(
        &self,
        turns: &Turns,
        place: &Place,
        rest: f64,
        backwards: bool,
        warmth: f64,
    ) -> Option<f64> {
        if self.may_bind(warmth) {
            return None;
        }
        let reduced = self.reduced(turns, place.at);
        let first = self.end(turns, place, reduced, backwards, warmth);
        if if backwards { first <= rest } else { first >= rest } {
            return Some(first);
        }
        let second = self.end(turns, place, reduced, !backwards, warmth);
        Some(if backwards { rest.max(second) } else { rest.min(second) })
    }

    /// Whether the errors of the two flanks might differ by more than the play, so that the room's ends depend on each other.
    #[inline(always)]
    fn may_bind(&self, warmth: f64) -> bool {
        self.plain || self.gap.least() * warmth <= self.flanks_apart
    }

    /// One end of the room, given what [`Drive::reduced`] says of the place.
    #[inline(always)]
    fn end(
        &self,
        turns: &Turns,
        place: &Place,
        (reduced, worm_turns, worm): (f64, f64, (f64, f64)),
        leading: bool,
        warmth: f64,
    ) -> f64 {
        let waves = &self.worm[usize::from(leading && self.flanks_differ)];
        let flank = reduced + waves.value(turns, worm_turns, worm);
        let side = if leading { 1.0 } else { -1.0 };
        flank + self.gap.beside(place.turn, flank - place.at, side, warmth)
    }

    /// The motor with the errors of microsteps and reducer; turns of the worm, with their sine and cosine.
    #[inline(always)]
    fn reduced(&self, turns: &Turns, motor: f64) -> (f64, f64, (f64, f64)) {
        let rotor = motor + self.microsteps.error(turns, motor);
        // The worm turns with the rotor, which stands not quite where it was ordered.
        let worm_turns = rotor * self.worm_turns;
        let worm = turns.sincos_of_turns(worm_turns);
        (rotor + self.reducer.value(turns, worm_turns, worm), worm_turns, worm)
    }

    /// The error of reducer and worm at a position of the motor, on one flank.
    pub fn periodic_error(&self, turns: &Turns, motor: f64, leading: bool) -> f64 {
        let worm_turns = self.worm_turns(motor);
        let worm = turns.sincos_of_turns(worm_turns);
        let waves = &self.worm[usize::from(leading && self.flanks_differ)];
        self.reducer.value(turns, worm_turns, worm) + waves.value(turns, worm_turns, worm)
    }

    /// The play where it is least and where it is greatest, at the reference temperature.
    pub fn play_round_the_wheel(&self) -> (f64, f64) {
        let variation = maths::hypot(self.gap.along, self.gap.across);
        (self.gap.mean - variation, self.gap.mean + variation)
    }

    /// Where the two flanks are, play left out: the motor with the errors of microsteps, reducer and worm.
    #[inline]
    fn flanks(&self, turns: &Turns, motor: f64) -> [f64; 2] {
        let (reduced, worm_turns, worm) = self.reduced(turns, motor);
        let first = reduced + self.worm[0].value(turns, worm_turns, worm);
        let second =
            if self.flanks_differ { reduced + self.worm[1].value(turns, worm_turns, worm) } else { first };
        [first, second]
    }
}

/// The sum of the slopes of everything upstream of the play, as a bound: below 1 all of it is a monotone function of the
/// motor's motion, and the play turns only where the motor turns.
pub(crate) fn slopes(spec: &AxisSpec, correction: Option<&CorrectionTable>) -> f64 {
    let teeth = spec.teeth as f64;
    let of = |waves: &[Harmonic]| {
        waves.iter().map(|wave| wave.amplitude.radians().abs() * wave.order.abs() * teeth).sum::<f64>()
    };
    let worm = of(&spec.worm_errors[0]).max(of(&spec.worm_errors[1]));
    let table = correction.map_or(0.0, |table| table.steepest_per_turn() * teeth / maths::TAU);
    microstep::slope(spec) + of(&spec.reducer_errors) + worm + table
}

/// The error that stands upstream of the play on the driving flank, in radians of axis angle, against turns of the worm.
pub(crate) fn upstream_error(spec: &AxisSpec) -> impl Fn(f64) -> f64 + use<> {
    let (reducer, worm) = (Waves::new(&spec.reducer_errors), Waves::new(&spec.worm_errors[0]));
    let turns = Turns::new();
    move |worm_turns| {
        let place = turns.sincos_of_turns(worm_turns);
        reducer.value(&turns, worm_turns, place) + worm.value(&turns, worm_turns, place)
    }
}
