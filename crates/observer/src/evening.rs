//! Going through an evening: the alignment, then a list of targets.

use crate::alignment::{AlignmentIntent, Purpose, Sighting, sight_in_place_of, sight_line, sync_line};
use crate::chart::bright_stars_near;
use crate::doubt::Doubt;
use crate::guiding::{Recording, RecordingIntent};
use crate::hands::Hands;
use crate::person::{Care, Handset, Person, Recovery};
use crate::play::{PlayIntent, PlayTold};
use crate::polar::PolarAdjust;
use crate::seat::{Glass, Moment, NightOver, Object, Seat, Sight};
use crate::sighting::Found;
use crate::visitors::Visits;
use protocol::{Aim, RefusalKind};
use std::collections::VecDeque;
use units::{Angle, Span, Streams};

/// How long the person waits after the mount has arrived before they look: the tube has come to rest by then.
pub const SETTLING: Span = Span::from_whole_seconds(3);

/// A star that serves as a stepping stone is at least so bright, and no further off than that.
const STEPPING: (f64, Angle) = (2.5, Angle::from_degrees(25.0));

/// So many of them are tried: some stand behind a roof.
const MOST_STEPPING: usize = 8;

/// One thing that the person wants to see.
#[derive(Clone, Debug, PartialEq)]
pub struct Intent {
    /// Where the mount is sent.
    pub aim: Aim,
    /// Where it stands on the chart (right ascension and declination of the catalogue's system); `None` for a direction over
    /// the ground.
    pub place: Option<(Angle, Angle)>,
    /// How long it is watched, visitors included.
    pub dwell: Span,
    /// Whether a bright star near by is centred first.
    pub by_bright_star: bool,
    /// How many visitors have a look.
    pub visitors: u64,
    /// How long each of them looks.
    pub per_visitor: Span,
}

/// Which earlier sighting a later one replaces.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Replaced {
    /// None: it is added.
    None,
    /// The one nearest on the sky.
    Nearest,
    /// The oldest.
    Oldest,
}

/// A sighting that is planned for later in the night.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LaterSighting {
    /// Time since the evening began; it happens before the first target after that.
    pub at: Span,
    /// The star.
    pub star: String,
    /// Which earlier sighting it replaces.
    pub replaces: Replaced,
}

/// What the person has in mind for the evening.
#[derive(Clone, Debug, PartialEq)]
pub struct Evening {
    /// Who sits at the mount.
    pub person: Person,
    /// What they know of it.
    pub handset: Handset,
    /// How the mount is taught where it points; `None` leaves it as it was switched on.
    pub alignment: Option<AlignmentIntent>,
    /// How the polar axis is adjusted after that.
    pub polar: Option<PolarAdjust>,
    /// How a correction of the periodic error is recorded after that.
    pub recording: Option<RecordingIntent>,
    /// How the play is measured after that, so that the worm's error no longer blurs it.
    pub play: Option<PlayIntent>,
    /// Sightings during the night, by rising time.
    pub later: Vec<LaterSighting>,
    /// What is looked at, in this order.
    pub intents: Vec<Intent>,
    /// Where the person's errors are drawn from.
    pub streams: Streams,
}

/// How it ended for one intent.
#[derive(Clone, Debug, PartialEq)]
pub enum Ending {
    /// The mount arrived and the person looked.
    Looked,
    /// The mount refused, with this sentence.
    Refused(String),
    /// No position of its axes points there, with this sentence.
    Unreachable(String),
    /// The night ended first.
    NightOver,
}

/// What became of one intent.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    /// How it ended.
    pub ending: Ending,
    /// Whether the target was seen in the eyepiece in the end, at the first look or by whatever was done then.
    pub seen: bool,
    /// How long it took, from the first line typed to the last look.
    pub took: Span,
    /// How many keys were pressed.
    pub presses: u64,
    /// How the visitors fared.
    pub visits: Visits,
}

