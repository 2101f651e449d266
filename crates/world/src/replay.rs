//! A journal played again: what came from outside is done again at its instant, and all that came of it is compared.

use crate::World;
use crate::disturbance::{BaseMove, Disturbance};
use protocol::{Device as _, FaultKind, RawRequest, Session, WireDirection, WireStrike};
use std::fmt::Write as _;
use units::{Angle, Quantity, Span};

/// How far apart the instants are at which a replay keeps a copy of the world to begin again from.
const SNAPSHOT_EVERY: Span = Span::from_whole_seconds(600);

/// One line of a journal, taken apart.
#[derive(Clone, Debug)]
struct Line<'a> {
    /// Where it stands, from 1.
    number: usize,
    text: &'a str,
    at: Span,
    /// Those that came from outside; everything else comes of them.
    cause: Option<Cause>,
}

#[derive(Clone, Debug)]
enum Cause {
    /// A connection; which number it gets the world says.
    Opened,
    Closed(Session),
    Received(Session, Vec<u8>),
    Befell(Disturbance),
    Wire(WireStrike),
    /// What was due at that instant happened.
    Due,
    Ended,
}

/// A line that can't be used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct JournalError {
    /// Where it stands, from 1.
    pub line: usize,
    /// What is wrong, and what was expected.
    pub problem: String,
}

/// How a replay ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Replayed {
    /// All lines up to the instant came again.
    Same {
        /// How many.
        lines: usize,
        /// The instant, since the night began.
        at: Span,
        /// The state then.
        digest: u64,
    },
    /// The first line that didn't.
    Differs {
        /// Where it stands in the journal, from 1; one past the end if something came beyond it.
        line: usize,
        /// What the journal has; nothing past its end.
        expected: Option<String>,
        /// What came; nothing if nothing did.
        got: Option<String>,
    },
}

#[derive(Clone, Debug)]
struct Snapshot {
    world: World,
    /// The next line to be met.
    next: usize,
    /// Lines that came and were not met yet.
    come: Vec<String>,
}

/// A journal with the world that it was written by, ready to be played to any instant. It keeps a copy of the world for every
/// ten minutes that it has played, so that further instants come quickly.
#[derive(Debug)]
pub struct Replay<'a> {
    lines: Vec<Line<'a>>,
    snapshots: Vec<Snapshot>,
}

impl<'a> Replay<'a> {
    /// Takes a journal's lines apart; `first` is the number of the first one, `world` the world at the night's begin, with
    /// what was allowed then.
    ///
    /// # Errors
    /// The first line that is none of a journal, or tells of something that can't be done again.
    pub fn new(mut world: World, body: &'a str, first: usize) -> Result<Self, JournalError> {
        // A journal has what came out of the wires.
        world.carry_as_received();
        let mut lines = Vec::new();
        let mut last = Span::ZERO;
        for (number, text) in (first..).zip(body.lines()) {
            let error = |problem: String| JournalError { line: number, problem };
            let line = read(number, text).map_err(error)?;
            if line.at < last && line.cause.is_some() {
                return Err(error("its time is before that of the line above".to_owned()));
            }
            last = last.max(line.at);
            // Names of draws are for the reader: a person's draws are not drawn again.
            if !is_draw(text) {
                lines.push(line);
            }
        }
        world.begin_transcript();
        Ok(Self { lines, snapshots: vec![Snapshot { world, next: 0, come: Vec::new() }] })
    }

    /// Plays up to an instant (the journal's end without one, or if that comes first), from the nearest copy before it. A journal
    /// without its last line was cut, and plays as far as it goes.
    pub fn play_to(&mut self, until: Option<Span>) -> Replayed {
        let until = until.unwrap_or(Span::from_nanoseconds(i64::MAX));
        let before = |snapshot: &&Snapshot| snapshot.world.elapsed(snapshot.world.now()) <= until;
        let mut state = self.snapshots.iter().rev().find(before).unwrap_or(&self.snapshots[0]).clone();
        while let Some(line) = self.lines.get(state.next) {
            if line.at > until {
                break;
            }
            if let Err(differs) = state.meet(line, self.moment_after(&state)) {
                return differs;
            }
            self.keep(&state);
        }
        if state.next == self.lines.len() {
            state.collect();
            // What lacks its last line was cut, and may lack others.
            let whole = self.lines.last().is_some_and(|line| matches!(line.cause, Some(Cause::Ended)));
            if let Some(got) = state.come.first().filter(|_| whole) {
                let line = self.lines.last().map_or(1, |line| line.number + 1);
                return Replayed::Differs { line, expected: None, got: Some(got.clone()) };
            }
        } else {
            state.world.advance_to(state.world.begin + until);
        }
        let at = state.world.elapsed(state.world.now());
        Replayed::Same { lines: state.next, at, digest: state.world.state_digest() }
    }

