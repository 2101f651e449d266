//! Default mounts of our own invention, in four grades.
//!
//! The values are common practice, no source: estimates of what such mounts show, for a user to change. Every random entry
//! is drawn from its own named stream, so that setting one by hand moves no other.

use crate::body::{Body, Capsule};
use crate::correction::CorrectionTable;
use crate::drive::upstream_error;
use crate::spec::{AxisSpec, Harmonic, Motor, MountSpec, Resonance, Structure, Supply, Wheel};
use kinematics::{Geometry, Kind, Limits};
use nalgebra::Matrix3;
use std::sync::OnceLock;
use units::Streams;
use units::{
    Angle, AngularAcceleration, AngularJerk, AngularRate, Frequency, PartsPerMillion, Share, Stiffness,
    Torque, maths,
};

/// How well a mount is made and kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Grade {
    /// A cheap one after years of use.
    Worn,
    /// The usual one.
    MidRange,
    /// A good one, adjusted with patience.
    Tuned,
    /// No error at all: no play, stiff, the dial not quantised; gears and rates of the mid-range one.
    Perfect,
}

/// The numbers of a grade. Angles in arcseconds (geometry in arcminutes), torques in N·m.
struct Table {
    teeth: [i64; 2],
    reducer_ratio: f64,
    stages: &'static [f64],
    worm_peak_to_peak: f64,
    reducer: f64,
    eccentricity: f64,
    tooth: f64,
    play: [f64; 2],
    play_variation: f64,
    friction: f64,
    imbalance: f64,
    stiffness: f64,
    frequency: f64,
    damping: f64,
    limits: [f64; 3],
    microsteps: i64,
    microstep_error: f64,
    skew: f64,
    cone: f64,
    flexure: f64,
    crystal: f64,
    index_mark: bool,
    correction_turns: usize,
    correction_noise: f64,
    efficiency: f64,
    dip: f64,
}

const WORN: Table = Table {
    teeth: [126, 90],
    reducer_ratio: 4.0,
    stages: &[1.37, 4.0],
    worm_peak_to_peak: 90.0,
    reducer: 12.0,
    eccentricity: 60.0,
    tooth: 40.0,
    play: [360.0, 500.0],
    play_variation: 0.4,
    friction: 0.35,
    imbalance: 1.2,
    stiffness: 900.0,
    frequency: 3.0,
    damping: 0.03,
    limits: [1.5, 1.0, 3.0],
    microsteps: 16,
    microstep_error: 0.06,
    skew: 8.0,
    cone: 20.0,
    flexure: 4.0,
    crystal: 100.0,
    index_mark: false,
    correction_turns: 0,
    correction_noise: 0.0,
    efficiency: 0.4,
    dip: 0.5,
};

const MID_RANGE: Table = Table {
    teeth: [160, 160],
    reducer_ratio: 3.0,
    stages: &[1.31, 3.0],
    worm_peak_to_peak: 30.0,
    reducer: 4.0,
    eccentricity: 25.0,
    tooth: 15.0,
    play: [150.0, 180.0],
    play_variation: 0.25,
    friction: 0.15,
    imbalance: 0.6,
    stiffness: 2000.0,
    frequency: 4.5,
    damping: 0.05,
    limits: [3.0, 2.0, 6.0],
    microsteps: 32,
    microstep_error: 0.04,
    skew: 4.0,
    cone: 10.0,
    flexure: 2.0,
    crystal: 30.0,
    index_mark: true,
    correction_turns: 4,
    correction_noise: 1.0,
    efficiency: 0.4,
    dip: 0.4,
};

const TUNED: Table = Table {
    teeth: [200, 200],
    reducer_ratio: 2.0,
    stages: &[0.55],
    worm_peak_to_peak: 8.0,
    reducer: 0.8,
    eccentricity: 8.0,
    tooth: 6.0,
    play: [30.0, 40.0],
    play_variation: 0.15,
    friction: 0.05,
    imbalance: 0.3,
    stiffness: 6000.0,
    frequency: 8.0,
    damping: 0.08,
    limits: [4.0, 3.0, 12.0],
    microsteps: 64,
    microstep_error: 0.02,
    skew: 1.5,
    cone: 4.0,
    flexure: 0.7,
    crystal: 5.0,
    index_mark: true,
    correction_turns: 6,
    correction_noise: 0.5,
    efficiency: 0.5,
    dip: 0.3,
};

