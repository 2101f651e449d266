//! What all who are connected share: the mount, its line, who holds the controls, the lesson.

use crate::guard::{Hosts, Tokens};
use crate::lesson::Lesson;
use crate::passes::Passes;
use crate::progress::Running;
use axum::extract::ws::Utf8Bytes;
use bench::live::Live;
use link::{Handle, Line};
use serde_json::{Value, json};
use std::collections::{BTreeMap, VecDeque};
use std::sync::{Mutex, MutexGuard, PoisonError};
use tokio::sync::{broadcast, watch};
use units::Streams;

/// What the page may take.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits {
    /// Who may be connected at once, 1 to 500.
    pub clients: usize,
    /// Bytes of the body of an action.
    pub body: usize,
    /// Bytes of a message over the feed; a client has nothing to say there.
    pub message: usize,
}

impl Limits {
    /// The greatest number of clients that may be asked for.
    pub const CLIENTS_MOST: usize = 500;
}

impl Default for Limits {
    fn default() -> Self {
        Self { clients: 100, body: 64 * 1024, message: 256 }
    }
}

/// Lines of traffic that are kept for newcomers.
const TRAFFIC_MOST: usize = 200;
/// Lines of traffic that a client may lag behind before it misses some.
const TRAFFIC_WAITING: usize = 256;

/// The room.
pub(crate) struct Room {
    pub(crate) handle: Handle<Live>,
    /// The page's own connection to the mount: what goes over it is shown.
    pub(crate) line: Line<Live>,
    pub(crate) hosts: Hosts,
    pub(crate) tokens: Tokens,
    pub(crate) limits: Limits,
    pub(crate) lessons: Vec<Lesson>,
    /// What changes with every frame.
    pub(crate) frames: watch::Sender<Utf8Bytes>,
    /// What changes seldom.
    pub(crate) rooms: watch::Sender<Utf8Bytes>,
    pub(crate) traffic: broadcast::Sender<Utf8Bytes>,
    pub(crate) ending: watch::Receiver<bool>,
    desk: Mutex<Desk>,
}

/// What changes by what people do.
pub(crate) struct Desk {
    pub(crate) passes: Passes,
    pub(crate) running: Option<Running>,
    /// Hidden errors that are to be found: their seed.
    pub(crate) hidden: Option<u64>,
    /// The night to which `reset` leads back.
    pub(crate) night: String,
    /// What sliders are switched off: their errors' values while they are.
    pub(crate) off: BTreeMap<&'static str, f64>,
    pub(crate) surprises: u64,
    /// Whether the page does something by itself.
    pub(crate) showing: bool,
    said: VecDeque<Utf8Bytes>,
    numbered: u64,
}

impl Room {
    pub(crate) fn new(
        handle: Handle<Live>,
        hosts: Hosts,
        tokens: Tokens,
        limits: Limits,
        lessons: Vec<Lesson>,
        ending: watch::Receiver<bool>,
    ) -> Self {
        let night = handle.with(|live| live.scenario());
        let desk = Desk {
            passes: Passes::default(),
            running: None,
            hidden: None,
            night,
            off: BTreeMap::new(),
            surprises: 0,
            showing: false,
            said: VecDeque::new(),
            numbered: 0,
        };
        Self {
            line: handle.connect(),
            handle,
            hosts,
            tokens,
            limits,
            lessons,
            frames: watch::Sender::new(Utf8Bytes::from_static("{}")),
            rooms: watch::Sender::new(Utf8Bytes::from_static("{}")),
            traffic: broadcast::Sender::new(TRAFFIC_WAITING),
            ending,
            desk: Mutex::new(desk),
        }
    }