    /// The next instant of the journal at which time has moved on, if there is one.
    fn moment_after(&self, state: &Snapshot) -> Option<Span> {
        let now = state.world.elapsed(state.world.now());
        self.lines[state.next..].iter().map(|line| line.at).find(|at| *at > now)
    }

    fn keep(&mut self, state: &Snapshot) {
        let elapsed = |snapshot: &Snapshot| snapshot.world.elapsed(snapshot.world.now());
        let last = self.snapshots.last().map_or(Span::ZERO, elapsed);
        if elapsed(state) - last >= SNAPSHOT_EVERY {
            self.snapshots.push(state.clone());
        }
    }
}

impl Snapshot {
    /// Takes what the world has written.
    fn collect(&mut self) {
        let text = self.world.take_transcript();
        self.come.extend(text.lines().filter(|line| !is_draw(line)).map(str::to_owned));
    }

    /// Meets the next line: it must be what comes next. `later` is the next instant at which time has moved on.
    fn meet(&mut self, line: &Line<'_>, later: Option<Span>) -> Result<(), Replayed> {
        // What struck on a wire is given: a journal has the lines as they came out of it.
        if let Some(Cause::Wire(strike)) = &line.cause {
            if let Some(number) = strike.number {
                self.world.orders.count_strike(number);
            }
            self.next += 1;
            return Ok(());
        }
        if self.come.is_empty() && self.world.elapsed(self.world.now()) < line.at {
            self.world.advance_to(self.world.begin + line.at);
            self.collect();
        }
        if self.come.is_empty()
            && let Some(cause) = &line.cause
        {
            self.world.happen_again(cause);
            self.collect();
        }
        // What the mount itself does at an instant comes out when time moves on.
        if self.come.is_empty()
            && let Some(later) = later
        {
            self.world.advance_to(self.world.begin + later);
            self.collect();
        }
        let got = if self.come.is_empty() { None } else { Some(self.come.remove(0)) };
        if got.as_deref() == Some(line.text) {
            self.next += 1;
            return Ok(());
        }
        Err(Replayed::Differs { line: line.number, expected: Some(line.text.to_owned()), got })
    }
}

impl World {
    fn happen_again(&mut self, cause: &Cause) {
        match cause {
            Cause::Opened => drop(self.connect()),
            Cause::Closed(session) => self.disconnect(*session),
            Cause::Received(session, bytes) => self.receive(*session, bytes),
            Cause::Befell(disturbance) => self.befall(disturbance.clone()),
            // It is given, and was met.
            Cause::Wire(_) => {}
            Cause::Due => self.advance_to(self.now()),
            Cause::Ended => self.end_transcript(),
        }
    }
}

/// Whether a line names a stream of draws.
fn is_draw(line: &str) -> bool {
    line.split(' ').nth(2) == Some("draw")
}

fn read(number: usize, text: &str) -> Result<Line<'_>, String> {
    let mut words = text.splitn(4, ' ');
    let at = words.next().and_then(seconds).ok_or("it doesn't begin with the night's time")?;
    words.next().and_then(seconds).ok_or("its second word is not the mount's own time")?;
    let what = words.next().ok_or("it doesn't say what passed")?;
    let rest = words.next().unwrap_or("");
    let cause = match what {
        "open" => session(rest).map(|_| Some(Cause::Opened))?,
        "close" => Some(Cause::Closed(session(rest)?.0)),
        "in" | "in-bytes" | "in-long" => {
            let (session, line) = session(rest)?;
            Some(Cause::Received(session, received(what, line)?))
        }
        "befell" => Some(Cause::Befell(disturbance(rest)?)),
        "wire" => Some(Cause::Wire(wire(rest)?)),
        "due" => Some(Cause::Due),
        "end" => Some(Cause::Ended),
        "out" | "silent" | "event" | "struck" | "mount" | "draw" => None,
        other => return Err(format!("`{}` is nothing that a journal tells of", other.escape_debug())),
    };
    Ok(Line { number, text, at, cause })
}

