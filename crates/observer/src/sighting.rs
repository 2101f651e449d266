//! Sighting a star: from the mount's arrival to a star that stands in the middle of the eyepiece.

use crate::centring::Centring;
use crate::chart;
use crate::hands::{Hands, Held};
use crate::seat::{Glass, Moment, NightOver, Object, Seat, Sight};
use units::{Angle, Span, Stream, maths};

/// How a star, or a target, came to stand in the middle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Found {
    /// It stands there.
    Centred,
    /// It was looked for and not found.
    Nowhere,
    /// It can't be seen now.
    Hidden,
    /// The mount's keys don't bring it there.
    Stuck,
}

/// How often the person waits a minute for a star to come out of the twilight.
const PATIENCE: usize = 90;

/// Rings of the search in the finder and in the eyepiece. In a finder of six degrees four rings hold the 15 degrees by which an hour
/// wrongly set turns the sky.
const RINGS: (i32, i32) = (4, 3);

/// Rings of the search for a faint target.
const RINGS_FOR_TARGETS: i32 = 2;

impl<S: Seat> Hands<'_, S> {
    /// Brings the star to which the mount has gone to the middle of the eyepiece; by mistake it may be another.
    pub(crate) fn bring_star(&mut self, star: &str) -> Result<Found, NightOver> {
        self.seat.note(Moment::Arrived { star });
        self.seat.wait(self.person.time_to_identify())?;
        let meant = Object::Star(star);
        let mut mistaken_for = self.mistake(star);
        if self.wary {
            self.seat.wait(self.person.time_to_identify())?;
            mistaken_for = None;
        }
        self.centred = mistaken_for.unwrap_or(star).to_owned();
        let found = self.bring(mistaken_for.map_or(meant, Object::Star))?;
        if found == Found::Centred {
            self.seat.note(Moment::Accepted { star });
        }
        Ok(found)
    }

    /// Waits in twilight until an object can be seen; `Some` if it can't be seen at all.
    pub(crate) fn await_darkness(&mut self, object: Object<'_>) -> Result<Option<Found>, NightOver> {
        for _ in 0..PATIENCE {
            match self.seat.see(Glass::Finder, object) {
                Sight::Seen(_) | Sight::NotThere => return Ok(None),
                Sight::Hidden => return Ok(Some(Found::Hidden)),
                Sight::TooBright => self.seat.wait(Span::from_whole_seconds(60))?,
            }
        }
        Ok(Some(Found::Hidden))
    }

    /// The neighbour that the person takes the star for, if they do: the likelier the further off it stood.
    fn mistake(&mut self, star: &str) -> Option<&'static str> {
        if self.person.wrong_star.fraction() <= 0.0 {
            return None;
        }
        let mut stream = self.streams.stream("wrong star", self.centrings);
        let field = self.seat.field(Glass::Finder, Object::Star(star));
        let off = match self.seat.see(Glass::Finder, Object::Star(star)) {
            Sight::Seen(spot) => field * spot.distance(),
            // Beyond the finder's edge: how far, nobody sees.
            Sight::NotThere | Sight::Hidden | Sight::TooBright => field,
        };
        let chance = chance_of_mistake(self.person.wrong_star.fraction(), off);
        if !stream.chance(chance) {
            return None;
        }
        pick(&chart::neighbours(star), &mut stream)
    }

    /// Brings an object to the middle of the eyepiece: a star by the finder if it must be; a target, which may be faint, by
    /// looking round in the eyepiece.
    pub(crate) fn bring(&mut self, object: Object<'_>) -> Result<Found, NightOver> {
        let number = self.centrings;
        self.centrings += 1;
        // Twice: what is found in the finder may still be lost on the way to the eyepiece.
        for _ in 0..2 {
            match self.glance(Glass::Eyepiece, object)? {
                Sight::Seen(_) => {}
                Sight::Hidden | Sight::TooBright => return Ok(Found::Hidden),
                Sight::NotThere => {
                    let found = match object {
                        Object::Star(_) => self.by_finder(object, number)?,
                        Object::Target(_) => self.by_searching(object, RINGS_FOR_TARGETS)?,
                    };
                    if found != Found::Centred {
                        return Ok(found);
                    }
                }
            }
            let how = self.in_eyepiece(object, number);
            match self.centre(object, how)? {
                Held::There => return Ok(Found::Centred),
                Held::Hidden => return Ok(Found::Hidden),
                Held::Stuck => return Ok(Found::Stuck),
                Held::Lost => {}
            }
        }
        Ok(Found::Nowhere)
    }

    /// Centres in the finder, then looks for it in the eyepiece.
    fn by_finder(&mut self, object: Object<'_>, number: u64) -> Result<Found, NightOver> {
        for _ in 0..2 {
            match self.glance(Glass::Finder, object)? {
                Sight::Seen(_) => {}
                Sight::Hidden | Sight::TooBright => return Ok(Found::Hidden),
                Sight::NotThere => {
                    if !self.hunt(object, Glass::Finder, RINGS.0)? {
                        return Ok(Found::Nowhere);
                    }
                }
            }
            let sigma = self.person.finder_centring;
            let aim = offset(&mut self.streams.stream("finder centring", number), sigma);
            let tolerance = self.tolerance(sigma).max(Angle::from_arcmin(1.0).radians());
            let how = Centring { glass: Glass::Finder, aim, tolerance, senses: [None; 2], mistaken: false };
            match self.centre(object, how)? {
                Held::There => break,
                Held::Hidden => return Ok(Found::Hidden),
                Held::Stuck => return Ok(Found::Stuck),
                Held::Lost => {}
            }
        }
        match self.glance(Glass::Eyepiece, object)? {
            Sight::Seen(_) => Ok(Found::Centred),
            Sight::Hidden | Sight::TooBright => Ok(Found::Hidden),
            Sight::NotThere => self.by_searching(object, RINGS.1),
        }
    }

    /// Looks round in the eyepiece.
    fn by_searching(&mut self, object: Object<'_>, rings: i32) -> Result<Found, NightOver> {
        Ok(if self.hunt(object, Glass::Eyepiece, rings)? { Found::Centred } else { Found::Nowhere })
    }

    /// How this person centres in the eyepiece this time.
    fn in_eyepiece(&mut self, object: Object<'_>, number: u64) -> Centring {
        let person = self.person;
        let sigma = self.seat.field(Glass::Eyepiece, object) * person.eyepiece_centring.fraction();
        let mut aim = offset(&mut self.streams.stream("eyepiece centring", number), sigma);
        let shift = focus_shift(&mut self.streams.stream("focus shift", number), person.focus_shift);
        aim = [aim[0] + shift[0], aim[1] + shift[1]];
        let kept = self.streams.stream("approach kept", number).chance(person.approach_kept.fraction());
        let senses = match person.approach.filter(|_| kept) {
            Some(approach) => [Some(approach.first), Some(approach.second)],
            None => [None; 2],
        };
        let mistaken = self.streams.stream("view mistaken", number).chance(person.view_mistaken.fraction());
        Centring { glass: Glass::Eyepiece, aim, tolerance: self.tolerance(sigma), senses, mistaken }
    }
}

