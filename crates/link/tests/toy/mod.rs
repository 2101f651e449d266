//! A small device that speaks the language: enough of it to carry, to crowd and to vet, with faults that a test may choose.
#![allow(dead_code, reason = "each test file uses a part of it")]

use link::{Limits, Server, Token};
use protocol::check::{self, Checked};
use protocol::verbs::VERBS;
use protocol::{
    Device, Frame, LineBuffer, RawRequest, Refusal, RefusalKind, Reply, ReplyLine, Request, Session,
};
use std::collections::BTreeMap;
use std::net::SocketAddr;
use tokio::io::{AsyncBufReadExt, AsyncWriteExt, BufReader};
use tokio::net::TcpStream;
use tokio::time::Duration;
use units::{Angle, Instant, Length, Span};

/// What the device does wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fault {
    /// Ends replies with CR LF.
    ReturnsInReplies,
    /// Answers empty lines.
    AnswersEmptyLines,
    /// Leaves tags out.
    DropsTags,
    /// Takes bare numbers where a unit is due.
    TakesBareNumbers,
    /// Obeys lines whose check doesn't fit.
    IgnoresChecks,
    /// Sets the first pair of a request before it finds the second wrong.
    HalfDone,
    /// Answers everyone.
    TellsEveryone,
    /// Refuses to stop when nothing moves.
    RefusesStop,
}

#[derive(Default)]
struct Connection {
    incoming: LineBuffer,
    out: Vec<u8>,
}

/// The device: a site's height, two dials, one job at a time.
pub struct Toy {
    pub now: Instant,
    pub height: Length,
    pub hour: f64,
    fault: Option<Fault>,
    job: Option<(u64, Instant, f64)>,
    jobs: u64,
    given_out: u32,
    connections: BTreeMap<Session, Connection>,
    /// Tells every connection something at this pace, if at all.
    chatter: Option<Span>,
    next_word: Instant,
}

impl Toy {
    pub fn new(fault: Option<Fault>) -> Self {
        let now = Instant::J2000_TAI;
        Self {
            now,
            height: Length::from_metres(440.0),
            hour: -90.0,
            fault,
            job: None,
            jobs: 0,
            given_out: 0,
            connections: BTreeMap::new(),
            chatter: None,
            next_word: now,
        }
    }

    pub fn chattering(every: Span) -> Self {
        Self { chatter: Some(every), ..Self::new(None) }
    }

    pub fn moves(&self) -> bool {
        self.job.is_some()
    }

    pub fn connected(&self) -> usize {
        self.connections.len()
    }

    fn tell_all(&mut self, line: &str) {
        for connection in self.connections.values_mut() {
            connection.out.extend_from_slice(line.as_bytes());
            connection.out.push(b'\n');
        }
    }

    fn answer(&mut self, frame: &Frame) -> String {
        let refuse = |kind, sentence: &str| line(None, Reply::No(Refusal::new(kind, sentence)));
        match frame {
            Frame::TooLong => refuse(RefusalKind::TooLong, "too long"),
            Frame::NotText { .. } => refuse(RefusalKind::NotText, "no text"),
            Frame::Line(text) => match check::take(text) {
                Checked::Bad if self.fault != Some(Fault::IgnoresChecks) => {
                    refuse(RefusalKind::BadCheck, "damaged")
                }
                Checked::Bad => self.obey(text.rsplit_once(" check=").map_or(text, |(body, _)| body)),
                Checked::Absent(body) => self.obey(body),
                Checked::Good(body) => {
                    let mut reply = self.obey(body);
                    check::append(&mut reply);
                    reply
                }
            },
        }
    }

    fn obey(&mut self, body: &str) -> String {
        let (tag, result) = match RawRequest::read(body) {
            Err((tag, refusal)) => (tag, Err(refusal)),
            Ok(mut raw) => {
                for pair in &mut raw.pairs {
                    if self.fault == Some(Fault::TakesBareNumbers) && pair.key == "height" {
                        pair.value.push_str(if pair.value.ends_with('m') { "" } else { "m" });
                    }
                    if self.fault == Some(Fault::HalfDone) && pair.key == "height" && pair.value == "1234m" {
                        self.height = Length::from_metres(1234.0);
                    }
                }
                let result = Request::from_raw(&raw).and_then(|request| self.carry_out(&raw, &request));
                (raw.tag, result)
            }
        };
        let tag = tag.filter(|_| self.fault != Some(Fault::DropsTags));
        match result {
            Ok(pairs) => {
                let tag = tag.map_or(String::new(), |tag| format!(" @{}", tag.as_str()));
                format!("ok{tag}{pairs}")
            }
            Err(refusal) => line(tag, Reply::No(refusal)),
        }
    }