/// The evening as the person lived it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Account {
    /// One for each intent, in their order.
    pub targets: Vec<Told>,
    /// All sightings, in time order.
    pub sightings: Vec<Sighting>,
    /// What the mount doubted or asked and the person looked after, in time order.
    pub doubts: Vec<Doubt>,
    /// How long the alignment took, with that of the polar axis and with what a star told of the gears.
    pub alignment: Span,
    /// How many keys were pressed for it.
    pub alignment_presses: u64,
    /// The correction of the periodic error, if somebody set about it.
    pub recording: Option<Recording>,
    /// The play of both axes, if somebody set about measuring it.
    pub plays: Vec<PlayTold>,
    /// How many keys were pressed in the whole evening.
    pub presses: u64,
}

/// Lives through an evening.
pub fn observe(evening: &Evening, seat: &mut impl Seat) -> Account {
    let mut account = Account::default();
    let mut hands = Hands::new(evening.person, evening.handset, evening.streams.clone(), seat);
    let begun = hands.now();
    let mut over = false;
    if let Some(intent) = &evening.alignment {
        over = hands.align(intent, &mut account.sightings).is_err();
    }
    if let (Some(how), false) = (evening.polar, over) {
        over = hands.adjust_polar(how, evening.alignment.as_ref(), &mut account.sightings).is_err();
    }
    if !over {
        over = hands.learn_of_the_gears(evening, &mut account).is_err();
    }
    let (aligned, learned) =
        (evening.alignment.is_some(), evening.recording.is_some() || evening.play.is_some());
    if aligned || evening.polar.is_some() || learned {
        account.alignment = hands.now() - begun;
        account.alignment_presses = hands.presses;
    }
    let mut later: VecDeque<&LaterSighting> = evening.later.iter().collect();
    let mut visitors = 0;
    for index in 0..evening.intents.len() {
        let (begun, presses) = (hands.now(), hands.presses);
        let mut one = One { evening, index, first_visitor: visitors, seen: false, visits: Visits::default() };
        let ending = if over {
            Ending::NightOver
        } else {
            let log = &mut account.sightings;
            let before = hands.after_a_kick().and_then(|()| hands.sight_later(&mut later, log));
            match before.and_then(|()| hands.attend(&mut one, log)) {
                Ok(ending) => ending,
                Err(NightOver) => Ending::NightOver,
            }
        };
        over |= ending == Ending::NightOver;
        visitors += one.visits.came;
        account.targets.push(Told {
            ending,
            seen: one.seen,
            took: hands.now() - begun,
            presses: hands.presses - presses,
            visits: one.visits,
        });
    }
    account.presses = hands.presses;
    account.doubts = hands.doubts;
    account
}

/// One intent under way.
struct One<'e> {
    evening: &'e Evening,
    index: usize,
    first_visitor: u64,
    seen: bool,
    visits: Visits,
}

impl One<'_> {
    fn intent(&self) -> &Intent {
        &self.evening.intents[self.index]
    }
}

