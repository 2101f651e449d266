//! Teaching the mount where it points, star by star.

use crate::hands::Hands;
use crate::lines::{angle, ask, quoted};
use crate::seat::{NightOver, Object, Seat};
use crate::sighting::Found;
use protocol::Aim;
use units::{Angle, Span};

/// How the mount is to learn where it points.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Method {
    /// One star.
    OneStar,
    /// Two stars.
    TwoStar,
    /// Three stars or more.
    ManyStar,
    /// The Moon or a planet.
    MoonOrPlanet,
    /// The alignment that the mount has kept.
    Resume,
}

impl Method {
    /// Its word on the line.
    pub const fn word(self) -> &'static str {
        match self {
            Self::OneStar => "one-star",
            Self::TwoStar => "two-star",
            Self::ManyStar => "many-star",
            Self::MoonOrPlanet => "moon-or-planet",
            Self::Resume => "resume",
        }
    }

    /// How many sightings it needs at least.
    pub const fn sightings(self) -> usize {
        match self {
            Self::Resume => 0,
            Self::OneStar | Self::MoonOrPlanet => 1,
            Self::TwoStar => 2,
            Self::ManyStar => 3,
        }
    }
}

/// What the person has in mind for the alignment.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AlignmentIntent {
    /// The method.
    pub method: Method,
    /// What the mount is to make of the sightings, by its word on the line; its own choice if left out.
    pub estimator: Option<&'static str>,
    /// The person's own stars in their order; the mount's proposals where there are none.
    pub stars: Vec<String>,
    /// Further sightings after the method's own.
    pub refine: usize,
}

/// What a sighting was for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// The alignment before the first target.
    Alignment,
    /// A sighting that was planned for later in the night.
    Later,
    /// To find a target that was missed.
    Recovery,
    /// A bright star on the way to a faint target.
    Stepping,
    /// After the bolts of the polar axis were turned.
    Polar,
}

/// How a sighting ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum SightingEnding {
    /// The mount took it.
    Taken,
    /// The star wasn't found.
    NotFound,
    /// It was hidden, or the sky too bright.
    Hidden,
    /// The keys didn't bring it to the middle.
    Stuck,
    /// The mount refused, with this sentence.
    Refused(String),
}

/// One sighting as the person lived it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sighting {
    /// The star that was meant.
    pub star: String,
    /// What for.
    pub purpose: Purpose,
    /// How it ended.
    pub ending: SightingEnding,
    /// How long it took, from the first line typed.
    pub took: Span,
    /// How many keys were pressed.
    pub presses: u64,
}

/// What a round of the alignment comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Round {
    /// It ended, with as many stars as the method needs or without.
    Taught(bool),
    /// Something was wrong from the first star on, and is mended now.
    BeginAgain,
}

/// How often a star may fail before the person gives the alignment up.
const MOST_FAILURES: usize = 6;

