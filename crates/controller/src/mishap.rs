//! What goes wrong in the computer itself, without anybody's asking.

use crate::Controller;
use crate::motors::{Axis, Motors};
use protocol::{Event, EventKind, Fields, Rate, Refusal, RefusalKind, Request};
use units::Span;

/// Something that goes wrong in the computer itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mishap {
    /// For so long it takes itself to be busy, and refuses whatever would move or change anything.
    StuckBusy(Span),
    /// So many entries come into its log of errors, each told as an event.
    ErrorFlood(u32),
    /// Everything that it was told since it was switched on is forgotten: site, clock and settings.
    OldSettings,
    /// The limit switch of an axis says so many times that it is pressed.
    LimitBounce {
        /// Which axis.
        axis: Axis,
        /// How many times.
        times: u32,
    },
}

impl Controller {
    /// Something goes wrong in the computer at `now`. Without power nothing can.
    pub fn befall(&mut self, mishap: Mishap, now: Span, motors: &mut impl Motors, events: &mut Vec<Event>) {
        if !self.powered {
            return;
        }
        match mishap {
            Mishap::StuckBusy(lasts) => self.stuck_until = Some(now + lasts),
            Mishap::ErrorFlood(count) => {
                for _ in 0..count {
                    self.tell(EventKind::Warn, Fields::new().number("minutes", 0.0, 1, "min"), now, events);
                }
            }
            Mishap::OldSettings => {
                let first = (*self.first).clone();
                self.belief.set_site(first.site, first.air);
                self.belief.shift_clock(first.clock + now - self.belief.instant(now));
                self.settings = first;
                self.belief_changed(now, motors);
            }
            Mishap::LimitBounce { axis, times } => {
                let moves = self.job.is_some() || self.motion.is_over() || self.motion.rate != Rate::Off;
                if moves {
                    self.stop(now, motors);
                }
                let axis = ["first", "second"][axis.index()];
                for _ in 0..times {
                    self.tell(
                        EventKind::Limit,
                        Fields::new().text("at", &format!("switch-{axis}")),
                        now,
                        events,
                    );
                }
            }
        }
    }

    /// Refuses what would change anything while it takes itself to be busy.
    pub(crate) fn not_stuck(&self, request: &Request, now: Span) -> Result<(), Refusal> {
        match self.stuck_until {
            Some(until) if now < until && request.acts() => {
                Err(Refusal::new(RefusalKind::Busy, "the mount is busy; send it again later"))
            }
            _ => Ok(()),
        }
    }
}