impl<S: Seat> Hands<'_, S> {
    /// Records the correction of the periodic error and measures the play, as far as somebody has that in mind.
    fn learn_of_the_gears(&mut self, evening: &Evening, account: &mut Account) -> Result<(), NightOver> {
        if let Some(intent) = &evening.recording {
            self.record(intent, &mut account.recording)?;
        }
        match &evening.play {
            Some(intent) => self.measure_play(intent, &mut account.plays),
            None => Ok(()),
        }
    }

    /// Does the sightings that are due.
    fn sight_later(
        &mut self,
        later: &mut VecDeque<&LaterSighting>,
        log: &mut Vec<Sighting>,
    ) -> Result<(), NightOver> {
        while later.front().is_some_and(|sighting| sighting.at <= self.now()) {
            let Some(sighting) = later.pop_front() else { break };
            let told = |star: &str| match sighting.replaces {
                Replaced::None => sight_line(star),
                Replaced::Nearest => sight_in_place_of(star, "nearest"),
                Replaced::Oldest => sight_in_place_of(star, "oldest"),
            };
            self.stood_by = false;
            self.sight(&sighting.star, Purpose::Later, told, log)?;
            if std::mem::take(&mut self.stood_by) {
                // The star is right and stands beside its place: has the mount moved?
                self.hold_against_the_sky(Some(&sighting.star))?;
            }
        }
        Ok(())
    }

    /// Goes to one target, looks, and does what there is to do with it. After the first look the night may end at any time
    /// without making that look undone.
    fn attend(&mut self, one: &mut One<'_>, log: &mut Vec<Sighting>) -> Result<Ending, NightOver> {
        self.seat.note(Moment::SetsOut { target: one.index });
        if one.intent().by_bright_star {
            self.step(one.intent(), Purpose::Stepping, sync_line, log)?;
        }
        if let Err(refused) = self.go(&one.intent().aim)? {
            return Ok(if refused.is(RefusalKind::Unreachable) {
                Ending::Unreachable(refused.sentence)
            } else {
                Ending::Refused(refused.sentence)
            });
        }
        self.seat.wait(SETTLING)?;
        self.seat.look(one.index);
        one.seen = self.sees(one.index);
        let _ends_with_the_night = self.stay(one, log);
        Ok(Ending::Looked)
    }

    fn sees(&mut self, index: usize) -> bool {
        matches!(self.seat.see(Glass::Eyepiece, Object::Target(index)), Sight::Seen(_))
    }

    /// What follows the first look.
    fn stay(&mut self, one: &mut One<'_>, log: &mut Vec<Sighting>) -> Result<(), NightOver> {
        let begun = self.now();
        if !one.seen {
            one.seen = self.recover(one, log)?;
        }
        let intent = one.intent().clone();
        let stays = intent.dwell > Span::ZERO || intent.visitors > 0;
        // A perfect person takes the mount as it is, so that its errors show.
        if one.seen && stays && self.person.care != Care::Perfect {
            self.bring(Object::Target(one.index))?;
        }
        if intent.visitors > 0 {
            let (index, first) = (one.index, one.first_visitor);
            self.show(index, intent.visitors, first, intent.per_visitor, &mut one.visits)?;
            one.seen |= one.visits.saw > 0;
        }
        let left = if intent.visitors > 0 { intent.dwell - (self.now() - begun) } else { intent.dwell };
        if left > Span::ZERO {
            self.seat.watch(one.index, left)?;
        }
        Ok(())
    }

    /// What the person does when a target isn't there; `true` if it is seen in the end.
    fn recover(&mut self, one: &One<'_>, log: &mut Vec<Sighting>) -> Result<bool, NightOver> {
        let intent = one.intent();
        let object = Object::Target(one.index);
        if !matches!(self.seat.see(Glass::Eyepiece, object), Sight::NotThere) {
            // A cloud can only be waited for.
            return Ok(false);
        }
        match self.person.when_missed {
            Recovery::GoOn => return Ok(false),
            Recovery::Search => return Ok(self.bring(object)? == Found::Centred),
            Recovery::SightNearby => self.step(intent, Purpose::Recovery, sync_line, log)?,
            Recovery::ReplaceSighting => {
                let told = |star: &str| sight_in_place_of(star, "nearest");
                self.step(intent, Purpose::Recovery, told, log)?;
            }
            Recovery::StartOver => {
                if let Some(alignment) = &one.evening.alignment {
                    self.align(alignment, log)?;
                }
            }
        }
        if self.go(&intent.aim)?.is_err() {
            return Ok(false);
        }
        self.seat.wait(SETTLING)?;
        Ok(self.sees(one.index))
    }

    /// Centres the nearest bright star that the mount goes to, and tells the mount with a line that `told` makes of it.
    fn step(
        &mut self,
        intent: &Intent,
        purpose: Purpose,
        told: impl Fn(&str) -> String,
        log: &mut Vec<Sighting>,
    ) -> Result<(), NightOver> {
        let Some(place) = intent.place else { return Ok(()) };
        for star in bright_stars_near(place, STEPPING.0, STEPPING.1).into_iter().take(MOST_STEPPING) {
            if self.sight(star, purpose, &told, log)? {
                break;
            }
        }
        Ok(())
    }
}
