//! One axis as it is at an instant: what the motor was ordered, where the rotor stands, where the wheel is in its gap.

use super::Machine;
use super::motion::Motion;
use crate::correction::CorrectionTable;
use crate::drive::Room;
use crate::swing::Swing;
use crate::turns::Place;
use std::sync::Arc;
use units::{Instant, Span};

/// Whether the rotor follows the orders.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Rotor {
    /// It does.
    Following,
    /// It stands at a motor position and waits for an order slow enough to catch it; a stall that was forced holds it until
    /// an instant, and loses a step whatever happens.
    Stalled { at: f64, held_until: Option<Instant> },
    /// It is pressed against something in the sense `sense`, until an order leads away.
    Jammed { at: f64, sense: f64 },
}

/// Where the wheel is in the room that the worm leaves it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Member {
    /// Friction holds it where it is; the worm pushes it when it comes.
    Resting { wheel: f64 },
    /// The load drives it through the gap.
    Crossing(Crossing),
    /// The load holds it against the leading flank (it runs ahead).
    Leading,
    /// The load holds it against the driving flank (it lags).
    Driving,
}

/// A passage through the gap: the share of the gap at an instant is a polynomial.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Crossing {
    /// +1 towards the leading flank, −1 towards the driving one.
    pub sense: f64,
    pub since: Instant,
    pub until: Instant,
    /// Share of the gap, 0 at the driving flank, in powers of the seconds since `since`.
    pub share: [f64; 5],
}

impl Crossing {
    #[inline]
    pub fn share_at(&self, at: Instant) -> f64 {
        let t = (at - self.since).seconds();
        let [a, b, c, d, e] = self.share;
        (a + t * (b + t * (c + t * (d + t * e)))).clamp(0.0, 1.0)
    }
}

/// An axis whose wheel nothing moves.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Still {
    /// Where the wheel stands, its own error included.
    pub wheel: f64,
    /// The ordered angle.
    pub ordered: Place,
}

#[derive(Clone, Debug)]
pub(crate) struct Axis {
    pub motion: Motion,
    pub rotor: Rotor,
    /// Motor position minus dial: whole microsteps lost or reset.
    pub offset: f64,
    /// What clutch and knocks have added to the axis.
    pub slip: f64,
    pub member: Member,
    pub swing: Swing,
    pub correction: Option<Arc<CorrectionTable>>,
    /// Whether it is played.
    pub correction_plays: bool,
    /// The offset at which a table with an index mark was tied to the worm.
    pub correction_tied: f64,
    /// The last sense in which it was ordered to move.
    pub last_sense: f64,
    /// What stays until the next event, if nothing moves the wheel.
    pub still: Option<Still>,
    /// Whether the table is tied to the worm by an index mark.
    pub index_mark: bool,
}

impl Axis {
    /// The dial: what the step counter says, in radians.
    #[inline]
    pub fn dial(&self, machine: &Machine, index: usize, time: Span) -> f64 {
        machine.drives[index].quantised(self.motion.position(time))
    }

    /// Where the motor stands, as an angle of the axis.
    #[inline(always)]
    pub fn motor(&self, machine: &Machine, index: usize, time: Span) -> f64 {
        match self.rotor {
            Rotor::Following => self.followed(machine, index, time),
            Rotor::Stalled { at, .. } | Rotor::Jammed { at, .. } => at,
        }
    }

    /// Where the motor would stand if it followed.
    #[inline(always)]
    pub fn followed(&self, machine: &Machine, index: usize, time: Span) -> f64 {
        let drive = &machine.drives[index];
        let ordered = self.motion.position(time);
        let corrected = match &self.correction {
            Some(table) if self.correction_plays => {
                let mark = if self.index_mark { self.offset - self.correction_tied } else { 0.0 };
                let place = ordered + mark;
                ordered + table.radians_at(drive.worm_turns(place))
            }
            _ => ordered,
        };
        drive.quantised(corrected) + self.offset
    }

    /// The angle at which the load is reckoned: the order, unquantised, as a true axis angle.
    #[inline(always)]
    pub fn ordered_angle(&self, machine: &Machine, index: usize, time: Span) -> f64 {
        let motor = match self.rotor {
            Rotor::Following => self.motion.position(time) + self.offset,
            Rotor::Stalled { at, .. } | Rotor::Jammed { at, .. } => at,
        };
        motor + self.slip + machine.zeros[index]
    }

    /// Where the wheel stands in this room.
    #[inline]
    pub fn wheel(&self, room: Room, at: Instant) -> f64 {
        match self.member {
            Member::Resting { wheel } => wheel.max(room.low).min(room.high),
            Member::Leading => room.high,
            Member::Driving => room.low,
            Member::Crossing(crossing) => room.low + (room.high - room.low) * crossing.share_at(at),
        }
    }

    /// Where the wheel stands as a share of its room, 0 at the driving flank; a half if there is no room.
    pub fn share(&self, room: Room, at: Instant) -> f64 {
        let width = room.high - room.low;
        if width <= 0.0 {
            return 0.5;
        }
        ((self.wheel(room, at) - room.low) / width).clamp(0.0, 1.0)
    }
}
