//! The mount itself: events change it, questions don't.
//!
//! Between two events every axis follows one cubic of controller time, its wheel rests, crosses or is held against a flank,
//! and its structure swings as a known wave: the truth at any instant is a formula of that instant. Events are found
//! from events alone, never from when somebody looked, so that looking often or seldom leaves every bit as it was.

mod axis;
mod correct;
mod disturb;
mod events;
mod gears;
mod loads;
mod motion;
mod plan;
mod questions;
mod refit;
mod schedule;

use crate::crystal::Crystal;
use crate::drive::Drive;
use crate::error::SpecError;
use crate::load::{Weights, up_in};
use crate::spec::{MountSpec, Supply};
use crate::swing::{Oscillator, Swing};
use crate::turns::Turns;
use crate::weather::TemperatureCourse;
use crate::wind::Wind;
pub use events::{MountEvent, MountEventKind, StallCause};
pub use gears::PeriodicError;
pub use questions::{Contact, PlayState, Pose};
pub use refit::RefitError;

use axis::{Axis, Member, Rotor};
use disturb::Settling;
use kinematics::{AxisAngles, Chain, Path};
use loads::Pliant;
use motion::Motion;
use nalgebra::{Matrix3, Vector3};
use plan::{Plan, Seen};
use schedule::Upcoming;
use std::sync::Arc;
use units::Instant;

/// What never changes.
#[derive(Debug)]
pub(crate) struct Machine {
    pub spec: MountSpec,
    pub turns: Turns,
    pub drives: [Drive; 2],
    pub weights: Weights,
    pub pliant: [Pliant; 2],
    pub zeros: [f64; 2],
    pub crystal: Crystal,
    pub home: AxisAngles,
}

impl Machine {
    /// From what was found to be a mount.
    fn new(spec: MountSpec, crystal: Crystal, home: AxisAngles) -> Self {
        Self {
            turns: Turns::new(),
            drives: [Drive::new(&spec.axes[0]), Drive::new(&spec.axes[1])],
            weights: Weights::new(&spec),
            pliant: [Pliant::new(&spec.axes[0]), Pliant::new(&spec.axes[1])],
            zeros: [spec.geometry.zero_first.radians(), spec.geometry.zero_second.radians()],
            crystal,
            home,
            spec,
        }
    }
}

/// Whether the electronics have power.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Power {
    On,
    /// Until it comes back, if ever.
    Off {
        until: Option<Instant>,
    },
}

/// A geared mount: the truth about where its tube points.
#[derive(Clone, Debug)]
pub struct Mount {
    machine: Arc<Machine>,
    now: Instant,
    /// When something last changed it: from here on it can be asked.
    changed: Instant,
    axes: [Axis; 2],
    base: Matrix3<f64>,
    chain: Chain,
    settlings: Vec<Settling>,
    /// Upwards, and where the wind blows to, in the frame of the base; and the lever of the wind.
    up: Vector3<f64>,
    toward: Vector3<f64>,
    sail: Weights,
    wind: Option<Wind>,
    course_of_temperature: Option<(Instant, TemperatureCourse)>,
    play_factor: [f64; 2],
    friction_factor: [f64; 2],
    supply: Supply,
    supply_since: Instant,
    power: Power,
    /// What was found by looking ahead.
    plan: Plan,
    /// What was last seen of the room between its parts.
    seen: Option<Seen>,
    changes: [Option<Instant>; 2],
    upcoming: Option<Upcoming>,
    /// What has happened and wasn't told yet.
    told: Vec<MountEvent>,
}

impl Mount {
    /// Switches a mount on, at rest, its step counters set to `home`.
    ///
    /// # Errors
    /// [`SpecError`] for what can't be a mount, with the number that would do.
    pub fn new(spec: MountSpec, power_on: Instant, home: AxisAngles) -> Result<Self, SpecError> {
        spec.check(home)?;
        let crystal = Crystal::new(power_on, spec.crystal_drift);
        let machine = Machine::new(spec, crystal, home);
        let spec = &machine.spec;
        let oscillator = spec.structure.as_ref().map(Oscillator::new);
        let axis = |index: usize| {
            let dial = if index == 0 { home.first } else { home.second };
            let time = crystal.controller_time(power_on);
            Axis {
                motion: Motion::new(Path::hold(time, dial), &crystal, power_on),
                rotor: Rotor::Following,
                offset: 0.0,
                slip: 0.0,
                member: Member::Resting { wheel: machine.drives[index].quantised(dial.radians()) },
                swing: Swing::still(oscillator, power_on),
                correction: spec.axes[index].correction.clone().map(Arc::new),
                correction_plays: true,
                correction_tied: 0.0,
                last_sense: 0.0,
                still: None,
                index_mark: spec.axes[index].index_mark,
            }
        };
        let axes = [axis(0), axis(1)];
        let base = spec.geometry.base;
        let chain = Chain::new(spec.geometry);
        let supply = spec.supply;
        let mut mount = Self {
            machine: Arc::new(machine),
            now: power_on,
            changed: power_on,
            axes,
            base,
            chain,
            settlings: Vec::new(),
            up: up_in(&base),
            toward: Vector3::zeros(),
            sail: Weights::of_tube(0.0),
            wind: None,
            course_of_temperature: None,
            play_factor: [1.0; 2],
            friction_factor: [1.0; 2],
            supply,
            supply_since: power_on,
            power: Power::On,
            plan: Plan::NOTHING,
            seen: None,
            changes: [None; 2],
            upcoming: None,
            told: Vec::new(),
        };
        mount.replan();
        Ok(mount)
    }

    /// What the mount was made from.
    pub fn spec(&self) -> &MountSpec {
        &self.machine.spec
    }

    /// The crystal that paces its computer and its motors.
    pub fn crystal(&self) -> &Crystal {
        &self.machine.crystal
    }

    /// The instant up to which events have happened.
    pub fn now(&self) -> Instant {
        self.now
    }
}
