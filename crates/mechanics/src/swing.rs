//! The structure as one lightly damped swing per axis.
//!
//! The base of the swing is the wheel, the deflection z is what the tube lags behind: z'' + 2ζω z' + ω² z = −a with the
//! wheel's acceleration a. Under a piecewise linear acceleration the exact solution is a straight line plus a decaying
//! wave, whose two amplitudes follow at each corner from the continuity of z and z' (linear oscillator, any textbook
//! of vibrations). Nothing is stepped.

use crate::spec::Structure;
use units::{Instant, maths};

/// A deflection below this, in radians, is over (2e-7″).
const OVER: f64 = 1e-12;

/// The constants of a structure.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Oscillator {
    omega: f64,
    damped: f64,
    decay: f64,
    zeta: f64,
}

impl Oscillator {
    pub fn new(structure: &Structure) -> Self {
        let omega = maths::TAU * structure.frequency.hertz();
        let zeta = structure.damping;
        Self { omega, damped: omega * (1.0 - zeta * zeta).sqrt(), decay: zeta * omega, zeta }
    }
}

/// The state of one axis's swing from an instant on.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Swing {
    oscillator: Option<Oscillator>,
    since: Instant,
    /// Amplitudes of the decaying cosine and sine.
    wave: (f64, f64),
    /// The straight line: deflection at `since`, and its rate.
    line: (f64, f64),
    /// Seconds after `since` beyond which the wave is over.
    wave_ends: f64,
}

impl Swing {
    /// At rest.
    pub fn still(oscillator: Option<Oscillator>, at: Instant) -> Self {
        Self { oscillator, since: at, wave: (0.0, 0.0), line: (0.0, 0.0), wave_ends: 0.0 }
    }

    /// Deflection in radians.
    #[inline]
    pub fn deflection(&self, at: Instant) -> f64 {
        let Some(oscillator) = self.oscillator else { return 0.0 };
        let t = (at - self.since).seconds();
        let line = self.line.0 + self.line.1 * t;
        if t >= self.wave_ends {
            return line;
        }
        let (s, c) = maths::sincos(oscillator.damped * t);
        line + maths::exp(-oscillator.decay * t) * (self.wave.0 * c + self.wave.1 * s)
    }

    /// Deflection and its rate.
    fn state(&self, oscillator: &Oscillator, at: Instant) -> (f64, f64) {
        let t = (at - self.since).seconds();
        let (mut z, mut rate) = (self.line.0 + self.line.1 * t, self.line.1);
        if t < self.wave_ends {
            let (s, c) = maths::sincos(oscillator.damped * t);
            let envelope = maths::exp(-oscillator.decay * t);
            let (a, b) = self.wave;
            let wave = envelope * (a * c + b * s);
            z += wave;
            rate += -oscillator.decay * wave + envelope * oscillator.damped * (b * c - a * s);
        }
        (z, rate)
    }

    /// The wheel jumps by `step`, its rate by `rate_step`, and from `at` on it accelerates at `acceleration`, growing by
    /// `jerk` per second.
    pub fn corner(&mut self, at: Instant, step: f64, rate_step: f64, acceleration: f64, jerk: f64) {
        let Some(oscillator) = self.oscillator else { return };
        let (z, rate) = self.state(&oscillator, at);
        let w2 = oscillator.omega * oscillator.omega;
        let slope = -jerk / w2;
        let start = -acceleration / w2 + 2.0 * oscillator.zeta * jerk / (w2 * oscillator.omega);
        self.since = at;
        self.line = (start, slope);
        self.start_wave(&oscillator, z - step - start, rate - rate_step - slope);
    }

    /// What carries the tube jumps by `step`, whatever its wheel does; the tube follows and swings about the new place.
    pub fn corner_of_knock(&mut self, at: Instant, step: f64) {
        let Some(oscillator) = self.oscillator else { return };
        let (z, rate) = self.state(&oscillator, at);
        self.restart(&oscillator, at, z - step, rate);
    }

    /// The tube itself is pushed aside by `size` and springs back as size·e^(−ζωt)·cos ω_d t.
    pub fn push(&mut self, at: Instant, size: f64) {
        let Some(oscillator) = self.oscillator else { return };
        let (z, rate) = self.state(&oscillator, at);
        self.restart(&oscillator, at, z + size, rate - oscillator.decay * size);
    }

    /// From `at` on it swings from this deflection and rate about the same straight line.
    fn restart(&mut self, oscillator: &Oscillator, at: Instant, z: f64, rate: f64) {
        self.line.0 += self.line.1 * (at - self.since).seconds();
        self.since = at;
        self.start_wave(oscillator, z - self.line.0, rate - self.line.1);
    }

    fn start_wave(&mut self, oscillator: &Oscillator, z: f64, rate: f64) {
        self.wave = (z, (rate + oscillator.decay * z) / oscillator.damped);
        let size = (self.wave.0 * self.wave.0 + self.wave.1 * self.wave.1).sqrt();
        self.wave_ends = if size > OVER { maths::ln(size / OVER) / oscillator.decay } else { 0.0 };
    }
}
