//! What a program says and hears at its end of the line.

use protocol::{Session, read_reply};
use std::collections::BTreeMap;
use units::{Instant, Span};
use world::{Happening, World};

/// A line is looked for in no more than this.
const LINE_MOST: usize = 4096;
/// Requests whose reply is waited for.
const OPEN_MOST: usize = 64;

/// One connection.
#[derive(Clone, Debug, Default)]
struct Ear {
    said: Vec<u8>,
    heard: Vec<u8>,
    /// Requests without a reply so far: when, and the line.
    open: Vec<(Instant, String)>,
}

/// All connections together.
#[derive(Clone, Debug, Default)]
pub(super) struct Ears {
    open: BTreeMap<Session, Ear>,
    pub(super) connections: u64,
    pub(super) lines: u64,
    pub(super) bytes: u64,
    pub(super) events: u64,
    pub(super) repeated: u64,
    /// Lines in each minute in which nothing was under way.
    minutes: BTreeMap<i64, (u64, bool)>,
    pub(super) last_said: Option<Instant>,
    /// The latest second in which a line came, and how many did.
    second: (i64, u64),
    pub(super) busiest_second: u64,
    /// When something struck, and when the program had a good answer to a request that it sent since.
    pub(super) recoveries: Vec<(Instant, Option<Instant>)>,
    /// How many of the world's happenings and strikes were noted.
    seen_strikes: (usize, usize),
}

impl Ears {
    pub(super) fn connected(&mut self, session: Session) {
        self.connections += 1;
        self.open.insert(session, Ear::default());
    }

    pub(super) fn disconnected(&mut self, session: Session) {
        self.open.remove(&session);
    }

    /// Connections that are open.
    pub(super) fn open(&self) -> usize {
        self.open.len()
    }

    pub(super) fn said(&mut self, session: Session, bytes: &[u8], now: Instant, idle: bool) {
        self.bytes += bytes.len() as u64;
        let Some(ear) = self.open.get_mut(&session) else { return };
        ear.said.extend_from_slice(bytes);
        while let Some(line) = next_line(&mut ear.said) {
            self.lines += 1;
            self.last_said = Some(now);
            let second = now.nanoseconds().div_euclid(1_000_000_000);
            self.second = if self.second.0 == second { (second, self.second.1 + 1) } else { (second, 1) };
            self.busiest_second = self.busiest_second.max(self.second.1);
            let bench = words(&line).next().is_some_and(|verb| ["clock", "fault", "faults"].contains(&verb));
            if bench {
                continue;
            }
            let minute =
                self.minutes.entry(now.nanoseconds().div_euclid(60_000_000_000)).or_insert((0, true));
            minute.0 += 1;
            minute.1 &= idle;
            if ear.open.iter().any(|(_, other)| *other == line) {
                self.repeated += 1;
            } else if ear.open.len() < OPEN_MOST {
                ear.open.push((now, line));
            }
        }
    }

    pub(super) fn heard(&mut self, session: Session, bytes: &[u8], world: &World) {
        self.note_strikes(world);
        let Some(ear) = self.open.get_mut(&session) else { return };
        ear.heard.extend_from_slice(bytes);
        while let Some(line) = next_line(&mut ear.heard) {
            if line.starts_with('*') {
                self.events += 1;
                continue;
            }
            let Some(reply) = read_reply(&line) else { continue };
            let tag = reply.tag.as_ref().map(|tag| format!("@{} ", tag.as_str()));
            let place = match &tag {
                Some(tag) => ear.open.iter().position(|(_, line)| line.starts_with(tag.as_str())),
                None => ear.open.iter().position(|(_, line)| !line.starts_with('@')),
            };
            let Some((sent, _)) = place.map(|place| ear.open.remove(place)) else { continue };
            if reply.outcome.is_ok() {
                let now = world.now();
                for (struck, recovered) in &mut self.recoveries {
                    if recovered.is_none() && *struck <= sent {
                        *recovered = Some(now);
                    }
                }
            }
        }
    }

    /// What has struck since: from each on, the program's recovery counts. Strikes of one instant are one.
    pub(super) fn note_strikes(&mut self, world: &World) {
        let (happened, strikes) = (world.happened(), world.wire_strikes());
        let struck = happened[self.seen_strikes.0..].iter().filter_map(|one| match one {
            Happening::Struck(at, _) => Some(*at),
            Happening::Mount(_) => None,
        });
        let mut new: Vec<Instant> =
            struck.chain(strikes[self.seen_strikes.1..].iter().map(|(_, strike)| strike.at)).collect();
        self.seen_strikes = (happened.len(), strikes.len());
        new.sort_unstable();
        for at in new {
            // Within what is still unrecovered, a further strike begins nothing new.
            if self.recoveries.last().is_none_or(|(last, recovered)| recovered.is_some() && at > *last) {
                self.recoveries.push((at, None));
            }
        }
    }

    /// The most lines in a minute that was idle from its first to its last line.
    pub(super) fn busiest_idle_minute(&self) -> u64 {
        self.minutes.values().filter(|(_, idle)| *idle).map(|(lines, _)| *lines).max().unwrap_or(0)
    }

    /// How long the longest recovery took; the night's end stands for one that never came, unless the program had said its
    /// last word before the strike.
    pub(super) fn longest_recovery(&self, end: Instant) -> (Span, usize) {
        let mut longest = Span::ZERO;
        let mut never = 0;
        for (struck, recovered) in &self.recoveries {
            let over = self.last_said.is_none_or(|last| last < *struck);
            match recovered {
                Some(at) => longest = longest.max(*at - *struck),
                None if over => {}
                None => {
                    never += 1;
                    longest = longest.max(end - *struck);
                }
            }
        }
        (longest, never)
    }
}

/// Words of a line, its tag left out.
fn words(line: &str) -> impl Iterator<Item = &str> {
    line.split(' ').filter(|word| !word.is_empty() && !word.starts_with('@'))
}

fn next_line(bytes: &mut Vec<u8>) -> Option<String> {
    let Some(end) = bytes.iter().position(|byte| *byte == b'\n') else {
        if bytes.len() > LINE_MOST {
            bytes.clear();
        }
        return None;
    };
    let line: Vec<u8> = bytes.drain(..=end).collect();
    Some(String::from_utf8_lossy(&line).trim_end().to_owned())
}