impl<S: Seat> Hands<'_, S> {
    /// Goes to a star, centres it, and tells the mount with a line that `told` makes of its name.
    pub(crate) fn sight(
        &mut self,
        star: &str,
        purpose: Purpose,
        told: impl Fn(&str) -> String,
        log: &mut Vec<Sighting>,
    ) -> Result<bool, NightOver> {
        let (begun, presses) = (self.now(), self.presses);
        let ending = self.sighted(star, told)?;
        let taken = ending == SightingEnding::Taken;
        log.push(Sighting {
            star: star.to_owned(),
            purpose,
            ending,
            took: self.now() - begun,
            presses: self.presses - presses,
        });
        Ok(taken)
    }

    fn sighted(&mut self, star: &str, told: impl Fn(&str) -> String) -> Result<SightingEnding, NightOver> {
        // A star is looked for in the sky before the mount is sent there.
        if self.await_darkness(Object::Star(star))?.is_some() {
            return Ok(SightingEnding::Hidden);
        }
        if let Err(refused) = self.go(&Aim::Name(star.to_owned()))? {
            return Ok(SightingEnding::Refused(refused.sentence));
        }
        match self.bring_star(star)? {
            Found::Centred => {}
            Found::Nowhere => return Ok(SightingEnding::NotFound),
            Found::Hidden => return Ok(SightingEnding::Hidden),
            Found::Stuck => return Ok(SightingEnding::Stuck),
        }
        self.presses += 1;
        match ask(self.seat, &told(star))? {
            Ok(reply) => {
                self.disagreement = angle(&reply, "disagreement").unwrap_or(Angle::ZERO);
                Ok(SightingEnding::Taken)
            }
            Err(refused) => self.doubted(star, &told, refused),
        }
    }

    /// The whole alignment; `false` if it came to nothing. It is begun again, once, where what was entered proves wrong or an earlier
    /// star must have been another one.
    pub(crate) fn align(
        &mut self,
        intent: &AlignmentIntent,
        log: &mut Vec<Sighting>,
    ) -> Result<bool, NightOver> {
        let taught = match self.align_once(intent, true, log)? {
            Round::Taught(enough) => enough,
            Round::BeginAgain => self.align_once(intent, false, log)? == Round::Taught(true),
        };
        self.wary = false;
        Ok(taught)
    }

    fn align_once(
        &mut self,
        intent: &AlignmentIntent,
        may_begin_again: bool,
        log: &mut Vec<Sighting>,
    ) -> Result<Round, NightOver> {
        self.presses += 1;
        let estimator = intent.estimator.map_or_else(String::new, |word| format!(" estimator={word}"));
        if ask(self.seat, &format!("align method={}{estimator}", intent.method.word()))?.is_err() {
            return Ok(Round::Taught(false));
        }
        let wanted = intent.method.sightings() + intent.refine;
        let (mut taken, mut failed) = (0, 0);
        let mut own = intent.stars.iter();
        let mut next = false;
        while taken < wanted && failed < MOST_FAILURES {
            let star = if intent.stars.is_empty() { self.proposal(next)? } else { own.next().cloned() };
            let Some(star) = star else { break };
            self.stood_by = false;
            if self.sight(&star, Purpose::Alignment, sight_line, log)? {
                taken += 1;
                next = false;
                if taken == 1 && may_begin_again && self.mended_what_was_entered()? {
                    return Ok(Round::BeginAgain);
                }
            } else if self.stood_by && self.insisted(&star)? {
                if let Some(last) = log.last_mut() {
                    last.ending = SightingEnding::Taken;
                }
                taken += 1;
                next = false;
            } else if self.stood_by && may_begin_again {
                // This star is right: it is an earlier one that isn't. What that one taught is worse than nothing.
                self.wary = true;
                self.presses += 1;
                if ask(self.seat, "align method=none")?.is_err() {
                    return Ok(Round::Taught(false));
                }
                return Ok(Round::BeginAgain);
            } else {
                failed += 1;
                next = true;
            }
        }
        Ok(Round::Taught(taken >= intent.method.sightings()))
    }

    /// The star that the mount proposes; the next one if `next`, since the last one won't do.
    pub(crate) fn proposal(&mut self, next: bool) -> Result<Option<String>, NightOver> {
        self.presses += 1;
        let line = if next { "propose next=yes" } else { "propose" };
        Ok(ask(self.seat, line)?.ok().and_then(|reply| reply.get("star").map(str::to_owned)))
    }
}

/// The line that takes the dials of now as a sighting of a star.
pub(crate) fn sight_line(star: &str) -> String {
    format!("sight name={}", quoted(star))
}

/// The same, in place of the nearest or the oldest earlier sighting.
pub(crate) fn sight_in_place_of(star: &str, replaced: &str) -> String {
    format!("sight name={} replaces={replaced}", quoted(star))
}

/// The line that shifts the mount's belief so that it points at a star now.
pub(crate) fn sync_line(star: &str) -> String {
    format!("sync name={}", quoted(star))
}