    fn carry_out(&mut self, raw: &RawRequest, request: &Request) -> Result<String, Refusal> {
        let dials = format!(" hour_dial={:.8}deg declination_dial=90.00000000deg", self.hour);
        let value = |key: &str| raw.pairs.iter().find(|pair| pair.key == key).map(|pair| pair.value.clone());
        Ok(match raw.verb.as_str() {
            "identify" => " device=toy kind=german-equatorial language=1".to_owned(),
            "help" => match &raw.topic {
                Some(topic) => format!(" purpose=\"of {topic}\" keys=none"),
                None => {
                    let known = ["identify", "help", "site", "goto", "stop", "status", "axes"];
                    let names: Vec<&str> =
                        VERBS.iter().map(|verb| verb.name).filter(|name| known.contains(name)).collect();
                    format!(" verbs={}", names.join(","))
                }
            },
            "site" => {
                if let Request::Site(entry) = request {
                    self.height = entry.height.unwrap_or(self.height);
                }
                let height = self.height.metres();
                format!(
                    " latitude=40.5deg longitude=-4.5deg height={height:.2}m pressure=965hPa temperature=9degC humidity=60%"
                )
            }
            "axes" => dials,
            "status" if value("group").is_some_and(|group| group.eq_ignore_ascii_case("pointing")) => {
                " utc=2027-03-06T19:30:00.000Z azimuth=10.0deg altitude=40.0deg".to_owned()
            }
            "status" => {
                let state = if self.job.is_some() { "slewing" } else { "resting" };
                format!(" state={state}{dials}")
            }
            "stop" => {
                if self.fault == Some(Fault::RefusesStop) && self.job.is_none() {
                    return Err(Refusal::new(RefusalKind::Busy, "nothing moves"));
                }
                let job = self.job.take().map(|(number, _, _)| number);
                if let Some(number) = job {
                    self.tell_all(&format!("* stopped job={number}"));
                }
                format!(" job={} seconds=0.000s", job.map_or("none".to_owned(), |job| job.to_string()))
            }
            "goto" => {
                if let Some(name) = value("name") {
                    let sentence = format!("no object is called {name}");
                    return Err(Refusal::new(RefusalKind::UnknownTarget, sentence));
                }
                if value("altitude").is_some_and(|altitude| altitude.starts_with('-')) {
                    return Err(Refusal::new(RefusalKind::BelowHorizon, "below the horizon"));
                }
                let target = value("hour_axis").and_then(|text| units::Quantity::parse(&text).ok());
                let target: Angle = target.unwrap_or(Angle::ZERO);
                let seconds = 0.05 * (target.degrees() - self.hour).abs();
                self.jobs += 1;
                self.job = Some((self.jobs, self.now + Span::from_seconds(seconds), target.degrees()));
                format!(" job={} seconds={seconds:.3}s solution=direct", self.jobs)
            }
            other => return Err(Refusal::new(RefusalKind::Busy, format!("this toy has no {other}"))),
        })
    }
}

fn line(tag: Option<protocol::Tag>, reply: Reply) -> String {
    let mut text = String::new();
    ReplyLine { tag, reply }.push_to(&mut text);
    text
}

impl Device for Toy {
    fn connect(&mut self) -> Session {
        self.given_out += 1;
        self.connections.insert(Session(self.given_out), Connection::default());
        Session(self.given_out)
    }

    fn disconnect(&mut self, session: Session) {
        self.connections.remove(&session);
    }

    fn receive(&mut self, session: Session, bytes: &[u8]) {
        let Some(mut connection) = self.connections.remove(&session) else { return };
        if self.fault == Some(Fault::AnswersEmptyLines) && bytes.starts_with(b"\n") {
            connection.out.extend_from_slice(b"ok\n");
        }
        connection.incoming.push(bytes);
        self.connections.insert(session, connection);
        loop {
            let connection = self.connections.get_mut(&session).expect("it was just put back");
            let Some(frame) = connection.incoming.next_frame() else { return };
            let mut reply = self.answer(&frame);
            reply.push_str(if self.fault == Some(Fault::ReturnsInReplies) { "\r\n" } else { "\n" });
            if self.fault == Some(Fault::TellsEveryone) {
                self.connections.values_mut().for_each(|other| other.out.extend_from_slice(reply.as_bytes()));
            } else {
                let connection = self.connections.get_mut(&session).expect("it was just put back");
                connection.out.extend_from_slice(reply.as_bytes());
            }
        }
    }

    fn transmit(&mut self, session: Session, out: &mut Vec<u8>) {
        if let Some(connection) = self.connections.get_mut(&session) {
            out.append(&mut connection.out);
        }
    }

    fn next_wake(&self) -> Option<Instant> {
        let ends = self.job.map(|(_, ends, _)| ends);
        ends.into_iter().chain(self.chatter.map(|_| self.next_word)).min()
    }

    fn advance(&mut self, until: Instant) {
        self.now = self.now.max(until);
        if let Some((number, ends, target)) = self.job
            && ends <= self.now
        {
            self.job = None;
            self.hour = target;
            self.tell_all(&format!("* arrived job={number}"));
        }
        if let Some(every) = self.chatter {
            while self.next_word <= self.now {
                self.next_word += every;
                self.tell_all(&format!("* warn said=\"{}\"", "a".repeat(200)));
            }
        }
    }
}

/// Serves a toy over TCP on a free port.
pub async fn over_tcp(toy: Toy, limits: Limits, token: Option<Token>) -> (Server<Toy>, SocketAddr) {
    let listener = link::bind("127.0.0.1:0".parse().unwrap(), false, None).await.unwrap();
    let address = listener.local_addr().unwrap();
    let mut server = Server::start_at(toy, |toy| toy.now, 1.0, limits);
    server.tcp(listener, token);
    (server, address)
}

/// A plain connection: lines out, lines in, five seconds for each.
pub struct Plain {
    pub stream: BufReader<TcpStream>,
}

impl Plain {
    pub async fn connect(address: SocketAddr) -> Self {
        Self { stream: BufReader::new(TcpStream::connect(address).await.unwrap()) }
    }

    pub async fn send(&mut self, text: &str) {
        self.stream.get_mut().write_all(text.as_bytes()).await.unwrap();
    }

    /// The next line without its end; `None` at the end of the connection.
    pub async fn line(&mut self) -> Option<String> {
        let mut line = String::new();
        let read = tokio::time::timeout(Duration::from_secs(60), self.stream.read_line(&mut line));
        match read.await.expect("a line or the end within five seconds") {
            Ok(count) if count > 0 => Some(line.trim_end_matches('\n').to_owned()),
            _ => None,
        }
    }

    pub async fn ask(&mut self, text: &str) -> String {
        self.send(&format!("{text}\n")).await;
        self.line().await.expect("a reply")
    }
}
