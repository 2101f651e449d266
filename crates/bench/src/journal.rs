//! The journal's head: which night it is of, so that the same night can be found again.

use crate::fingerprint::maths_fingerprint;
use crate::prepare::Prepared;
use sky::time::utc_text;
use std::fmt::Write as _;
use thiserror::Error;
use units::Streams;
use world::{Allowed, FaultsAllowed, JournalError, Replay, World};

/// The first words of a journal, with the version of its format.
const FIRST: &str = "nightbench-journal 1";
/// What stands between head and lines, for people.
const COLUMNS: &str = "columns night-seconds mount-seconds what particulars";

/// The head of a journal: the lines before its first time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct JournalHead {
    /// Version of the program.
    pub version: String,
    /// Fingerprint of the platform's mathematics.
    pub maths: String,
    /// Digest of the scenario.
    pub scenario: String,
    /// Seed of the night's draws.
    pub seed: u64,
    /// The instant at which it began, UTC.
    pub begin: String,
    /// What was allowed on the wires.
    pub allowed: Allowed,
    /// Faults that were added to the scenario's own, each in the words by which it was ordered, on one line.
    pub with: Vec<String>,
}

/// Why a journal can't be played against a night.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum NotThisNight {
    /// It isn't one, or a line of it is spoilt.
    #[error("{}", .0.sentence())]
    Unusable(JournalError),
    /// Another scenario.
    #[error(
        "the journal is of another scenario: its digest begins with {journal}, this one's with {night}; name the scenario that it was written by"
    )]
    Scenario {
        /// Begin of the journal's digest.
        journal: String,
        /// Begin of the scenario's.
        night: String,
    },
    /// Another seed.
    #[error("the journal is of seed {journal}, not {night}; leave --seed out, or name that one")]
    Seed {
        /// The journal's.
        journal: u64,
        /// The night's.
        night: u64,
    },
}

impl JournalHead {
    /// Takes the head off a journal; the number of the first line after it, and the lines.
    ///
    /// # Errors
    /// The line that isn't what it should be.
    pub fn read(text: &str) -> Result<(Self, usize, &str), JournalError> {
        let mut lines = Lines { rest: text, number: 0 };
        let first = lines.next();
        if first != Some(FIRST) {
            return Err(
                lines.error(&format!("`{FIRST}` was expected; this is no journal, or one of another format"))
            );
        }
        let version = lines.value("version")?.to_owned();
        let maths = lines.value("maths")?.to_owned();
        let scenario = lines.value("scenario")?.to_owned();
        let seed = lines.value("seed")?.parse().map_err(|_| lines.error("a whole number was expected"))?;
        let begin = lines.value("begin")?.to_owned();
        let mut words = lines.value("allowed")?.split(' ');
        let clock = match words.next() {
            Some("time-by-itself") => false,
            Some("time-by-clients") => true,
            _ => return Err(lines.error("time-by-itself or time-by-clients was expected")),
        };
        let faults = match words.next() {
            Some("no-faults") => FaultsAllowed::None,
            Some("faults-of-the-mount") => FaultsAllowed::OfTheMount,
            Some("all-faults") => FaultsAllowed::All,
            _ => return Err(lines.error("no-faults, faults-of-the-mount or all-faults was expected")),
        };
        let mut with = Vec::new();
        loop {
            let line = lines.next().unwrap_or_default();
            if line == COLUMNS {
                break;
            }
            let fault = line.strip_prefix("with ");
            let fault = fault.ok_or_else(|| lines.error(&format!("`{COLUMNS}` or `with …` was expected")))?;
            with.push(fault.to_owned());
        }
        let allowed = Allowed { clock, faults };
        Ok((Self { version, maths, scenario, seed, begin, allowed, with }, lines.number + 1, lines.rest))
    }

