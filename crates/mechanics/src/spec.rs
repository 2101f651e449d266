//! What a mount is made of.

use crate::body::Body;
use crate::correction::CorrectionTable;
use kinematics::{Geometry, Limits};
use units::{Angle, Frequency, PartsPerMillion, Share, Span, Stiffness, Torque};

/// A whole mount. [`crate::grades`] makes one of each grade; every field may be changed before [`crate::Mount::new`]
/// checks the whole.
#[derive(Clone, Debug, PartialEq)]
pub struct MountSpec {
    /// Where it stands: gravity's direction in its base depends on it.
    pub latitude: Angle,
    /// The true geometry with its errors, zero offsets included (true axis angle = dial + zero offset).
    pub geometry: Geometry,
    /// The hour and the declination axis, or the azimuth and the altitude axis.
    pub axes: [AxisSpec; 2],
    /// How fast the crystal runs: positive is fast.
    pub crystal_drift: PartsPerMillion,
    /// The swinging structure; none is a stiff one that never swings.
    pub structure: Option<Structure>,
    /// Where the power comes from.
    pub supply: Supply,
    /// The solid shape that may collide with itself; none is a mount that passes through itself.
    pub body: Option<Body>,
}

/// The lowest mode of tube, mount and tripod.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Structure {
    /// Natural frequency without damping.
    pub frequency: Frequency,
    /// Damping ratio ζ, within (0, 1).
    pub damping: f64,
}

/// Where the power comes from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Supply {
    /// A supply that holds its nominal voltage.
    Steady,
    /// A battery whose voltage sags linearly with time.
    Battery(Battery),
}

/// A battery: from `full` at power-on to `empty` after `lasts`, and on at the same slope.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Battery {
    /// Volts at power-on; also the nominal voltage, at which the motors' torque curve holds.
    pub full: f64,
    /// Volts after `lasts`.
    pub empty: f64,
    /// The time from `full` to `empty`.
    pub lasts: Span,
    /// Volts below which the electronics reset.
    pub reset_below: f64,
}

/// One sinusoid of a gear: `amplitude · sin(order · angle + phase)`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Harmonic {
    /// Cycles per turn; for worm and reducer per turn of the worm, for a reducer usually no whole number.
    pub order: f64,
    /// Half of the peak-to-peak, as angle of the axis.
    pub amplitude: Angle,
    /// Phase at angle zero.
    pub phase: Angle,
}

/// The errors of the wheel, downstream of the play.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wheel {
    /// Amplitude of one cycle per turn: eccentricity over pitch radius.
    pub eccentricity: Angle,
    /// Its phase.
    pub eccentricity_phase: Angle,
    /// Amplitude of two cycles per turn.
    pub second: Angle,
    /// Its phase.
    pub second_phase: Angle,
    /// Error at each tooth, one entry per tooth, or empty for none; joined by a periodic cubic.
    pub teeth: Vec<Angle>,
}

/// What a stepping motor can do.
#[derive(Clone, Debug, PartialEq)]
pub struct Motor {
    /// Torque at standstill, at the motor's shaft.
    pub holding: Torque,
    /// Pull-out torque at nominal voltage over full steps per second: ascending speeds, linear between, none beyond the last.
    pub pull_out: Vec<(f64, Torque)>,
    /// Bands of resonance, in which pull-out torque is lowered.
    pub resonances: Vec<Resonance>,
    /// Full steps per second below which a stalled rotor catches again.
    pub catches_below: f64,
    /// Share of the motor's torque that reaches the axis.
    pub efficiency: Share,
}

/// A band of full steps per second with less torque.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Resonance {
    /// Lower bound, full steps per second.
    pub from: f64,
    /// Upper bound, full steps per second.
    pub to: f64,
    /// Share of the torque that is lost in the middle of the band; none at its bounds.
    pub dip: Share,
}

