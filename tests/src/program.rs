//! A control program that gets through difficult nights, in the test's own process: what `docs/tutorial/whole_night.py` does,
//! on the same lines, without a wall clock.

use bench::{Prepared, WatchedWorld};
use protocol::check::{self, Checked};
use protocol::{Device as _, RefusalKind, Session, read_reply};
use units::Span;

/// How often something is asked before the program gives up.
const TRIES: usize = 60;

/// Why the program could not go on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Stuck {
    /// The mount said no, and it was meant.
    Refused(u16),
    /// No good answer came, however often it was asked.
    Lost,
}

/// How a program goes about it; the bad ones leave something out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Manners {
    /// It has the mount take up its play on arrival.
    pub takes_up: bool,
    /// It sends again what wasn't answered.
    pub resends: bool,
    /// It takes no for an answer.
    pub heeds_refusals: bool,
}

/// A good one.
pub const GOOD: Manners = Manners { takes_up: true, resends: true, heeds_refusals: true };

/// The program at its end of the line.
pub struct Program<'a> {
    /// The mount.
    pub device: &'a mut WatchedWorld,
    session: Session,
    tag: u32,
    heard: Vec<u8>,
    manners: Manners,
}

impl<'a> Program<'a> {
    /// Connects.
    pub fn new(device: &'a mut WatchedWorld, manners: Manners) -> Self {
        let session = device.connect();
        Self { device, session, tag: 0, heard: Vec::new(), manners }
    }

    /// Lets the night's time pass.
    pub fn wait(&mut self, seconds: f64) {
        let until = self.device.now() + Span::from_seconds(seconds);
        self.device.advance(until);
    }

    fn reconnect_if_closed(&mut self) {
        while self.device.closes(self.session) {
            self.device.disconnect(self.session);
            self.wait(1.0);
            self.heard.clear();
            self.session = self.device.connect();
        }
    }

    /// The reply to the latest request, if it has come whole.
    fn reply(&mut self) -> Option<Result<Vec<(String, String)>, u16>> {
        self.device.transmit(self.session, &mut self.heard);
        let mut found = None;
        while let Some(end) = self.heard.iter().position(|byte| *byte == b'\n') {
            let line: Vec<u8> = self.heard.drain(..=end).collect();
            let Ok(line) = str::from_utf8(&line[..end]) else { continue };
            let Checked::Good(body) = check::take(line) else { continue };
            let Some(reply) = read_reply(body) else { continue };
            if reply.tag.is_some_and(|tag| tag.as_str() == self.tag.to_string()) {
                found = Some(reply.outcome.map_err(|(number, ..)| number));
            }
        }
        found
    }

    /// Asks until there is a good answer.
    ///
    /// # Errors
    /// A refusal that is meant, or no answer.
    pub fn ask(&mut self, request: &str) -> Result<Vec<(String, String)>, Stuck> {
        for number in 0..TRIES {
            // A slow line is not made quicker by asking more: each try waits longer.
            let patience = 2.0 * f64::from(1_u32 << number.min(4));
            self.reconnect_if_closed();
            self.tag += 1;
            let mut line = format!("@{} {request}", self.tag);
            check::append(&mut line);
            line.push('\n');
            self.device.receive(self.session, line.as_bytes());
            let mut reply = self.reply();
            let mut waited = 0.0;
            while reply.is_none() && waited < patience && !self.device.closes(self.session) {
                self.wait(1.0);
                waited += 1.0;
                reply = self.reply();
            }
            match reply {
                Some(Ok(pairs)) => return Ok(pairs),
                Some(Err(number)) if passes(number) => self.wait(2.0),
                Some(Err(number)) if self.manners.heeds_refusals => return Err(Stuck::Refused(number)),
                Some(Err(_)) => {}
                None if !self.manners.resends => return Err(Stuck::Lost),
                None => {}
            }
        }
        Err(Stuck::Lost)
    }

    /// Goes to a target and waits until the mount tracks there; whether it does.
    ///
    /// # Errors
    /// As [`Program::ask`].
    pub fn go(&mut self, request: &str) -> Result<bool, Stuck> {
        for _ in 0..20 {
            let approach = if self.manners.takes_up { "west-north" } else { "none" };
            self.ask(&format!("approach final={approach}"))?;
            self.ask(request)?;
            let mut state = String::new();
            for _ in 0..120 {
                self.wait(5.0);
                let status = self.ask("status")?;
                state = status
                    .into_iter()
                    .find(|(key, _)| key == "state")
                    .map_or(String::new(), |(_, value)| value);
                if state == "tracking" || state == "resting" {
                    break;
                }
            }
            if state == "tracking" {
                self.wait(5.0);
                return Ok(true);
            }
        }
        Ok(false)
    }

    /// The whole evening.
    ///
    /// # Errors
    /// What it could not get over.
    pub fn evening(&mut self, prepared: &Prepared) -> Result<(), Stuck> {
        for target in prepared.target_lines() {
            let (dwell, request) = target.split_once("s ").expect("a dwell in seconds, and a request");
            match self.go(request) {
                Ok(true) => self.wait(dwell.parse::<f64>().expect("seconds") + 5.0),
                Ok(false) | Err(Stuck::Refused(_)) => {}
                Err(stuck) => return Err(stuck),
            }
        }
        self.ask("stop").map(drop)
    }
}

/// Whether a refusal passes by itself: the line was damaged on its way, or the mount is busy.
fn passes(number: u16) -> bool {
    [RefusalKind::BadCheck, RefusalKind::Busy].iter().any(|kind| kind.number() == number)
}
