//! What a person makes of a mount that doubts: another look at the star, at the watch and the map, at the sky after a kick.

use crate::alignment::SightingEnding;
use crate::hands::Hands;
use crate::lines::{Refused, ask, quoted};
use crate::person::{Care, WhenAsked};
use crate::seat::{Moment, NightOver, Object, Seat};
use crate::sighting::Found;
use protocol::{CivilTime, RefusalKind};
use sky::time;
use units::{Angle, Fixed, Span};

/// The mount doubted something or asked, and the person looked.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Doubt {
    /// When, since the evening began.
    pub at: Span,
    /// What the mount said.
    pub asked: String,
    /// What the person did about it.
    pub answer: &'static str,
    /// Whether that was right; `None` where nobody at the mount could tell.
    pub right: Option<bool>,
}

/// A star that the mount takes farther from its place than this makes the person wonder what was entered: no usual set-up leaves
/// so much (our own estimate: common practice, no source).
const WONDERS: Angle = Angle::from_degrees(3.0);

/// To look at a watch and a map (common practice, no source).
const LOOKING: Span = Span::from_whole_seconds(30);

/// A clock that is further off than this was set wrongly; less is how people set clocks.
const CLOCK_WRONG: Span = Span::from_whole_seconds(300);

impl<S: Seat> Hands<'_, S> {
    fn looks_again(&self) -> bool {
        self.person.when_asked == WhenAsked::LookAgain
    }

    fn doubt(&mut self, asked: &str, answer: &'static str, right: Option<bool>) {
        let at = self.now();
        self.doubts.push(Doubt { at, asked: asked.to_owned(), answer, right });
    }

    /// The mount has refused a sighting. If it doubts that this is the star, the person looks again: a careful one at the chart, the usual one takes
    /// the star that the mount names, if it names one.
    pub(crate) fn doubted(
        &mut self,
        star: &str,
        told: &impl Fn(&str) -> String,
        refused: Refused,
    ) -> Result<SightingEnding, NightOver> {
        let contradicts = refused.is(RefusalKind::UnfitSighting)
            && ["another star", "contradict"].iter().any(|words| refused.sentence.contains(words));
        let doubts = refused.is(RefusalKind::Suspicious) || contradicts;
        let sentence = refused.sentence;
        if !doubts || !self.looks_again() {
            return Ok(SightingEnding::Refused(sentence));
        }
        self.seat.wait(self.person.time_to_identify())?;
        let named =
            if contradicts || self.person.care == Care::Careful { None } else { self.likelier(star)? };
        if let Some(named) = named {
            let right = named == self.centred;
            self.doubt(&sentence, "took the star that the mount named", Some(right));
            return self.tell_of(&named, told);
        }
        if self.centred == star {
            self.doubt(&sentence, "looked at the chart: it is that star", Some(true));
            self.stood_by = true;
            return Ok(SightingEnding::Refused(sentence));
        }
        let found = self.bring(Object::Star(star))? == Found::Centred;
        self.doubt(&sentence, "looked at the chart: it was another star", Some(true));
        if !found {
            return Ok(SightingEnding::NotFound);
        }
        star.clone_into(&mut self.centred);
        self.tell_of(star, told)
    }

    /// Tells the mount of a star that stands in the middle.
    fn tell_of(&mut self, star: &str, told: &impl Fn(&str) -> String) -> Result<SightingEnding, NightOver> {
        self.seat.note(Moment::Accepted { star });
        self.presses += 1;
        Ok(match ask(self.seat, &told(star))? {
            Ok(_) => SightingEnding::Taken,
            Err(Refused { sentence, .. }) => SightingEnding::Refused(sentence),
        })
    }

    /// The star that the mount takes for likelier than the one that was said.
    fn likelier(&mut self, star: &str) -> Result<Option<String>, NightOver> {
        self.presses += 1;
        let reply = ask(self.seat, &format!("verify name={}", quoted(star)))?.ok();
        let named = reply.and_then(|reply| reply.get("likelier").map(str::to_owned));
        Ok(named.filter(|name| name != "none"))
    }

    /// After a star that stood far from its place the person asks the mount what may have been entered wrongly, and looks at the watch and the
    /// map; `true` if something was wrong and is mended.
    pub(crate) fn mended_what_was_entered(&mut self) -> Result<bool, NightOver> {
        if !self.looks_again() || self.disagreement < WONDERS {
            return Ok(false);
        }
        self.presses += 1;
        let Ok(reply) = ask(self.seat, "questions")? else { return Ok(false) };
        let count: usize = reply.get("count").and_then(|text| text.parse().ok()).unwrap_or(0);
        let mut asked = Vec::new();
        for entry in 1..=count {
            if let Ok(reply) = ask(self.seat, &format!("questions entry={entry}"))? {
                asked.extend(reply.get("slip").map(str::to_owned));
            }
        }
        if asked.is_empty() {
            return Ok(false);
        }
        self.seat.wait(LOOKING)?;
        let about = |words: &[&str]| asked.iter().any(|slip| words.iter().any(|word| slip.contains(word)));
        let clock = about(&["clock", "zone", "date", "day"]) && self.set_the_clock()?;
        let site = about(&["longitude", "latitude"]) && self.set_the_site()?;
        let answer = if clock {
            "looked at the watch and set the clock"
        } else if site {
            "looked at the map and entered the place again"
        } else {
            "looked at watch and map: nothing was wrong"
        };
        self.doubt(&asked.join("; "), answer, Some(true));
        if clock || site {
            // What the first star has taught rests on what was entered.
            self.presses += 1;
            return Ok(ask(self.seat, "align method=none")?.is_ok());
        }
        Ok(false)
    }

    /// Sets the mount's clock by the watch, if it was set wrongly.
    fn set_the_clock(&mut self) -> Result<bool, NightOver> {
        let fast = self.handset.entered.clock_fast;
        if fast.abs() < CLOCK_WRONG {
            return Ok(false);
        }
        let Ok(reply) = ask(self.seat, "time")? else { return Ok(false) };
        let shown = reply.get("utc").and_then(CivilTime::parse).and_then(instant);
        let Some(Ok(right)) = shown.map(|shown| time::utc_text(shown - fast, 3)) else { return Ok(false) };
        self.presses += 1;
        let set = ask(self.seat, &format!("time utc={right}"))?.is_ok();
        if set {
            self.handset.entered.clock_fast = Span::ZERO;
        }
        Ok(set)
    }

    /// Enters the place by the map, if another was entered.
    fn set_the_site(&mut self) -> Result<bool, NightOver> {
        let entered = self.handset.entered;
        let mut line = "site".to_owned();
        for (key, angle) in [("latitude", entered.latitude), ("longitude", entered.longitude)] {
            if let Some(angle) = angle {
                line.push_str(&format!(" {key}="));
                Fixed { value: angle.degrees(), decimals: 8 }.push_to(&mut line);
                line.push_str("deg");
            }
        }
        if line == "site" {
            return Ok(false);
        }
        self.presses += 1;
        let set = ask(self.seat, &line)?.is_ok();
        if set {
            self.handset.latitude = entered.latitude.unwrap_or(self.handset.latitude);
            (self.handset.entered.latitude, self.handset.entered.longitude) = (None, None);
        }
        Ok(set)
    }

    /// After a kick that was felt, before the next target.
    pub(crate) fn after_a_kick(&mut self) -> Result<(), NightOver> {
        if std::mem::take(&mut self.felt_a_kick) && self.looks_again() {
            self.hold_against_the_sky(None)?;
        }
        Ok(())
    }

    /// Holds two stars against the mount's model, the first of them in the eyepiece already if it is given, and tells the mount what has
    /// moved, if it says that something has. What it learnt of the rest it keeps.
    pub(crate) fn hold_against_the_sky(&mut self, first: Option<&str>) -> Result<(), NightOver> {
        let kicked = first.is_none();
        let mut moved = None;
        let mut first = first.map(str::to_owned);
        for number in 0..2 {
            let star = match first.take() {
                Some(star) => star,
                None => {
                    let Some(star) = self.proposal(number > 0)? else { return Ok(()) };
                    let there = self.go(&protocol::Aim::Name(star.clone()))?.is_ok();
                    if !there || self.bring_star(&star)? != Found::Centred {
                        return Ok(());
                    }
                    star
                }
            };
            self.presses += 1;
            let Ok(reply) = ask(self.seat, &format!("verify name={}", quoted(&star)))? else { return Ok(()) };
            moved = reply.get("moved").filter(|part| *part != "nothing").map(str::to_owned);
        }
        let asked = "do two stars stand beside their places together?";
        let Some(part) = moved else {
            self.doubt(asked, "held two stars against the mount: nothing has moved", None);
            return Ok(());
        };
        self.presses += 1;
        if ask(self.seat, &format!("moved part={part}"))?.is_ok() {
            // A foot at the tripod moves the base and nothing else.
            let right = kicked.then_some(part == "base");
            self.doubt(asked, "told the mount what has moved", right);
        }
        Ok(())
    }

    /// The person is sure of a star that the mount can't believe, and insists; `false` if it contradicts the earlier ones.
    pub(crate) fn insisted(&mut self, star: &str) -> Result<bool, NightOver> {
        self.presses += 1;
        Ok(ask(self.seat, &format!("sight name={} anyway=yes", quoted(star)))?.is_ok())
    }
}

fn instant(shown: CivilTime) -> Option<units::Instant> {
    let CivilTime { year, month, day, hour, minute, second, nanosecond } = shown;
    time::instant_from_utc(&time::Utc { year, month, day, hour, minute, second, nanosecond }).ok()
}
