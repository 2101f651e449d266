//! What a night does to a mount, at its appointed time.

use controller::Mishap;
use faults::{Kind, Order};
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
    /// The computer's watchdog starts it anew, which takes so long.
    SelfRestart(Span),
    /// The computer does nothing for so long.
    Freeze(Span),
    /// Something goes wrong in the computer.
    Mishap(Mishap),
    /// The motor of an axis (0 first, 1 second) loses steps: it falls behind by an angle.
    LostSteps {
        /// 0 first, 1 second.
        axis: usize,
        /// By how much it falls behind.
        angle: Angle,
    },
    /// The count of an axis jumps while nothing moves.
    CountSlip {
        /// 0 first, 1 second.
        axis: usize,
        /// By how much.
        angle: Angle,
    },
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
            Self::SelfRestart(_) => "self-restart",
            Self::Freeze(_) => "freeze",
            Self::Mishap(Mishap::StuckBusy(_)) => "stuck-busy",
            Self::Mishap(Mishap::ErrorFlood(_)) => "error-flood",
            Self::Mishap(Mishap::OldSettings) => "old-settings",
            Self::Mishap(Mishap::LimitBounce { .. }) => "limit-bounce",
            Self::LostSteps { .. } => "lost-steps",
            Self::CountSlip { .. } => "count-slip",
        }
    }

    /// How long a fault of the mount goes on that doesn't say so; one that is over at once has no length.
    pub const fn usual_length(kind: Kind) -> Span {
        Span::from_whole_seconds(match kind {
            Kind::BrownOut => 1,
            Kind::SelfRestart => 3,
            Kind::Freeze => 5,
            Kind::StuckBusy => 30,
            Kind::Stall => 2,
            _ => 0,
        })
    }

    /// What an order of one of the mount's own faults does when it strikes.
    ///
    /// # Panics
    /// For a fault of the wire.
    pub fn of_order(order: &Order) -> Self {
        let given = &order.parameters;
        let lasts = given.lasts.unwrap_or(Self::usual_length(order.kind));
        let axis = given.axis.unwrap_or(faults::Axis::First);
        let angle = given.angle.unwrap_or(Angle::from_arcmin(5.0));
        match order.kind {
            Kind::BrownOut => Self::BrownOut(lasts),
            Kind::SelfRestart => Self::SelfRestart(lasts),
            Kind::StuckBusy => Self::Mishap(Mishap::StuckBusy(lasts)),
            Kind::ErrorFlood => Self::Mishap(Mishap::ErrorFlood(order.burst)),
            Kind::Freeze => Self::Freeze(lasts),
            Kind::OldSettings => Self::Mishap(Mishap::OldSettings),
            Kind::Stall => Self::Stall { axis: axis.index(), lasts },
            Kind::LostSteps => Self::LostSteps { axis: axis.index(), angle },
            Kind::CountSlip => Self::CountSlip { axis: axis.index(), angle },
            Kind::LimitBounce => {
                let axis = [controller::Axis::First, controller::Axis::Second][axis.index()];
                Self::Mishap(Mishap::LimitBounce { axis, times: order.burst })
            }
            Kind::ClockJump => Self::ClockJump(given.by.unwrap_or(Span::from_whole_seconds(60))),
            wire => unreachable!("{wire:?} is a fault of the wire"),
        }
    }

    /// Does to the mount what it does; what befalls the computer alone is done there.
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
            Self::SelfRestart(lasts) => mount.brown_out(*lasts, now),
            Self::LostSteps { axis, angle } => mount.lose_steps(*axis, *angle, now),
            Self::CountSlip { axis, angle } => mount.count_slip(*axis, *angle, now),
            Self::ClockJump(_) | Self::Freeze(_) | Self::Mishap(_) => {}
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
