//! What the computer knows when it is switched on.

use crate::correction::Worm;
use alignment::Model;
use kinematics::profile::Limits;
use kinematics::{AxisAngles, Kind, sides};
use protocol::{FinalApproach, MeridianPolicy, Rate, SolutionChoice, TrackAxes};
use sky::{Air, Horizon, Site};
use std::sync::Arc;
use units::{Angle, AngularRate, Instant, Span};

/// Built in, or typed in by the person before the first request. Requests change some of it; what they change is kept
/// over a loss of power.
#[derive(Clone, Debug)]
pub struct Settings {
    /// Kind of mount.
    pub kind: Kind,
    /// Where it was told to stand.
    pub site: Site,
    /// The air it was told of; without pressure it leaves refraction out.
    pub air: Air,
    /// UT1 − UTC that it was told.
    pub ut1_minus_utc: Span,
    /// What its clock showed at power-on.
    pub clock: Instant,
    /// Whether its clock runs on through a loss of power; otherwise it shows `clock` again.
    pub clock_has_battery: bool,
    /// What its drives can do, by axis.
    pub limits: [Limits; 2],
    /// How far a German mount may turn past the meridian, on either side.
    pub over_run: Angle,
    /// What happens when tracking has gone so far.
    pub meridian: MeridianPolicy,
    /// How a German mount chooses between its two positions.
    pub solution: SolutionChoice,
    /// The skyline that it was told; it goes to nothing below.
    pub horizon: Horizon,
    /// The lowest altitude that it points at.
    pub lowest: Angle,
    /// The highest altitude that it points at.
    pub highest: Angle,
    /// How far the azimuth axis may turn from home, either way.
    pub cable_wrap: Angle,
    /// Radius round the zenith that an alt-azimuth mount keeps out of; at least half a degree.
    pub zenith_zone: Angle,
    /// The dials of its home position, where it is switched on and parked.
    pub home: AxisAngles,
    /// How it tracks what it was sent to in the sky.
    pub rate: Rate,
    /// Whether both axes of a go-to arrive together; otherwise each takes its own shortest time.
    pub axes_together: bool,
    /// Which axes tracking turns; an alt-azimuth mount turns both whatever stands here.
    pub tracking: TrackAxes,
    /// How its go-tos end.
    pub final_approach: FinalApproach,
    /// How far past the target an axis goes that would arrive in the other sense.
    pub overshoot: Angle,
    /// By how much each motor runs on when its axis turns back; the dial leaves it out.
    pub take_up: [Angle; 2],
    /// Rate of guide corrections.
    pub guide_rate: AngularRate,
    /// The worm of the first axis.
    pub worm: Worm,
    /// A correction of the periodic error that its drive has already, and plays.
    pub correction: Option<Arc<[Angle]>>,
    /// How long a held nudge goes on without being repeated.
    pub dead_man: Span,
    /// Radius of the circle round the Sun that it keeps out of.
    pub sun_radius: Angle,
    /// Whether it may point at the Sun all the same, and move by day without having been aligned.
    pub sun_override: bool,
    /// The alignment that is kept over a loss of power.
    pub kept_alignment: Option<Arc<Model>>,
    /// Whether it stays whatever is sighted later.
    pub alignment_held: bool,
    /// Version of the program, for `version`.
    pub version: &'static str,
}

impl Settings {
    /// Those of a mount that was told where it stands and nothing else: sidereal tracking with one axis, no final approach, no
    /// take-up, a level skyline at 0°, a worm of 160 turns with an index mark.
    pub fn new(kind: Kind, site: Site, air: Air, clock: Instant, limits: [Limits; 2]) -> Self {
        Self {
            kind,
            site,
            air,
            ut1_minus_utc: Span::ZERO,
            clock,
            clock_has_battery: true,
            limits,
            over_run: Angle::from_degrees(10.0),
            meridian: MeridianPolicy::Stop,
            solution: SolutionChoice::ByHourAngle,
            horizon: Horizon::level(Angle::ZERO),
            lowest: Angle::from_degrees(-5.0),
            highest: Angle::QUARTER,
            cable_wrap: Angle::from_degrees(270.0),
            zenith_zone: Angle::from_degrees(2.0),
            home: sides::home(kind, site.latitude()),
            rate: Rate::Sidereal,
            axes_together: false,
            tracking: TrackAxes::One,
            final_approach: FinalApproach::None,
            overshoot: Angle::from_arcmin(15.0),
            take_up: [Angle::ZERO; 2],
            guide_rate: AngularRate::SIDEREAL * 0.5,
            worm: Worm { turns: 160, index_mark: true, steepest: 0.5 },
            correction: None,
            dead_man: Span::from_whole_seconds(1),
            sun_radius: Angle::from_degrees(20.0),
            sun_override: false,
            kept_alignment: None,
            alignment_held: false,
            version: env!("CARGO_PKG_VERSION"),
        }
    }

    /// Which axes tracking turns on this kind of mount.
    pub fn track_axes(&self) -> TrackAxes {
        if self.kind == Kind::AltAzimuth { TrackAxes::Both } else { self.tracking }
    }
}