/// One axis, from the motor to the bearing.
#[derive(Clone, Debug, PartialEq)]
pub struct AxisSpec {
    /// Teeth of the wheel; the worm has a single start.
    pub teeth: i64,
    /// Turns of the motor per turn of the worm.
    pub reducer_ratio: f64,
    /// Full steps per turn of the motor.
    pub full_steps: i64,
    /// Microsteps per full step.
    pub microsteps: i64,
    /// True for an ideal drive that isn't quantised to microsteps.
    pub continuous: bool,
    /// Peak of the microsteps' non-linearity, as a share of a full step.
    pub microstep_error: Share,
    /// Errors of the reducer, orders relative to the worm.
    pub reducer_errors: Vec<Harmonic>,
    /// Errors of the worm: of the flank that drives the axis in the positive sense, and of the other one.
    pub worm_errors: [Vec<Harmonic>; 2],
    /// Error-correction table in the drive, already playing.
    pub correction: Option<CorrectionTable>,
    /// Whether the worm has an index mark; without it a correction table is lost with the power.
    pub index_mark: bool,
    /// Errors of the wheel.
    pub wheel: Wheel,
    /// Full play, mean round the wheel.
    pub backlash: Angle,
    /// Variation of the play round the wheel, as a share of the play: gap = backlash·(1 + variation·cos(y − phase)).
    pub backlash_variation: Share,
    /// Where round the wheel the play is largest.
    pub backlash_phase: Angle,
    /// Change of the play per kelvin of warming, as a share (positive: cooling closes the gap).
    pub backlash_warming: f64,
    /// Net moment of what the axis carries out of balance: weight times lever.
    pub imbalance: Torque,
    /// Where the centre of mass is: on the first axis, the true axis angle at which it stands in the upper meridian
    /// half-plane (of the base's x axis); on the second, its angle from the boresight towards the tube's upper side.
    pub balance_angle: Angle,
    /// Torque at which bearing and clutch break away.
    pub friction: Torque,
    /// Growth of the friction per kelvin of cooling, as a share.
    pub friction_cooling: f64,
    /// Viscous damping while the wheel crosses the gap, N·m·s/rad; zero crosses at once.
    pub seat_damping: f64,
    /// Torsional stiffness between wheel and tube; none is rigid.
    pub stiffness: Option<Stiffness>,
    /// Moment of inertia about the axis, kg·m².
    pub inertia: f64,
    /// The motor; none follows any order.
    pub motor: Option<Motor>,
    /// The most that the drive is asked to do.
    pub limits: Limits,
    /// Hard stops of the axis, as true axis angles without zero offset and slip; none can turn for ever.
    pub stops: Option<(Angle, Angle)>,
}

impl AxisSpec {
    /// An axis without any error: no play, stiff, dial continuous.
    pub fn ideal(teeth: i64, reducer_ratio: f64, limits: Limits) -> Self {
        Self {
            teeth,
            reducer_ratio,
            full_steps: 200,
            microsteps: 32,
            continuous: true,
            microstep_error: Share::ZERO,
            reducer_errors: Vec::new(),
            worm_errors: [Vec::new(), Vec::new()],
            correction: None,
            index_mark: true,
            wheel: Wheel::default(),
            backlash: Angle::ZERO,
            backlash_variation: Share::ZERO,
            backlash_phase: Angle::ZERO,
            backlash_warming: 0.0,
            imbalance: Torque::ZERO,
            balance_angle: Angle::ZERO,
            friction: Torque::ZERO,
            friction_cooling: 0.0,
            seat_damping: 0.0,
            stiffness: None,
            inertia: 0.0,
            motor: None,
            limits,
            stops: None,
        }
    }

    /// One full step of the motor as angle of the axis.
    pub fn full_step(&self) -> Angle {
        Angle::TURN / (self.full_steps as f64 * self.gearing())
    }

    /// One microstep as angle of the axis: the resolution of the dial.
    pub fn microstep(&self) -> Angle {
        self.full_step() / self.microsteps as f64
    }

    /// Turns of the motor per turn of the axis.
    pub fn gearing(&self) -> f64 {
        self.reducer_ratio * self.teeth as f64
    }

    /// Time of one turn of the worm while the axis turns at a rate.
    pub fn worm_period(&self, rate: units::AngularRate) -> Span {
        Span::from_seconds(Angle::TURN.radians() / (self.teeth as f64 * rate.radians().abs()))
    }
}