    /// The desk; whoever panicked at it left it whole, since every change is one assignment.
    pub(crate) fn desk(&self) -> MutexGuard<'_, Desk> {
        self.desk.lock().unwrap_or_else(PoisonError::into_inner)
    }

    pub(crate) fn lesson(&self, name: &str) -> Option<&Lesson> {
        self.lessons.iter().find(|lesson| lesson.name == name)
    }

    /// Sends one line to the mount and returns its answer. Both are shown to everybody.
    pub(crate) fn say(&self, text: &str) -> String {
        self.show('>', text);
        let said = self.line.send(format!("{text}\n").as_bytes());
        self.hear(&said).unwrap_or_default()
    }

    /// Shows what the mount has said; returns the last answer in it.
    pub(crate) fn hear(&self, said: &[u8]) -> Option<String> {
        let mut answer = None;
        for line in String::from_utf8_lossy(said).lines().filter(|line| !line.is_empty()) {
            self.show('<', line);
            if !line.starts_with('*') {
                answer = Some(line.to_owned());
            }
        }
        answer
    }

    fn show(&self, way: char, text: &str) {
        let mut desk = self.desk();
        desk.numbered += 1;
        let shown = json!({ "kind": "line", "number": desk.numbered, "way": way, "text": text });
        let shown = Utf8Bytes::from(shown.to_string());
        if desk.said.len() == TRAFFIC_MOST {
            desk.said.pop_front();
        }
        desk.said.push_back(shown.clone());
        // Nobody may be there to see it.
        let _ = self.traffic.send(shown);
    }

    /// The traffic so far, for a newcomer.
    pub(crate) fn said(&self) -> Vec<Utf8Bytes> {
        self.desk().said.iter().cloned().collect()
    }

    /// Draws some errors that are to be found: three of those that this mount has, each within its usual range.
    pub(crate) fn surprise(live: &mut Live, seed: u64) -> Vec<String> {
        let mut draws = Streams::new(seed).stream("hidden errors", 0);
        let mut names: Vec<&bench::live::Trim> = live.trims().map(|(trim, _)| trim).collect();
        let mut lines = Vec::new();
        for _ in 0..3.min(names.len()) {
            let trim = names.remove(draws.below(names.len() as u64) as usize);
            let size = draws.between(trim.usual.0, trim.usual.1);
            let signed = if trim.least < 0.0 && draws.chance(0.5) { -size } else { size };
            let value = (signed / trim.step).round() * trim.step;
            match live.set(trim.name, value.clamp(trim.least, trim.most)) {
                Ok(line) => lines.extend(line),
                // Two that together are no mount: the others will do.
                Err(error) => tracing::debug!(%error, "an error that can't be drawn here"),
            }
        }
        lines
    }

    /// Everything that changes seldom, as everybody may see it.
    pub(crate) fn room_value(&self) -> Value {
        let desk = self.desk();
        let lesson = desk.running.as_ref().map(Running::value);
        let (hidden, off, showing, surprises) = (desk.hidden, desk.off.clone(), desk.showing, desk.surprises);
        let (holder, here) = (desk.passes.holder(), desk.passes.count());
        drop(desk);
        self.handle.with(|live| {
            let trims: Vec<Value> = live
                .trims()
                .map(|(trim, value)| {
                    json!({
                        "name": trim.name, "unit": trim.unit.text(), "least": trim.least, "most": trim.most,
                        "step": trim.step, "usual": [trim.usual.0, trim.usual.1], "told": trim.is_told(),
                        "value": if hidden.is_some() { Value::Null } else { json!(value) },
                        "off": off.get(trim.name),
                    })
                })
                .collect();
            json!({
                "kind": "room",
                "night": live.nights(),
                "title": live.title(),
                "trims": trims,
                "hidden": hidden.is_some(),
                "surprises": surprises,
                "showing": showing,
                "lesson": lesson,
                "holder": holder,
                "here": here,
                "sky": crate::frames::sky(live),
            })
        })
    }

    /// Tells everybody what has changed.
    pub(crate) fn tell_room(&self) {
        let value = self.room_value().to_string();
        self.rooms.send_replace(Utf8Bytes::from(value));
    }
}
