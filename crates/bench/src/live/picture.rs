//! Everything that a drawing of the mount needs at one instant.

use super::Live;
use crate::measured::{self, pair};
use crate::outcome::MountKind;
use kinematics::frames;
use nalgebra::Vector3;
use sky::{Body, Source};
use units::{Angle, Instant};
use world::Contact;

/// The mount at one instant: what is true, and what it says of itself.
#[derive(Clone, Debug, PartialEq)]
pub struct Picture {
    /// The true instant.
    pub now: Instant,
    /// Kind of mount, which names its axes.
    pub kind: MountKind,
    /// What the step counters say.
    pub dials: (Angle, Angle),
    /// The true axes.
    pub axes: (Angle, Angle),
    /// The play of both axes.
    pub plays: [Play; 2],
    /// Turns of the worm of each axis by its counter, whole ones included.
    pub worm_turns: [f64; 2],
    /// Where the mount believes to point: azimuth and altitude as observed.
    pub belief: (Angle, Angle),
    /// Where it points.
    pub truth: (Angle, Angle),
    /// Truth minus belief, to the east and north, as the great circle from one to the other.
    pub gap: (Angle, Angle),
    /// Position angle of the tube's upward direction, from north through east.
    pub field_angle: Angle,
    /// On which side of the pier the tube hangs: `west`, `east` or `none`.
    pub tube_side: &'static str,
    /// What the tube was last sent to and reached.
    pub target: Option<Target>,
    /// Where the Sun stands.
    pub sun: (Angle, Angle),
    /// What the mount says of itself.
    pub told: Told,
}

/// What errors are measured against.
#[derive(Clone, Debug, PartialEq)]
pub struct Target {
    /// Its name in the catalogue.
    pub name: String,
    /// Where it is observed.
    pub horizontal: (Angle, Angle),
    /// Boresight minus target, east and north.
    pub error: (Angle, Angle),
}

/// An axis in its play.
#[derive(Clone, Debug, PartialEq)]
pub struct Play {
    /// `driving`, `leading` or `none`.
    pub contact: &'static str,
    /// Place in the gap: 0 at the driving flank, 1 at the leading one.
    pub share: f64,
    /// The gap as it is here.
    pub gap: Angle,
    /// Whether the load holds the wheel.
    pub loaded: bool,
}

/// What the mount answers when it is asked about itself.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    /// Answer to `status`.
    pub status: String,
    /// Answer to `status group=pointing`.
    pub pointing: String,
    /// Answer to `align`.
    pub alignment: String,
}

/// Something in the sky over the site.
#[derive(Clone, Debug, PartialEq)]
pub struct SkyMark {
    /// Its name.
    pub name: String,
    /// Magnitude; none for a body.
    pub magnitude: Option<f64>,
    /// Azimuth and altitude as observed.
    pub horizontal: (Angle, Angle),
}

impl Live {
    /// Looks at everything at once.
    pub fn picture(&mut self) -> Picture {
        let told = Told {
            status: self.ask("status"),
            pointing: self.ask("status group=pointing"),
            alignment: self.ask("align"),
        };
        let truth = self.world.truth();
        let pose = truth.pose();
        let believed = self.world.controller().belief().model().direction_for(pose.dials);
        let (sin, cos) = truth.station().latitude_sin_cos();
        let pole = Vector3::new(0.0, cos, sin);
        let gears = &self.prepared.world.mount.axes;
        let worm_turns = [pose.dials.first, pose.dials.second].map(|dial| dial / Angle::TURN);
        Picture {
            now: self.world.now(),
            kind: self.prepared.kind,
            dials: pair(pose.dials),
            axes: pair(pose.axes),
            plays: [self.play(0), self.play(1)],
            worm_turns: [worm_turns[0] * gears[0].teeth as f64, worm_turns[1] * gears[1].teeth as f64],
            belief: frames::horizontal(&believed),
            truth: frames::horizontal(&pose.boresight),
            gap: frames::tangent_offset(&believed, &pose.boresight, &pole),
            field_angle: truth.field_angle(),
            tube_side: measured::tube_side(&truth),
            target: self.target.as_ref().map(|aimed| {
                let sample = truth.sample(&aimed.track);
                Target { name: aimed.name.clone(), horizontal: sample.target_horizontal, error: sample.error }
            }),
            sun: frames::horizontal(&truth.observed(self.chart.sun())),
            told,
        }
    }

    /// Which flank touches. A wheel that rests against one stands off it by the rounding of its place, so a millionth of the gap
    /// is a touch.
    pub(super) fn contact(&self, axis: usize) -> Contact {
        const TOUCH: f64 = 1e-6;
        let state = self.world.truth().play(axis);
        match state.contact {
            Contact::None if state.gap <= Angle::ZERO => Contact::None,
            Contact::None if state.share <= TOUCH => Contact::Driving,
            Contact::None if state.share >= 1.0 - TOUCH => Contact::Leading,
            found => found,
        }
    }

    fn play(&self, axis: usize) -> Play {
        let state = self.world.truth().play(axis);
        let contact = match self.contact(axis) {
            Contact::Driving => "driving",
            Contact::Leading => "leading",
            Contact::None => "none",
        };
        Play { contact, share: state.share, gap: state.gap, loaded: state.loaded }
    }

    /// The bright stars, the Moon and the planets that stand above the horizon.
    pub fn overhead(&mut self) -> Vec<SkyMark> {
        let truth = self.world.truth();
        let above = |name: &str, magnitude, track| {
            let horizontal = frames::horizontal(&truth.observed(track));
            (horizontal.1 > Angle::ZERO).then(|| SkyMark { name: name.to_owned(), magnitude, horizontal })
        };
        let bright =
            self.chart.bright().filter_map(|star| above(&star.name, Some(star.magnitude), &star.track));
        let bodies = self.chart.bodies().filter_map(|(body, track)| {
            let is_sun = matches!(track.source(), Source::Body(Body::Sun));
            (!is_sun).then(|| above(body.name(), None, track)).flatten()
        });
        bright.chain(bodies).collect()
    }

    /// The skyline: azimuth and altitude, once round.
    pub fn skyline(&self) -> Vec<(Angle, Angle)> {
        self.prepared.skyline()
    }

    /// Latitude of the site.
    pub fn latitude(&self) -> Angle {
        self.prepared.world.site.latitude()
    }

    /// Title of the night.
    pub fn title(&self) -> &str {
        self.prepared.plan.night.title.as_deref().unwrap_or("A night without a title")
    }

    /// Teeth of both wheels.
    pub fn teeth(&self) -> [i64; 2] {
        [0, 1].map(|axis| self.prepared.world.mount.axes[axis].teeth)
    }

    /// Time of one turn of the first axis's worm at the sidereal rate, in seconds.
    pub fn worm_period(&self) -> f64 {
        self.prepared.world.mount.axes[0].worm_period(units::AngularRate::SIDEREAL).seconds()
    }

    /// Lowest altitude, highest altitude, and the radius of the circle round the Sun that the mount keeps, in degrees.
    pub fn bounds(&self) -> [f64; 3] {
        let settings = self.world.controller().settings();
        [settings.lowest, settings.highest, settings.sun_radius].map(Angle::degrees)
    }
}