    /// As lines, each ended.
    pub fn text(&self) -> String {
        let Self { version, maths, scenario, seed, begin, allowed, with } = self;
        let time = if allowed.clock { "time-by-clients" } else { "time-by-itself" };
        let faults = match allowed.faults {
            FaultsAllowed::None => "no-faults",
            FaultsAllowed::OfTheMount => "faults-of-the-mount",
            FaultsAllowed::All => "all-faults",
        };
        let with: String = with.iter().map(|fault| format!("with {fault}\n")).collect();
        format!(
            "{FIRST}\nversion {version}\nmaths {maths}\nscenario {scenario}\nseed {seed}\nbegin {begin}\nallowed {time} {faults}\n{with}{COLUMNS}\n"
        )
    }
}

/// The lines of a head, one by one.
struct Lines<'a> {
    rest: &'a str,
    number: usize,
}

impl<'a> Lines<'a> {
    fn next(&mut self) -> Option<&'a str> {
        self.number += 1;
        let (line, rest) = self.rest.split_once('\n')?;
        self.rest = rest;
        Some(line)
    }

    fn value(&mut self, key: &str) -> Result<&'a str, JournalError> {
        let value =
            self.next().and_then(|line| line.strip_prefix(key)).and_then(|rest| rest.strip_prefix(' '));
        value.ok_or_else(|| self.error(&format!("`{key} …` was expected")))
    }

    fn error(&self, problem: &str) -> JournalError {
        JournalError { line: self.number, problem: problem.to_owned() }
    }
}

impl Prepared {
    /// The head of this night's journal.
    pub fn journal_head(&self, allowed: Allowed) -> JournalHead {
        JournalHead {
            version: env!("CARGO_PKG_VERSION").to_owned(),
            maths: maths_fingerprint().to_owned(),
            scenario: self.plan.digest(),
            seed: self.seed(),
            begin: utc_text(self.world.begin, 9).unwrap_or_else(|error| error.to_string()),
            allowed,
            with: Vec::new(),
        }
    }

    fn seed(&self) -> u64 {
        self.plan.night.seed.unwrap_or(0)
    }

    /// A world at the begin of this night that writes a journal, and the begin of that journal: its head, and the draws of
    /// the preparation.
    pub fn world_with_journal(&self, allowed: Allowed) -> (World, String) {
        self.world_with_head(self.journal_head(allowed))
    }

    pub(crate) fn world_with_head(&self, head: JournalHead) -> (World, String) {
        let allowed = head.allowed;
        let (night, text) = self.watched(&head);
        let mut world = night.world();
        world.allow(allowed);
        world.begin_transcript();
        (world, text)
    }

    /// The same night, with the names of its draws kept, and the journal's head with the draws of the preparation.
    pub(crate) fn watched(&self, head: &JournalHead) -> (Self, String) {
        let mut night = self.clone();
        let streams = Streams::watched(self.seed());
        night.world.streams = streams.clone();
        night.evening.streams = streams;
        let mut text = head.text();
        for name in &self.drawn {
            // Writing into a text can't fail.
            let _ = writeln!(text, "0.000000000 0.000000000 draw {} {}", name.index, name.cause);
        }
        (night, text)
    }

    /// A journal of this night, ready to be played again; the faults that its head adds must be in the night.
    ///
    /// # Errors
    /// A journal of another night, and the first line that can't be used.
    pub fn replay<'a>(&self, journal: &'a str) -> Result<Replay<'a>, NotThisNight> {
        let (head, first, body) = JournalHead::read(journal).map_err(NotThisNight::Unusable)?;
        let digest = self.plan.digest();
        if head.scenario != digest {
            let begin = |digest: &str| digest.chars().take(12).collect();
            return Err(NotThisNight::Scenario { journal: begin(&head.scenario), night: begin(&digest) });
        }
        if head.seed != self.seed() {
            return Err(NotThisNight::Seed { journal: head.seed, night: self.seed() });
        }
        let mut world = self.world();
        world.allow(head.allowed);
        Replay::new(world, body, first).map_err(NotThisNight::Unusable)
    }
}