impl Grade {
    const fn table(self) -> &'static Table {
        match self {
            Self::Worn => &WORN,
            Self::MidRange | Self::Perfect => &MID_RANGE,
            Self::Tuned => &TUNED,
        }
    }

    /// A mount of this grade on a base (from [`kinematics::base`]), its zero offsets zero: both belong to
    /// the set-up, not to the mount.
    pub fn mount(self, kind: Kind, latitude: Angle, base: Matrix3<f64>, streams: &Streams) -> MountSpec {
        let table = self.table();
        if self == Self::Perfect {
            let axis = |index: usize| AxisSpec::ideal(table.teeth[index], table.reducer_ratio, limits(table));
            return MountSpec {
                latitude,
                geometry: Geometry::ideal(kind, base),
                axes: [axis(0), axis(1)],
                crystal_drift: PartsPerMillion::ZERO,
                structure: None,
                supply: Supply::Steady,
                body: None,
            };
        }
        let normal = |cause: &str, sigma: f64| sigma * streams.stream(cause, 0).normal();
        let geometry = Geometry {
            axis_skew: Angle::from_arcmin(normal("axis skew", table.skew)),
            cone_error: Angle::from_arcmin(normal("cone error", table.cone)),
            tube_flexure: Angle::from_arcmin(normal("tube flexure", table.flexure).abs()),
            ..Geometry::ideal(kind, base)
        };
        MountSpec {
            latitude,
            geometry,
            axes: [axis(self, kind, 0, streams), axis(self, kind, 1, streams)],
            crystal_drift: PartsPerMillion::from_ppm(normal("crystal", table.crystal)),
            structure: Some(Structure {
                frequency: Frequency::from_hertz(table.frequency),
                damping: table.damping,
            }),
            supply: Supply::Steady,
            body: Some(body(kind, latitude)),
        }
    }
}

fn limits(table: &Table) -> Limits {
    let [rate, acceleration, jerk] = table.limits;
    Limits {
        rate: AngularRate::from_degrees(rate),
        acceleration: AngularAcceleration::from_degrees(acceleration),
        jerk: Some(AngularJerk::from_degrees(jerk)),
    }
}

fn axis(grade: Grade, kind: Kind, index: usize, streams: &Streams) -> AxisSpec {
    let table = grade.table();
    let draw = |cause: &str| streams.stream(cause, index as u64);
    let turn = |cause: &str| Angle::TURN * draw(cause).uniform();
    let omega = maths::TAU * table.frequency;
    let mut axis = AxisSpec {
        microsteps: table.microsteps,
        continuous: false,
        microstep_error: Share::from_fraction(table.microstep_error),
        reducer_errors: reducer(table, index, streams),
        worm_errors: worm(table, index, streams),
        index_mark: table.index_mark,
        wheel: wheel(table, index, streams),
        backlash: Angle::from_arcsec(table.play[index]),
        backlash_variation: Share::from_fraction(table.play_variation),
        backlash_phase: turn("play phase"),
        backlash_warming: 0.0045,
        imbalance: Torque::from_newton_metres(table.imbalance),
        balance_angle: balance(grade, kind, index, streams),
        friction: Torque::from_newton_metres(table.friction),
        friction_cooling: 0.02,
        seat_damping: 200.0,
        stiffness: Some(Stiffness::from_newton_metres_per_radian(table.stiffness)),
        // What swings at the structure's frequency on the axis's stiffness.
        inertia: table.stiffness / (omega * omega),
        motor: Some(motor(table)),
        stops: stops(kind, index),
        ..AxisSpec::ideal(table.teeth[index], table.reducer_ratio, limits(table))
    };
    if index == 0 && kind != Kind::AltAzimuth && table.correction_turns > 0 {
        let noise = Angle::from_arcsec(table.correction_noise);
        axis.correction = recorded_correction(&axis, table.correction_turns, noise, streams);
    }
    axis
}

/// Amplitudes 1 : 0.35 : 0.15 at random phases, scaled so that the sum has the peak-to-peak of the grade. The other flank
/// was cut by the same tool, so its waves are alike, not equal.
fn worm(table: &Table, index: usize, streams: &Streams) -> [Vec<Harmonic>; 2] {
    let mut phases = streams.stream("worm phase", index as u64);
    let shape = [1.0, 0.35, 0.15].map(|size| (size, maths::TAU * phases.uniform()));
    let (low, high) = extremes(&shape);
    let scale = table.worm_peak_to_peak / (high - low);
    let wave = |k: usize, size: f64, phase: f64| Harmonic {
        order: k as f64,
        amplitude: Angle::from_arcsec(size * scale),
        phase: Angle::from_radians(phase),
    };
    let first = (1..).zip(shape).map(|(k, (size, phase))| wave(k, size, phase)).collect();
    let mut other = streams.stream("worm other flank", index as u64);
    let second = (1..)
        .zip(shape)
        .map(|(k, (size, phase))| wave(k, size * (1.0 + 0.1 * other.normal()), phase + 0.25 * other.normal()))
        .collect();
    [first, second]
}

