//! Visitors: everybody has a look, and some touch what they shouldn't.

use crate::hands::Hands;
use crate::person::Care;
use crate::seat::{Glass, NightOver, Object, Seat, Sight};
use crate::sighting::Found;
use units::{Angle, Span, Stream, Streams, maths};

/// Bumps of the eyepiece in an hour of visitors, kicks at the tripod, slips of a clutch (common practice, no source).
const PER_HOUR: [f64; 3] = [10.0, 0.3, 0.1];

/// Share of the bumps that leave a step.
const LEAVES_A_STEP: f64 = 0.1;

/// Beyond this share of the field from the middle the host centres before the next visitor.
const NEAR_ENOUGH: f64 = 0.25;

/// How the visitors of one target fared.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Visits {
    /// How many came to the eyepiece.
    pub came: u64,
    /// How many saw what they came for.
    pub saw: u64,
    /// How often the host centred between them.
    pub centrings: u64,
}

/// What befalls the mount while one visitor looks: in time order, each with its time since the visitor stepped up.
pub fn jolts(streams: &Streams, visitor: u64, length: Span) -> Vec<(Span, crate::seat::Jolt)> {
    use crate::seat::Jolt;
    let mut all: Vec<(Span, Jolt)> = Vec::new();
    let arcmin = |value: f64| Angle::from_arcmin(value);
    let directed = |stream: &mut Stream, size: f64| {
        let length = size * stream.rayleigh();
        let (sin, cos) = maths::sincos(maths::TAU * stream.uniform());
        [arcmin(length * sin), arcmin(length * cos)]
    };
    for (kind, name) in ["eyepiece bumps", "tripod kicks", "clutch slips"].into_iter().enumerate() {
        let mut stream = streams.stream(name, visitor);
        let mut at = Span::ZERO;
        loop {
            at += Span::from_seconds(stream.exponential() * 3600.0 / PER_HOUR[kind]);
            if at >= length {
                break;
            }
            let jolt = match kind {
                0 if stream.chance(LEAVES_A_STEP) => Jolt::Step(directed(&mut stream, 3.0)),
                0 => Jolt::Bump(directed(&mut stream, 5.0)),
                1 => Jolt::Kick(directed(&mut stream, 10.0)),
                _ => {
                    let axis = usize::from(stream.chance(0.5));
                    let sense = if stream.chance(0.5) { 1.0 } else { -1.0 };
                    let angle = Angle::from_degrees(sense * stream.between(0.5, 3.0));
                    Jolt::Slip { axis, angle }
                }
            };
            all.push((at, jolt));
        }
    }
    all.sort_by_key(|(at, _)| *at);
    all
}

impl<S: Seat> Hands<'_, S> {
    /// Shows a target to visitors, one after the other, and centres it between them where it has wandered.
    ///
    /// `first` is the number of the first of them in the whole night.
    pub(crate) fn show(
        &mut self,
        target: usize,
        visitors: u64,
        first: u64,
        each: Span,
        visits: &mut Visits,
    ) -> Result<(), NightOver> {
        let object = Object::Target(target);
        let mut lost = false;
        for visitor in first..first + visitors {
            let seen = self.glance(Glass::Eyepiece, object)?;
            let off = match seen {
                Sight::Seen(spot) => spot.distance() > NEAR_ENOUGH,
                Sight::NotThere => true,
                Sight::Hidden | Sight::TooBright => false,
            };
            // What couldn't be found once isn't looked for again while people wait.
            if off && !lost {
                visits.centrings += 1;
                lost = self.bring(object)? == Found::Nowhere;
            }
            visits.came += 1;
            if matches!(self.seat.see(Glass::Eyepiece, object), Sight::Seen(_)) {
                visits.saw += 1;
            }
            self.endure(visitor, each)?;
        }
        Ok(())
    }

    /// One visitor at the eyepiece.
    fn endure(&mut self, visitor: u64, length: Span) -> Result<(), NightOver> {
        if self.person.care == Care::Perfect {
            // A perfect evening has perfect guests.
            return self.seat.wait(length);
        }
        let mut passed = Span::ZERO;
        for (at, jolt) in jolts(&self.streams, visitor, length) {
            self.seat.wait(at - passed)?;
            passed = at;
            self.felt_a_kick |= matches!(jolt, crate::seat::Jolt::Kick(_));
            self.seat.jolt(jolt);
        }
        self.seat.wait(length - passed)
    }
}