/// A time with nine decimals.
fn seconds(text: &str) -> Option<Span> {
    let (negative, digits) = text.strip_prefix('-').map_or((false, text), |digits| (true, digits));
    let (whole, part) = digits.split_once('.')?;
    let all_digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    if part.len() != 9 || !all_digits(part) || !all_digits(whole) {
        return None;
    }
    let whole: i64 = whole.parse().ok()?;
    let nanoseconds = whole.checked_mul(1_000_000_000)?.checked_add(part.parse().ok()?)?;
    // A night lasts a year at most; what is far beyond is none.
    let sane = whole < 400 * 86_400;
    sane.then(|| Span::from_nanoseconds(if negative { -nanoseconds } else { nanoseconds }))
}

fn session(rest: &str) -> Result<(Session, &str), String> {
    let (number, rest) = rest.split_once(' ').unwrap_or((rest, ""));
    let number = number.parse().map_err(|_| "the number of a connection was expected".to_owned())?;
    Ok((Session(number), rest))
}

/// Bytes that come in as the same line again.
fn received(what: &str, line: &str) -> Result<Vec<u8>, String> {
    let mut bytes = match what {
        "in" => line.as_bytes().to_vec(),
        "in-long" => vec![b'x'; protocol::MAX_LINE_BYTES + 1],
        _ => unescaped(line).ok_or("its bytes are not written as they should be")?,
    };
    if bytes.contains(&b'\n') {
        return Err("a line end stands within the line".to_owned());
    }
    if bytes.is_empty() {
        return Err("an empty line is never answered, and in no journal".to_owned());
    }
    bytes.push(b'\n');
    Ok(bytes)
}

/// The inverse of [`slice::escape_ascii`].
fn unescaped(text: &str) -> Option<Vec<u8>> {
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.bytes();
    while let Some(byte) = rest.next() {
        if byte != b'\\' {
            bytes.push(byte);
            continue;
        }
        bytes.push(match rest.next()? {
            b't' => b'\t',
            b'r' => b'\r',
            b'n' => b'\n',
            b'x' => {
                let digits = [rest.next()?, rest.next()?];
                u8::from_str_radix(std::str::from_utf8(&digits).ok()?, 16).ok()?
            }
            other @ (b'\\' | b'\'' | b'"') => other,
            _ => return None,
        });
    }
    Some(bytes)
}

/// A disturbance as a line that reads back to it; of those that no person brings about only the word.
pub(crate) fn befallen(disturbance: &Disturbance) -> String {
    let mut line = disturbance.word().to_owned();
    let mut push = |key: &str, angle: Angle| {
        // Writing into a text can't fail.
        let _ = write!(line, " {key}={}", angle.text_in("rad"));
    };
    let base = |push: &mut dyn FnMut(&str, Angle), base: &BaseMove| {
        push("north_end_up", base.north_end_up);
        push("north_end_east", base.north_end_east);
        push("lean_north", base.lean_north);
        push("lean_east", base.lean_east);
    };
    match disturbance {
        Disturbance::Knock { axes: [first, second], base: moved } => {
            push("first", *first);
            push("second", *second);
            base(&mut push, moved);
        }
        Disturbance::Bump([first, second]) | Disturbance::ClutchSlip([first, second]) => {
            push("first", *first);
            push("second", *second);
        }
        Disturbance::TripodKick(moved) => base(&mut push, moved),
        _ => {}
    }
    line
}