/// Places round the worm at which the sum of its waves is looked at.
const LOOKS: usize = 720;

/// Least and greatest sum of waves 1, 2, 3 … times a turn, by their sizes and phases, at [`LOOKS`] places.
///
/// Each wave is first told roughly, from kept sines of the places; only what may be the least or the greatest of all is
/// computed.
fn extremes(shape: &[(f64, f64)]) -> (f64, f64) {
    static CIRCLE: OnceLock<Vec<(f64, f64)>> = OnceLock::new();
    let place = |look: usize| maths::TAU * look as f64 / LOOKS as f64;
    let circle = CIRCLE.get_or_init(|| (0..LOOKS).map(|look| maths::sincos(place(look))).collect());
    let phases: Vec<_> = shape.iter().map(|(size, phase)| (*size, maths::sincos(*phase))).collect();
    let rough: Vec<f64> = (0..LOOKS)
        .map(|look| {
            let wave = |(k, (size, (s, c))): (usize, &(f64, (f64, f64)))| {
                let (sine, cosine) = circle[k * look % LOOKS];
                size * (sine * c + cosine * s)
            };
            (1..).zip(&phases).map(wave).sum()
        })
        .collect();
    // Far more than what rounding makes of sums of a few waves of about one.
    const ROUGH: f64 = 1e-9;
    let (least, greatest) = rough.iter().fold((0.0_f64, 0.0_f64), |(l, h), v| (l.min(*v), h.max(*v)));
    let value = |look: usize| {
        let waves = (1..).zip(shape);
        waves.map(|(k, (size, phase))| size * maths::sin(f64::from(k) * place(look) + phase)).sum::<f64>()
    };
    (0..LOOKS)
        .filter(|look| rough[*look] <= least + ROUGH || rough[*look] >= greatest - ROUGH)
        .map(value)
        .fold((0.0, 0.0), |(l, h), v| (l.min(v), h.max(v)))
}

fn reducer(table: &Table, index: usize, streams: &Streams) -> Vec<Harmonic> {
    let mut phases = streams.stream("reducer phase", index as u64);
    let amplitude = Angle::from_arcsec(table.reducer);
    let wave = |order: &f64| Harmonic { order: *order, amplitude, phase: Angle::TURN * phases.uniform() };
    table.stages.iter().map(wave).collect()
}

fn wheel(table: &Table, index: usize, streams: &Streams) -> Wheel {
    let mut phases = streams.stream("wheel phase", index as u64);
    Wheel {
        eccentricity: Angle::from_arcsec(table.eccentricity),
        eccentricity_phase: Angle::TURN * phases.uniform(),
        second: Angle::from_arcsec(0.3 * table.eccentricity),
        second_phase: Angle::TURN * phases.uniform(),
        teeth: tooth_errors(table.teeth[index], Angle::from_arcsec(table.tooth), index, streams),
    }
}

/// Errors of the teeth of one axis's wheel, drawn from the stream `tooth noise` of that axis: normal with this sigma, their
/// mean taken off.
pub fn tooth_errors(teeth: i64, sigma: Angle, axis: usize, streams: &Streams) -> Vec<Angle> {
    let mut noise = streams.stream("tooth noise", axis as u64);
    let raw: Vec<f64> = (0..teeth).map(|_| sigma.radians() * noise.normal()).collect();
    let mean = raw.iter().sum::<f64>() / raw.len().max(1) as f64;
    raw.iter().map(|tooth| Angle::from_radians(tooth - mean)).collect()
}

/// A recorded correction of an axis's periodic error as its drive plays it back: 64 bins over `turns` turns of the worm, each
/// measured to `noise`; drawn from the stream `correction recording`. None for no turn.
pub fn recorded_correction(
    axis: &AxisSpec,
    turns: usize,
    noise: Angle,
    streams: &Streams,
) -> Option<CorrectionTable> {
    let mut stream = streams.stream("correction recording", 0);
    CorrectionTable::record(64, turns, noise, &mut stream, upstream_error(axis)).ok()
}

