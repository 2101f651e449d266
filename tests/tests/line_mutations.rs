//! Spoilt lines by the thousand through parser and mount: a fuzz target that needs nothing but the stable compiler.
//!
//! Lines of the corpus (`tests/corpus/lines.txt`, and every example of the manual) are changed at random, by a seed, and said to a
//! mount in pieces of random lengths. 20 000 of them with the other tests; `LINES=10000000 cargo test -p tests --test
//! line_mutations -- --nocapture` for a night, with other seeds by `SEED`. A line that ever breaks something is added to the corpus.

use protocol::verbs::VERBS;
use protocol::{
    Device as _, Frame, LineBuffer, RawRequest, Request, Session, check, dialogue, read_event, read_reply,
};
use std::collections::BTreeMap;
use tests::mount::{NIGHT, night};
use tests::text_of;
use units::{Span, Stream, Streams};
use world::{Allowed, FaultsAllowed, World};

/// After so many lines the mount is replaced by a fresh one.
const LINES_PER_MOUNT: u64 = 500;

fn corpus() -> Vec<String> {
    let examples =
        VERBS.iter().flat_map(|verb| dialogue(verb.name).lines()).filter_map(|line| line.strip_prefix("> "));
    let kept = text_of("tests/corpus/lines.txt");
    examples.chain(kept.lines()).map(str::to_owned).collect()
}

/// Texts that are put into lines.
const PIECES: &[&str] = &[
    " ",
    "  ",
    "=",
    "\"",
    "\\",
    "\r",
    "\t",
    "@",
    "@a ",
    "check=",
    " check=0000",
    "deg",
    "arcsec",
    "s",
    "-",
    "+",
    "e99",
    "1e308",
    "NaN",
    "inf",
    "0",
    "00000000000000000000",
    "-0",
    "18446744073709551616",
    "\x00",
    "\x7f",
    "\u{fffd}",
    " seq=1",
    " seq=2",
    " for=1s",
    " within=0s",
    "*",
    "ok",
    "d",
    "h",
    "m",
    ".",
    ",",
    "%",
];

fn pick<'a, T: ?Sized>(stream: &mut Stream, from: &[&'a T]) -> &'a T {
    from[stream.below(from.len() as u64) as usize]
}

/// A line of the corpus, changed in up to four ways.
fn spoilt(stream: &mut Stream, corpus: &[String]) -> Vec<u8> {
    let any = |stream: &mut Stream| corpus[stream.below(corpus.len() as u64) as usize].as_bytes().to_vec();
    let mut line = any(stream);
    for _ in 0..stream.below(5) {
        let place = stream.below(line.len() as u64 + 1) as usize;
        match stream.below(9) {
            0 => drop(line.splice(place..place, pick(stream, PIECES).bytes())),
            1 if place < line.len() => line[place] = stream.below(256) as u8,
            2 if place < line.len() => line[place] ^= 1 << stream.below(8),
            3 if place < line.len() => drop(line.remove(place)),
            4 => line.truncate(place),
            5 => {
                let other = any(stream);
                let from = stream.below(other.len() as u64) as usize;
                line.truncate(place);
                line.extend_from_slice(&other[from..]);
            }
            6 => line.make_ascii_uppercase(),
            7 => {
                // A word twice.
                let words: Vec<Vec<u8>> = line.split(|byte| *byte == b' ').map(<[u8]>::to_vec).collect();
                let word = words[stream.below(words.len() as u64) as usize].clone();
                line.push(b' ');
                line.extend(word);
            }
            _ => {
                let times = stream.below(40) as usize;
                let tail = line[place..].to_vec();
                (0..times).for_each(|_| line.extend_from_slice(&tail[..tail.len().min(16)]));
            }
        }
    }
    line.retain(|byte| *byte != b'\n');
    if stream.chance(0.1)
        && let Ok(mut text) = String::from_utf8(line.clone())
    {
        check::append(&mut text);
        line = text.into_bytes();
    }
    line
}

/// What was seen.
#[derive(Debug, Default)]
struct Counters {
    lines: u64,
    silent: u64,
    obeyed: u64,
    refused: BTreeMap<u16, u64>,
    events: u64,
    read_back: u64,
    held_unchanged: u64,
}

/// What is written of a line that can be read reads back to the same, and is written the same again.
fn reads_back(line: &str, counters: &mut Counters) {
    let Ok(raw) = RawRequest::read(line) else { return };
    let again = RawRequest::read(&raw.to_line()).unwrap_or_else(|why| panic!("`{line}`: {why:?}"));
    assert_eq!(again.to_line(), raw.to_line(), "`{line}`");
    let Ok(request) = Request::from_raw(&raw) else { return };
    let written = request.to_line();
    let read = RawRequest::read(&written).map_err(|(_, why)| why).and_then(|raw| Request::from_raw(&raw));
    let read = read.unwrap_or_else(|why| panic!("`{line}` was written as `{written}`: {why:?}"));
    assert_eq!(read.to_line(), written, "`{line}`");
    counters.read_back += 1;
}