fn disturbance(text: &str) -> Result<Disturbance, String> {
    let raw = RawRequest::read(text).map_err(|(_, refusal)| refusal.sentence().to_owned())?;
    let angle = |key: &str| {
        let pair = raw.pairs.iter().find(|pair| pair.key == key);
        let found = pair.and_then(|pair| Angle::parse(&pair.value).ok());
        found.ok_or_else(|| format!("{} needs {key} with an angle", raw.verb))
    };
    let axes = || -> Result<[Angle; 2], String> { Ok([angle("first")?, angle("second")?]) };
    let base = || -> Result<BaseMove, String> {
        Ok(BaseMove {
            north_end_up: angle("north_end_up")?,
            north_end_east: angle("north_end_east")?,
            lean_north: angle("lean_north")?,
            lean_east: angle("lean_east")?,
        })
    };
    match raw.verb.as_str() {
        "knock" => Ok(Disturbance::Knock { axes: axes()?, base: base()? }),
        "bump" => Ok(Disturbance::Bump(axes()?)),
        "clutch-slip" => Ok(Disturbance::ClutchSlip(axes()?)),
        "tripod-kick" => Ok(Disturbance::TripodKick(base()?)),
        other => Err(format!("a {other} that somebody brings about can't be played again")),
    }
}

fn wire(rest: &str) -> Result<WireStrike, String> {
    let (session, rest) = session(rest)?;
    let mut words = rest.splitn(3, ' ');
    let word = words.next().unwrap_or("");
    let kind = FaultKind::of_word(word).ok_or_else(|| format!("`{}` is no fault", word.escape_debug()))?;
    let direction = WireDirection::of_word(words.next().unwrap_or(""));
    let direction = direction.ok_or("received, sent or both was expected")?;
    let pairs = RawRequest::read(&format!("wire {}", words.next().unwrap_or("")))
        .map_err(|(_, refusal)| refusal.sentence().to_owned())?
        .pairs;
    let value = |key: &str| pairs.iter().find(|pair| pair.key == key).map(|pair| pair.value.as_str());
    let bytes = |key: &str| value(key).and_then(unescaped).ok_or_else(|| format!("{key} was expected"));
    let number = value("order").map(|text| text.parse::<u64>().ok().filter(|number| *number > 0));
    let number = number.map(|number| number.ok_or("order is a number from 1 on")).transpose()?;
    Ok(WireStrike { number, kind, session, direction, before: bytes("before")?, after: bytes("after")? })
}

impl JournalError {
    /// As a sentence.
    pub fn sentence(&self) -> String {
        format!("line {} of the journal: {}", self.line, self.problem)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use protocol::{Frame, LineBuffer};

    #[test]
    fn bytes_of_every_kind_come_in_again_as_the_same_line() {
        let mut first = LineBuffer::new();
        first.push(b"st\x07\xffop \\ \"now\"\t\n");
        let frame = first.next_frame().unwrap();
        let Frame::NotText { bytes, .. } = &frame else { panic!("{frame:?}") };
        let again = received("in-bytes", &bytes.escape_ascii().to_string()).unwrap();
        first.push(&again);
        assert_eq!(first.next_frame(), Some(frame));
    }

    #[test]
    fn what_a_person_does_reads_back_to_the_bit() {
        let angle = |seed: f64| Angle::from_radians(seed / 7.0);
        let base = BaseMove {
            north_end_up: angle(1.0),
            north_end_east: angle(-2.0),
            lean_north: angle(0.0),
            lean_east: angle(3e-9),
        };
        let axes = [angle(5.0), angle(-0.1)];
        for one in [
            Disturbance::Knock { axes, base },
            Disturbance::Bump(axes),
            Disturbance::ClutchSlip(axes),
            Disturbance::TripodKick(base),
        ] {
            assert_eq!(disturbance(&befallen(&one)), Ok(one));
        }
        assert!(disturbance("wind").is_err());
    }

    #[test]
    fn times_have_nine_decimals() {
        assert_eq!(seconds("-0.000000001"), Some(Span::from_nanoseconds(-1)));
        assert_eq!(seconds("12.500000000"), Some(Span::from_nanoseconds(12_500_000_000)));
        for bad in ["", "12", "12.5", "1e3.000000000", "99999999999999999999.000000000", "+1.000000000"] {
            assert_eq!(seconds(bad), None, "{bad}");
        }
    }
}