/// A tuned mount is balanced with intent: its hour axis always pulls east, its tube is heavy in front.
fn balance(grade: Grade, kind: Kind, index: usize, streams: &Streams) -> Angle {
    match (grade, kind, index) {
        (Grade::Tuned, Kind::ForkEquatorial, 0) => Angle::QUARTER,
        (Grade::Tuned, _, _) => Angle::ZERO,
        _ => Angle::TURN * streams.stream("balance", index as u64).uniform(),
    }
}

fn motor(table: &Table) -> Motor {
    let torque = Torque::from_newton_metres;
    let band = |from: f64, to: f64| Resonance { from, to, dip: Share::from_fraction(table.dip) };
    Motor {
        holding: torque(0.060),
        pull_out: vec![
            (0.0, torque(0.044)),
            (300.0, torque(0.036)),
            (600.0, torque(0.028)),
            (1200.0, torque(0.018)),
            (2000.0, torque(0.006)),
            (2400.0, torque(0.0)),
        ],
        resonances: vec![band(100.0, 200.0), band(600.0, 1500.0)],
        catches_below: 250.0,
        efficiency: Share::from_fraction(table.efficiency),
    }
}

fn stops(kind: Kind, index: usize) -> Option<(Angle, Angle)> {
    let degrees = |from: f64, to: f64| Some((Angle::from_degrees(from), Angle::from_degrees(to)));
    match (kind, index) {
        (Kind::GermanEquatorial, 0) => degrees(-225.0, 45.0),
        (Kind::GermanEquatorial, _) => None,
        (Kind::ForkEquatorial, 0) => degrees(-270.0, 270.0),
        (Kind::ForkEquatorial, _) => degrees(-110.0, 110.0),
        (Kind::AltAzimuth, 0) => degrees(-400.0, 400.0),
        (Kind::AltAzimuth, _) => degrees(-20.0, 110.0),
    }
}

/// A tube of 150 mm aperture and its support. The head of a German mount overhangs its pier along the lower end of the
/// hour axis, so that the counterweight has room at any latitude.
fn body(kind: Kind, latitude: Angle) -> Body {
    let overhang = -0.25 * latitude.cos() * if latitude < Angle::ZERO { -1.0 } else { 1.0 };
    let legs = [0.0, 120.0, 240.0].map(|azimuth| {
        let (s, c) = Angle::from_degrees(azimuth).sin_cos();
        Capsule::new([0.05 * s, 0.05 * c, -0.75], [0.45 * s, 0.45 * c, -1.25], 0.025)
    });
    match kind {
        Kind::GermanEquatorial => Body {
            fixed: [Capsule::new([0.0, overhang, -0.30], [0.0, overhang, -0.75], 0.05)]
                .into_iter()
                .chain(legs.map(|leg| leg.moved([0.0, overhang, 0.0])))
                .collect(),
            on_first: vec![Capsule::new([0.0, 0.25, 0.0], [0.0, 0.50, 0.0], 0.06)],
            on_second: vec![Capsule::new([-0.50, -0.22, 0.0], [0.70, -0.22, 0.0], 0.10)],
        },
        Kind::ForkEquatorial | Kind::AltAzimuth => Body {
            fixed: [Capsule::new([0.0, 0.0, -0.60], [0.0, 0.0, -0.75], 0.08)]
                .into_iter()
                .chain(legs)
                .collect(),
            on_first: Vec::new(),
            on_second: vec![Capsule::new([-0.25, 0.0, 0.0], [0.45, 0.0, 0.0], 0.10)],
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn extremes_of_the_worm_are_those_of_all_its_places() {
        let mut draws = Streams::new(3).stream("extremes", 0);
        for _ in 0..300 {
            let shape = [1.0, 0.35, 0.15].map(|size| (size, maths::TAU * draws.uniform()));
            let all = (0..LOOKS).map(|look| {
                let angle = maths::TAU * look as f64 / LOOKS as f64;
                let [a, b, c] = shape;
                let wave = |k: f64, (size, phase): (f64, f64)| size * maths::sin(k * angle + phase);
                wave(1.0, a) + wave(2.0, b) + wave(3.0, c)
            });
            let expected = all.fold((0.0_f64, 0.0_f64), |(low, high), one| (low.min(one), high.max(one)));
            assert_eq!(extremes(&shape), expected, "{shape:?}");
        }
    }
}
