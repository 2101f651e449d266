//! Wind: a mean and gusts, as the force that they put on the tube.
//!
//! Gusts are a sum of cosines whose sizes follow a published spectrum. The force is reckoned at fixed knots, four a
//! second from the wind's beginning, and runs between them as cubics without a jump in slope. The cosines are carried
//! from knot to knot by recurrence and set afresh for every block of knots, so that a knot's force depends on
//! nothing but its number.

use units::Stream;
use units::{Angle, Instant, Length, Span, Speed, maths};

/// Time between knots.
pub(crate) const KNOT: Span = Span::from_nanoseconds(250_000_000);
/// Knots in a block.
const BLOCK: i64 = 256;
/// Cosines, log-spaced between these frequencies; four knots a second show nothing beyond 2 Hz.
const WAVES: usize = 128;
const LOWEST: f64 = 0.001;
const HIGHEST: f64 = 2.0;
const LANES: usize = 8;
/// Knots in a group, over which the bounds of the force are known.
const GROUP: i64 = 16;

/// How the energy of the gusts is spread over frequency.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Spectrum {
    /// f S/(κV²) = 4X²/(1+X²)^(4/3) with X = 1200 m·f/V (Davenport 1961, from memory); variance 6κV². κ is about 0.005 over open
    /// fields.
    Davenport {
        /// Surface drag coefficient κ.
        roughness: f64,
    },
    /// f S/σ² = 4n/(1+70.8n²)^(5/6) with n = fL/V (von Kármán; form used in Greenway, Journal of Industrial Aerodynamics 5
    /// (1979) 61, from memory).
    Karman {
        /// Deviation of the gusts as a share of the mean speed.
        intensity: f64,
        /// Length scale L.
        length: Length,
    },
}

impl Spectrum {
    /// Spectral density S in (m/s)²/Hz at a frequency in hertz.
    pub fn density(&self, mean: Speed, frequency: f64) -> f64 {
        let v = mean.metres_per_second();
        match self {
            Self::Davenport { roughness } => {
                let x = 1200.0 * frequency / v;
                roughness * v * v / frequency * 4.0 * x * x / maths::pow(1.0 + x * x, 4.0 / 3.0)
            }
            Self::Karman { intensity, length } => {
                let n = frequency * length.metres() / v;
                let sigma = intensity * v;
                sigma * sigma / frequency * 4.0 * n / maths::pow(1.0 + 70.8 * n * n, 5.0 / 6.0)
            }
        }
    }
}

/// A wind and what it blows at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WindSpec {
    /// Mean speed.
    pub speed: Speed,
    /// Azimuth that it comes from.
    pub from: Angle,
    /// Its gusts; none is a steady wind.
    pub gusts: Option<Spectrum>,
    /// Area of the tube across the wind, m².
    pub area: f64,
    /// Drag coefficient.
    pub drag: f64,
    /// Density of the air, kg/m³.
    pub density: f64,
    /// How far ahead of the axes, along the boresight, the force acts.
    pub lever: Length,
}

impl WindSpec {
    /// A wind over an open field on a tube of 150 mm aperture (common practice, no source).
    pub fn open_field(speed: Speed, from: Angle) -> Self {
        Self {
            speed,
            from,
            gusts: Some(Spectrum::Davenport { roughness: 0.005 }),
            area: 0.15,
            drag: 1.2,
            density: 1.225,
            lever: Length::from_metres(0.1),
        }
    }

    /// The force in newtons at an instantaneous speed in m/s along the wind: ½ρ C A V², against the wind if V < 0.
    pub fn force(&self, speed: f64) -> f64 {
        0.5 * self.density * self.drag * self.area * speed * speed.abs()
    }
}

/// A number for each cosine, in rows as wide as a processor works at once.
type Rows = [[f64; LANES]; WAVES / LANES];

/// The cosines of one wind: sizes, phases, and twice the cosine of the step for the recurrence.
#[derive(Clone, Debug)]
struct Cosines {
    amplitude: Vec<f64>,
    /// Phase at knot 0, and phase per knot.
    phase: Vec<(f64, f64)>,
    twice: Rows,
}

impl Cosines {
    /// The value of each at a knot.
    fn at(&self, knot: f64) -> Rows {
        let mut values = [[0.0; LANES]; WAVES / LANES];
        let waves = self.amplitude.iter().zip(&self.phase);
        for (value, (size, (phase, step))) in values.as_flattened_mut().iter_mut().zip(waves) {
            *value = size * maths::cos(phase + step * knot);
        }
        values
    }

    /// The sums of all cosines at two knots, and their values at the two after them.
    ///
    /// Two at once: a row is fetched and put back half as often.
    fn two_knots(&self, now: &mut Rows, next: &mut Rows) -> (f64, f64) {
        let (mut first, mut second) = ([0.0; LANES], [0.0; LANES]);
        for ((now, next), twice) in now.iter_mut().zip(next).zip(&self.twice) {
            for lane in 0..LANES {
                let (here, there) = (now[lane], next[lane]);
                first[lane] += here;
                second[lane] += there;
                // cos(x + 2s) = 2 cos s · cos(x + s) − cos x.
                let beyond = twice[lane] * there - here;
                now[lane] = beyond;
                next[lane] = twice[lane] * beyond - there;
            }
        }
        (first.iter().sum(), second.iter().sum())
    }
}

