//! The journal as a text: one line for each thing that passed, in order, for people to read and for a replay to compare.
//!
//! ```text
//! 12.500000000 12.499998750 in 0 goto name=Regulus
//! ```
//! The night's time since it began, the time of the mount's own crystal, what passed, and its particulars.

use crate::World;
use crate::disturbance::Disturbance;
use crate::replay::befallen;
use mechanics::{MountEvent, MountEventKind};
use protocol::{Frame, Session, WireStrike, push_quoted};
use std::fmt::Write;
use units::{Fnv, Instant, Span, push_digits};

/// A text to which lines are added.
#[derive(Clone, Debug)]
pub(crate) struct Transcript {
    text: String,
    /// Something came from outside since time passed last: what is due at this very instant may come before or after it.
    fresh: bool,
}

/// A line that came in, as it stands in the journal after the session's number.
fn incoming(frame: &Frame) -> (&'static str, String) {
    match frame {
        Frame::Line(line) => ("in", line.clone()),
        Frame::TooLong => ("in-long", String::new()),
        Frame::NotText { bytes, .. } => ("in-bytes", bytes.escape_ascii().to_string()),
    }
}

/// A time as seconds with all nine decimals.
fn push_seconds(text: &mut String, span: Span) {
    let nanoseconds = span.nanoseconds();
    if nanoseconds < 0 {
        text.push('-');
    }
    let whole = nanoseconds.unsigned_abs();
    push_digits(text, whole / 1_000_000_000, 1);
    text.push('.');
    push_digits(text, whole % 1_000_000_000, 9);
}

impl World {
    /// Keeps a journal as text from now on: to be called before anybody connects. Take what was written by
    /// [`World::take_transcript`], often enough for the room that you have.
    pub fn begin_transcript(&mut self) {
        self.transcript.get_or_insert(Transcript { text: String::new(), fresh: true });
    }

    /// The lines that were written since the last call.
    pub fn take_transcript(&mut self) -> String {
        self.transcript.as_mut().map(|transcript| std::mem::take(&mut transcript.text)).unwrap_or_default()
    }

    /// Writes the last line: the present state as a digest.
    pub fn end_transcript(&mut self) {
        let digest = format!("{:016x}", self.state_digest());
        self.tell_at(self.now, "end", None, &digest);
    }

    /// A fingerprint of what the computer knows and of where the axes are.
    pub fn state_digest(&self) -> u64 {
        let truth = self.truth();
        let (dials, axes) = (truth.dials(), truth.axes());
        let angles =
            [dials.first, dials.second, axes.first, axes.second].map(|angle| angle.radians().to_bits());
        let parts = [self.controller.state_digest(), self.elapsed(self.now).nanoseconds() as u64];
        let mut fingerprint = Fnv::EMPTY;
        for part in parts.into_iter().chain(angles) {
            fingerprint.push(&part.to_le_bytes());
        }
        fingerprint.value()
    }

    pub(crate) fn elapsed(&self, at: Instant) -> Span {
        at - self.begin
    }

    /// Tells that what was due by now happens, where that could be taken for before or after what came from outside at this
    /// very instant.
    pub(crate) fn tell_due(&mut self) {
        let Some(transcript) = &mut self.transcript else { return };
        if std::mem::take(&mut transcript.fresh) && self.due_again().is_some_and(|due| due <= self.now) {
            self.tell_at(self.now, "due", None, "");
        }
    }

    /// Writes a line of something that came from outside.
    fn tell_cause(&mut self, what: &str, session: Option<Session>, particulars: &str) {
        self.tell_at(self.now, what, session, particulars);
        if let Some(transcript) = &mut self.transcript {
            transcript.fresh = true;
        }
    }

    /// Writes a line, if a transcript is kept.
    fn tell_at(&mut self, at: Instant, what: &str, session: Option<Session>, particulars: &str) {
        if self.transcript.is_none() {
            return;
        }
        for name in self.streams.take_names() {
            let particulars = format!("{} {}", name.index, name.cause);
            self.push_line(at, "draw", None, &particulars);
        }
        self.push_line(at, what, session, particulars);
    }

    fn push_line(&mut self, at: Instant, what: &str, session: Option<Session>, particulars: &str) {
        let (elapsed, own) = (self.elapsed(at), self.mount.crystal().controller_time(at));
        let Some(Transcript { text, .. }) = &mut self.transcript else { return };
        push_seconds(text, elapsed);
        text.push(' ');
        push_seconds(text, own);
        text.push(' ');
        text.push_str(what);
        if let Some(Session(number)) = session {
            text.push(' ');
            push_digits(text, u64::from(number), 1);
        }
        if !particulars.is_empty() {
            text.push(' ');
            text.push_str(particulars);
        }
        text.push('\n');
    }

    pub(crate) fn tell_session(&mut self, what: &str, session: Session) {
        self.tell_cause(what, Some(session), "");
    }

    pub(crate) fn tell_request(&mut self, session: Session, frame: &Frame) {
        if self.transcript.is_some() {
            let (what, line) = incoming(frame);
            self.tell_cause(what, Some(session), &line);
        }
    }

    pub(crate) fn tell_reply(&mut self, session: Session, reply: &str) {
        let what = if reply.is_empty() { "silent" } else { "out" };
        self.tell_at(self.now, what, Some(session), reply);
    }

    pub(crate) fn tell_event(&mut self, line: &str) {
        self.tell_at(self.now, "event", None, line.trim_start_matches("* "));
    }

    /// Somebody has disturbed the mount who can't be foreseen.
    pub(crate) fn tell_befallen(&mut self, disturbance: &Disturbance) {
        if self.transcript.is_some() {
            let line = befallen(disturbance);
            self.tell_cause("befell", None, &line);
        }
    }

    pub(crate) fn tell_struck(&mut self, word: &str) {
        self.tell_at(self.now, "struck", None, word);
    }

    pub(crate) fn tell_mount(&mut self, event: &MountEvent) {
        let axis = |axis: usize| ["first", "second"][axis.min(1)];
        let line = match event.kind {
            MountEventKind::Stalled { axis: number, .. } => format!("stalled {}", axis(number)),
            MountEventKind::Caught { axis: number, .. } => format!("caught {}", axis(number)),
            MountEventKind::PowerLost => "power-lost".to_owned(),
            MountEventKind::Reset => "power-back".to_owned(),
            MountEventKind::Turned { .. } | MountEventKind::FlankChanged { .. } => return,
        };
        self.tell_at(event.at, "mount", None, &line);
    }

    pub(crate) fn tell_wire(&mut self, strike: &WireStrike) {
        if self.transcript.is_none() {
            return;
        }
        let mut line = format!("{} {}", strike.kind.word(), strike.direction.word());
        if let Some(number) = strike.number {
            // Writing into a text can't fail.
            let _ = write!(line, " order={number}");
        }
        for (key, bytes) in [(" before=", &strike.before), (" after=", &strike.after)] {
            line.push_str(key);
            push_quoted(&mut line, &bytes.escape_ascii().to_string());
        }
        self.tell_cause("wire", Some(strike.session), &line);
    }
}