/// Chance of taking a neighbour for the star, `at_one_degree` being the chance at a first arrival one degree off.
pub(crate) fn chance_of_mistake(at_one_degree: f64, off: Angle) -> f64 {
    if off <= Angle::ZERO {
        return 0.0;
    }
    if at_one_degree >= 1.0 {
        return 1.0;
    }
    1.0 - maths::exp(maths::ln(1.0 - at_one_degree) * off.degrees())
}

fn pick(weighted: &[(&'static str, f64)], stream: &mut Stream) -> Option<&'static str> {
    let total: f64 = weighted.iter().map(|(_, weight)| weight).sum();
    let mut left = stream.uniform() * total;
    for (name, weight) in weighted {
        left -= weight;
        if left < 0.0 {
            return Some(name);
        }
    }
    weighted.last().map(|(name, _)| *name)
}

/// A normal error in each direction, radians.
pub(crate) fn offset(stream: &mut Stream, sigma: Angle) -> [f64; 2] {
    [sigma.radians() * stream.normal(), sigma.radians() * stream.normal()]
}

/// A shift of a third to the whole of the largest, in any direction, radians.
pub(crate) fn focus_shift(stream: &mut Stream, largest: Angle) -> [f64; 2] {
    let length = largest.radians() * stream.between(1.0 / 3.0, 1.0);
    let (sin, cos) = maths::sincos(maths::TAU * stream.uniform());
    [length * sin, length * cos]
}