/// A wind that blows.
#[derive(Clone, Debug)]
pub(crate) struct Wind {
    pub spec: WindSpec,
    begins: Instant,
    cosines: std::sync::Arc<Cosines>,
    /// Number of the block, and the force at its knots, with one more before and two more after.
    block: i64,
    forces: Vec<f64>,
    /// Least and greatest force after each knot of the block, up to the next.
    bounds: Vec<(f64, f64)>,
    /// Least and greatest force within each group of knots of the block.
    group_bounds: Vec<(f64, f64)>,
}

impl Wind {
    pub fn new(spec: WindSpec, begins: Instant, stream: &mut Stream) -> Self {
        let mut cosines = Cosines { amplitude: vec![], phase: vec![], twice: [[0.0; LANES]; WAVES / LANES] };
        let ratio = maths::pow(HIGHEST / LOWEST, 1.0 / WAVES as f64);
        for i in 0..WAVES {
            let low = LOWEST * maths::pow(ratio, i as f64);
            let width = low * (ratio - 1.0);
            let frequency = low + width * stream.uniform();
            let phase = maths::TAU * stream.uniform();
            let density = spec.gusts.map_or(0.0, |gusts| gusts.density(spec.speed, frequency));
            let step = maths::TAU * frequency * KNOT.seconds();
            cosines.amplitude.push((2.0 * density * width).sqrt());
            cosines.phase.push((phase, step));
            cosines.twice[i / LANES][i % LANES] = 2.0 * maths::cos(step);
        }
        let mut wind = Self {
            spec,
            begins,
            cosines: std::sync::Arc::new(cosines),
            block: 0,
            forces: Vec::new(),
            bounds: Vec::new(),
            group_bounds: Vec::new(),
        };
        wind.fill();
        wind
    }

    /// When the present block ends.
    pub fn block_ends(&self) -> Instant {
        self.begins + KNOT * ((self.block + 1) * BLOCK)
    }

    /// Goes on to the next block.
    pub fn next_block(&mut self) {
        self.block += 1;
        self.fill();
    }

    fn fill(&mut self) {
        let count = BLOCK as usize + 3;
        let first = (self.block * BLOCK - 1) as f64;
        let mean = self.spec.speed.metres_per_second();
        let (mut now, mut next) = (self.cosines.at(first), self.cosines.at(first + 1.0));
        self.forces.clear();
        while self.forces.len() < count {
            let (here, there) = self.cosines.two_knots(&mut now, &mut next);
            self.forces.extend([here, there].map(|gust| self.spec.force(mean + gust)));
        }
        self.forces.truncate(count);
        let mut all = std::mem::take(&mut self.bounds);
        all.clear();
        all.extend((0..BLOCK).map(|knot| bounds(self.cubic(knot))));
        self.bounds = all;
        self.group_bounds.clear();
        self.group_bounds.extend(self.bounds.chunks_exact(GROUP as usize).map(|knots| {
            knots.iter().fold((f64::MAX, f64::MIN), |(l, h), (low, high)| (l.min(*low), h.max(*high)))
        }));
    }

    /// The instant at which the group of a knot ends, and the least and the greatest force within that group.
    pub fn group(&self, knot: i64) -> (Instant, (f64, f64)) {
        let group = knot / GROUP;
        (self.knot_instant((group + 1) * GROUP), self.group_bounds[group as usize])
    }

    /// The least and the greatest force between a knot of the present block and the next.
    pub fn bounds(&self, knot: i64) -> (f64, f64) {
        self.bounds[knot as usize]
    }

    /// The knot at or before an instant within the present block, counted from the block's begin.
    pub fn knot_before(&self, at: Instant) -> i64 {
        let since = (at - self.begins).nanoseconds() / KNOT.nanoseconds() - self.block * BLOCK;
        since.clamp(0, BLOCK - 1)
    }

    /// The instant of a knot of the present block.
    pub fn knot_instant(&self, knot: i64) -> Instant {
        self.begins + KNOT * (self.block * BLOCK + knot)
    }

    /// The cubic after a knot of the present block, in powers of the share of the way to the next one.
    #[inline]
    pub fn cubic(&self, knot: i64) -> [f64; 4] {
        let i = knot as usize + 1;
        let [before, here, next, after] = [0, 1, 2, 3].map(|k| self.forces[i + k - 1]);
        let (m0, m1) = (0.5 * (next - before), 0.5 * (after - here));
        let step = next - here;
        [here, m0, 3.0 * step - 2.0 * m0 - m1, m0 + m1 - 2.0 * step]
    }

    /// The force in newtons at an instant within the present block (its end included).
    #[inline]
    pub fn force(&self, at: Instant) -> f64 {
        let knot = self.knot_before(at);
        let u = (at - self.knot_instant(knot)).seconds() / KNOT.seconds();
        let [a, b, c, d] = self.cubic(knot);
        a + u * (b + u * (c + u * d))
    }

    /// The greatest force within the present block, as a bound.
    pub fn greatest(&self) -> f64 {
        self.group_bounds.iter().map(|(low, high)| low.abs().max(high.abs())).fold(0.0, f64::max)
    }
}

/// Bounds of a cubic over [0, 1]: it leaves the range of its ends by at most 4/27 of both ends' slopes, the greatest value of
/// each of Hermite's slope functions.
fn bounds([a, b, c, d]: [f64; 4]) -> (f64, f64) {
    let end = a + b + c + d;
    let beyond = 4.0 / 27.0 * (b.abs() + (b + 2.0 * c + 3.0 * d).abs());
    (a.min(end) - beyond, a.max(end) + beyond)
}
