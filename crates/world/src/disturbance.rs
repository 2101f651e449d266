//! What a night does to a mount, at its appointed time.

use mechanics::{Mount, TemperatureCourse, WindSpec};
use units::{Angle, Instant, Span, Streams};

/// One disturbance.
#[derive(Clone, Debug, PartialEq)]
pub enum Disturbance {
    /// Axes and base move for good; the dials know nothing of it.
    Knock {
        /// How far each axis jumps.
        axes: [Angle; 2],
        /// What the base does.
        base: BaseMove,
    },
    /// The tube is pushed aside about each axis and springs back.
    Bump([Angle; 2]),
    /// The clutches slip.
    ClutchSlip([Angle; 2]),
    /// A foot meets the tripod.
    TripodKick(BaseMove),
    /// The tripod begins to sink in.
    Settle {
        /// What the base's vertical axis comes to lean by, north and east.
        lean: [Angle; 2],
        /// Time in which 63 % of it has happened.
        time: Span,
    },
    /// A wind rises, or falls calm.
    Wind(Option<WindSpec>),
    /// The supply fails for so long.
    BrownOut(Span),
    /// The motor of an axis stalls for at least so long.
    Stall {
        /// 0 first, 1 second.
        axis: usize,
        /// How long its rotor is held.
        lasts: Span,
    },
    /// The clock of the mount's computer jumps forward.
    ClockJump(Span),
    /// The air grows colder or warmer.
    Temperature(TemperatureCourse),
}

/// How the base moves at once.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct BaseMove {
    /// North end of an hour axis up, or the upper end of an azimuth axis to the north.
    pub north_end_up: Angle,
    /// North end of an hour axis to the east in azimuth.
    pub north_end_east: Angle,
    /// The base's vertical axis leans further to the north.
    pub lean_north: Angle,
    /// And to the east.
    pub lean_east: Angle,
}

impl Disturbance {
    /// Its word in scenarios and results.
    pub const fn word(&self) -> &'static str {
        match self {
            Self::Knock { .. } => "knock",
            Self::Bump(_) => "bump",
            Self::ClutchSlip(_) => "clutch-slip",
            Self::TripodKick(_) => "tripod-kick",
            Self::Settle { .. } => "settle",
            Self::Wind(_) => "wind",
            Self::BrownOut(_) => "brown-out",
            Self::Stall { .. } => "stall",
            Self::ClockJump(_) => "clock-jump",
            Self::Temperature(_) => "temperature",
        }
    }

    /// Does to the mount what it does; a clock's jump is the computer's alone.
    pub(crate) fn strike(&self, number: u64, mount: &mut Mount, streams: &Streams, now: Instant) {
        match self {
            Self::Knock { axes, base } => {
                each(mount, axes, now, Mount::knock);
                base.strike(mount, now);
            }
            Self::Bump(axes) => each(mount, axes, now, Mount::bump),
            Self::ClutchSlip(axes) => each(mount, axes, now, Mount::clutch_slip),
            Self::TripodKick(base) => base.strike(mount, now),
            Self::Settle { lean: [north, east], time } => mount.settling(*north, *east, *time, now),
            Self::Wind(wind) => mount.wind(*wind, streams, number, now),
            Self::BrownOut(lasts) => mount.brown_out(*lasts, now),
            Self::Stall { axis, lasts } => mount.stall(*axis, *lasts, now),
            Self::Temperature(course) => mount.temperature(course.clone(), now),
            Self::ClockJump(_) => {}
        }
    }
}

fn each(mount: &mut Mount, angles: &[Angle; 2], now: Instant, act: fn(&mut Mount, usize, Angle, Instant)) {
    for (axis, angle) in angles.iter().enumerate() {
        if *angle != Angle::ZERO {
            act(mount, axis, *angle, now);
        }
    }
}

impl BaseMove {
    fn strike(&self, mount: &mut Mount, now: Instant) {
        if self.north_end_up != Angle::ZERO || self.north_end_east != Angle::ZERO {
            mount.tripod_kick(self.north_end_up, self.north_end_east, now);
        }
        if self.lean_north != Angle::ZERO || self.lean_east != Angle::ZERO {
            mount.lean(self.lean_north, self.lean_east, now);
        }
    }
}