struct Talk {
    world: World,
    sessions: [Session; 2],
}

impl Talk {
    fn begin(prepared: &bench::Prepared) -> Self {
        let mut world = prepared.world();
        world.allow(Allowed { clock: true, faults: FaultsAllowed::All });
        let sessions = [world.connect(), world.connect()];
        Self { world, sessions }
    }

    /// Says a line in pieces; one reply comes, or none if it was empty or the mount has no power.
    fn say(&mut self, line: &[u8], stream: &mut Stream, counters: &mut Counters) {
        let session = self.sessions[usize::from(stream.chance(0.2))];
        let mut bytes = line.to_vec();
        bytes.push(b'\n');
        let mut frames = LineBuffer::new();
        frames.push(&bytes);
        let frame = frames.next_frame();
        let mut said = Vec::new();
        self.world.transmit(session, &mut said);
        said.clear();
        // A digest costs more than a line: one in eight is held against it.
        let before = stream.chance(0.125).then(|| self.world.controller().state_digest());
        let mut rest = &bytes[..];
        while !rest.is_empty() {
            let (piece, after) = rest.split_at((1 + stream.below(80) as usize).min(rest.len()));
            self.world.receive(session, piece);
            rest = after;
        }
        self.world.transmit(session, &mut said);
        let text = String::from_utf8(said).expect("the mount speaks ASCII");
        counters.lines += 1;
        self.judge(line, frame.as_ref(), &text, before, counters);
        if let Some(Frame::Line(line)) = &frame {
            reads_back(line, counters);
        }
    }

    fn judge(
        &self,
        line: &[u8],
        frame: Option<&Frame>,
        text: &str,
        before: Option<u64>,
        counters: &mut Counters,
    ) {
        let told = || format!("`{}` was answered with `{text}`", line.escape_ascii());
        let mut replies = 0;
        for said in text.lines() {
            let body = match check::take(said) {
                check::Checked::Absent(body) | check::Checked::Good(body) => body,
                check::Checked::Bad => panic!("{}", told()),
            };
            if read_event(body).is_some() {
                counters.events += 1;
                continue;
            }
            replies += 1;
            match read_reply(body).unwrap_or_else(|| panic!("{}", told())).outcome {
                Ok(_) => counters.obeyed += 1,
                Err((number, ..)) => {
                    *counters.refused.entry(number).or_default() += 1;
                    if let Some(before) = before {
                        assert_eq!(self.world.controller().state_digest(), before, "{}", told());
                        counters.held_unchanged += 1;
                    }
                }
            }
        }
        match (frame, replies) {
            (None, 0) => counters.silent += 1,
            (Some(_), 1) => {}
            // Without power it is silent; only an order brings that about here.
            (Some(_), 0) => counters.silent += 1,
            _ => panic!("{}", told()),
        }
    }
}

fn run(lines: u64, seed: u64) -> Counters {
    let corpus = corpus();
    let prepared = night(NIGHT);
    let mut counters = Counters::default();
    let mut stream = Streams::new(seed).stream("spoilt lines", 0);
    let mut talk = Talk::begin(&prepared);
    while counters.lines < lines {
        if counters.lines % LINES_PER_MOUNT == 0 {
            talk = Talk::begin(&prepared);
        }
        let line = spoilt(&mut stream, &corpus);
        talk.say(&line, &mut stream, &mut counters);
        if stream.chance(0.2) {
            let until = talk.world.now() + Span::from_seconds(stream.between(0.0, 20.0));
            talk.world.advance_to(until);
        }
    }
    counters
}

/// A number that somebody asks for.
#[allow(clippy::disallowed_methods, reason = "a test is told from outside how long to run")]
fn asked(name: &str, usual: u64) -> u64 {
    std::env::var(name)
        .map_or(usual, |text| text.parse().unwrap_or_else(|_| panic!("{name}={text} is no number")))
}

#[test]
fn spoilt_lines_hurt_nobody() {
    let (lines, seed) = (asked("LINES", 20_000), asked("SEED", 1));
    let counters = run(lines, seed);
    println!("seed {seed}: {counters:#?}");
    // Neither all good nor all bad: a run that only met one kind of line would have tried nothing.
    assert!(
        counters.obeyed * 20 > lines && counters.refused.values().sum::<u64>() * 4 > lines,
        "{counters:?}"
    );
    assert!(counters.refused.len() > 15, "{counters:?}");
}
