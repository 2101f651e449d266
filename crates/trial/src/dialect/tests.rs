use super::*;
use protocol::{Device, Session};
use units::Instant;

const PLAIN_WORDS: &str = include_str!("../../../../fixtures/dialects/plain_words.toml");
const SEMICOLONS: &str = include_str!("../../../../fixtures/dialects/semicolons.toml");

/// Answers what it is told to, and keeps what it was asked.
#[derive(Default)]
struct Parrot {
    asked: Vec<String>,
    answer: String,
    out: Vec<u8>,
}

impl Device for Parrot {
    fn connect(&mut self) -> Session {
        Session(0)
    }
    fn disconnect(&mut self, _: Session) {}
    fn receive(&mut self, _: Session, bytes: &[u8]) {
        let line = String::from_utf8_lossy(bytes).trim_end().to_owned();
        let (tag, rest) = line.split_once(' ').expect("a tag");
        self.asked.push(rest.to_owned());
        let (word, rest) = self.answer.split_once(' ').unwrap_or((&self.answer, ""));
        self.out.extend_from_slice(format!("{word} {tag} {rest}\n").as_bytes());
    }
    fn transmit(&mut self, _: Session, out: &mut Vec<u8>) {
        out.append(&mut self.out);
    }
    fn next_wake(&self) -> Option<Instant> {
        None
    }
    fn advance(&mut self, _: Instant) {}
}

fn speaking(file: &str, answer: &str) -> (Speaking<Parrot>, Session) {
    let dialect = Dialect::read(file).unwrap_or_else(|error| panic!("{error}"));
    let mut speaking =
        Speaking::new(Parrot { answer: answer.to_owned(), ..Parrot::default() }, Some(dialect));
    let session = speaking.connect();
    (speaking, session)
}

fn said(speaking: &mut Speaking<Parrot>, session: Session) -> String {
    let mut out = Vec::new();
    speaking.transmit(session, &mut out);
    String::from_utf8_lossy(&out).into_owned()
}

#[test]
fn sentences_become_requests_and_replies_sentences() {
    let (mut mount, session) = speaking(PLAIN_WORDS, "ok job=4 seconds=3.000s");
    assert_eq!(said(&mut mount, session), "ready when you are\r\n");
    mount.receive(session, b"Please point to Regulus\r");
    assert_eq!(said(&mut mount, session), "");
    mount.receive(session, b"\n");
    assert_eq!(said(&mut mount, session), "pointing as errand 4\r\n");
    mount.receive(session, b"please point at 5.5 hours -5.39 degrees\r\nplease sing\r\n");
    assert_eq!(said(&mut mount, session), "pardon\r\npointing as errand 4\r\n");
    assert_eq!(mount.inner().asked, ["goto name=Regulus", "goto ra=5.5h dec=-5.39deg"]);
    mount.inner().answer = "no 31 below-horizon \"too low\"".to_owned();
    mount.receive(session, b"please point to Vega\r\n");
    assert_eq!(said(&mut mount, session), "sorry 31 because too low\r\n");
    mount.inner().answer = "ok azimuth=1.00000000deg ra=82.50000000deg dec=-5.39000000deg".to_owned();
    mount.receive(session, b"where\r\n");
    assert_eq!(said(&mut mount, session), "at 5.50000 hours -5.3900 degrees\r\n");
    mount.inner().out.extend_from_slice(b"* arrived job=4 target=Regulus\n* stopped job=4\n");
    assert_eq!(said(&mut mount, session), "errand 4 done\r\n");
}

#[test]
fn odd_line_ends_echo_and_unprompted_words() {
    let (mut mount, session) = speaking(SEMICOLONS, "ok state=tracking");
    mount.receive(session, b"mount/aim 120;az 40.5;alt\x1Ewhat\x1E");
    assert_eq!(mount.inner().asked, ["goto azimuth=120deg altitude=40.5deg"]);
    let all = said(&mut mount, session);
    assert_eq!(all, "mount/aim 120;az 40.5;alt\x1Ewhat\x1Ewhat?\x1Emount/aim accepted\x1E");
    let begin = Instant::J2000_TAI;
    mount.advance(begin);
    assert_eq!(said(&mut mount, session), "");
    assert_eq!(mount.next_wake(), Some(begin + Span::from_whole_seconds(1)));
    mount.advance(begin + Span::from_whole_seconds(1));
    assert_eq!(said(&mut mount, session), "mount/state tracking\x1E");
}

#[test]
fn mistakes_are_found_before_use_and_have_their_place() {
    for (file, line, column, problem) in [
        ("format = 2\n", 1, 10, "this format is not known"),
        ("format = 1\nsay = 3\n", 2, 1, "unknown field `say`"),
        ("format = 1\nline_end = ''\n", 2, 12, "lines must have an end"),
        ("format = 1\nunknown = '\\q'\n", 2, 11, "no such escape"),
        ("format = 1\n[[request]]\nline = \"go {a\"\nsend = \"stop\"\n", 3, 8, "a brace is not closed"),
        (
            "format = 1\n[[request]]\nline = \"go {a:feet}\"\nsend = \"stop\"\n",
            3,
            8,
            "`{a:feet}` is no field",
        ),
        ("format = 1\n[[request]]\nline = \"go\"\nsend = \"leap\"\n", 4, 8, "`leap` is no verb"),
        ("format = 1\n[[request]]\nline = \"go\"\nsend = \"goto name={n}\"\n", 4, 8, "stands in no field"),
        ("format = 1\n[[event]]\nof = \"landed\"\nsay = \"x\"\n", 3, 6, "no event `landed`"),
        (
            "format = 1\n[[request]]\nline = \"go {n}\"\nsend = \"stop\"\n[[request]]\nline = \"GO home\"\nsend = \"home\"\n",
            6,
            8,
            "a line could fit this pattern and `go {n}`",
        ),
    ] {
        let error = Dialect::read(file).err().unwrap_or_else(|| panic!("accepted: {file}"));
        assert_eq!((error.line, error.column), (line, column), "{error}");
        assert!(error.problem.contains(problem), "{error}");
    }
}

#[test]
fn numbers_and_words_can_be_told_apart() {
    let file = "format = 1\n[[request]]\nline = \"go {n:degrees}\"\nsend = \"stop\"\n[[request]]\nline = \"go home\"\nsend = \"home\"\n";
    assert!(Dialect::read(file).is_ok());
}
