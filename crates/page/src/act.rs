//! Actions: everything that changes something, one by one, by whoever holds the controls.

use crate::guard::only;
use crate::passes::Standing;
use crate::progress::Running;
use crate::room::Room;
use crate::show;
use axum::body::Bytes;
use axum::extract::State;
use axum::http::header::CONTENT_TYPE;
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Response};
use bench::live::Live;
use serde::Deserialize;
use serde_json::json;
use std::sync::Arc;
use units::Angle;

/// The header that shows a pass.
pub(crate) const PASS: &str = "x-nightbench-pass";
/// A key that isn't heard of again stops by itself after this many seconds of the mount's time.
const DEAD_MAN: &str = "1s";
/// The longest line of the language.
const LINE_MOST: usize = 255;

/// One action, by its word in `do`.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(tag = "do", rename_all = "kebab-case", deny_unknown_fields)]
pub(crate) enum Action {
    /// A line for the mount.
    Line { text: String },
    /// A direction key is down; to be said again while it is.
    Press { direction: String, rate: String },
    /// It is up.
    Release,
    /// Everything stops.
    Stop,
    /// Time runs so many times as fast as the wall's; 0 is a pause.
    Speed { value: f64 },
    /// An error gets a value.
    Set { name: String, value: f64 },
    /// An error is switched off, or on again with the value that it had.
    Switch { name: String, on: bool },
    /// The first axis is knocked.
    Knock { arcmin: f64 },
    /// The night begins anew, as it was loaded.
    Reset,
    /// A lesson begins; the present one if there is no name.
    Lesson { name: Option<String> },
    /// The lesson is left; the mount stays as it is.
    LeaveLesson,
    /// The page does the present step by itself.
    Show,
    /// The direction keys bring the target to the middle.
    Centre,
    /// An answer to the lesson's question.
    Answer { text: String },
    /// Hidden errors are drawn.
    Surprise { seed: u64 },
    /// And told.
    Reveal,
    /// Another night begins.
    Scenario { text: String },
    /// The controls are taken over.
    Take,
}

/// Why an action was not done.
pub(crate) struct Refusal(StatusCode, String);

impl Refusal {
    fn unusable(sentence: impl Into<String>) -> Self {
        Self(StatusCode::UNPROCESSABLE_ENTITY, sentence.into())
    }
}

impl IntoResponse for Refusal {
    fn into_response(self) -> Response {
        (self.0, axum::Json(json!({ "ok": false, "problem": self.1 }))).into_response()
    }
}

/// Takes an action.
pub(crate) async fn act(
    State(room): State<Arc<Room>>,
    headers: HeaderMap,
    body: Bytes,
) -> Result<Response, Refusal> {
    if !room.hosts.is_own_page(&headers) {
        let sentence = "an action has to come from this server's own page";
        return Err(Refusal(StatusCode::FORBIDDEN, sentence.to_owned()));
    }
    if only(&headers, CONTENT_TYPE.as_str()) != Some("application/json") {
        let sentence = "an action is application/json";
        return Err(Refusal(StatusCode::UNSUPPORTED_MEDIA_TYPE, sentence.to_owned()));
    }
    let pass = only(&headers, PASS).unwrap_or_default();
    let standing = room.desk().passes.standing(pass);
    let action: Action = serde_json::from_slice(&body)
        .map_err(|problem| Refusal::unusable(format!("the action can't be read: {problem}")))?;
    let least = match action {
        Action::Stop | Action::Take => Standing::Teacher,
        _ => Standing::Holder,
    };
    match (standing, least) {
        (Standing::Holder, _) | (Standing::Teacher, Standing::Teacher) => {}
        (Standing::Stranger, _) => {
            let sentence = "show the pass that the feed gave you";
            return Err(Refusal(StatusCode::UNAUTHORIZED, sentence.to_owned()));
        }
        (Standing::Teacher, _) => {
            let sentence = "somebody else holds the controls; take them first";
            return Err(Refusal(StatusCode::FORBIDDEN, sentence.to_owned()));
        }
        (Standing::Viewer, _) => {
            let sentence = "this link is for looking; whoever teaches holds the controls";
            return Err(Refusal(StatusCode::FORBIDDEN, sentence.to_owned()));
        }
    }
    let answer = room.do_it(action, pass)?;
    Ok(axum::Json(json!({ "ok": true, "answer": answer })).into_response())
}

impl Room {
    fn do_it(self: &Arc<Self>, action: Action, pass: &str) -> Result<Option<String>, Refusal> {
        match action {
            Action::Line { text } => return self.line(&text).map(Some),
            Action::Press { direction, rate } => return self.press(&direction, &rate).map(Some),
            Action::Release => return Ok(Some(self.say("release"))),
            Action::Stop => {
                self.end_showing();
                return Ok(Some(self.say("stop")));
            }
            Action::Speed { value } => self.asked_speed(value)?,
            Action::Set { name, value } => self.set_error(&name, value)?,
            Action::Switch { name, on } => self.switch(&name, on)?,
            Action::Knock { arcmin } => self.knock(arcmin)?,
            Action::Reset => self.reset()?,
            Action::Lesson { name } => self.begin_lesson(name.as_deref())?,
            Action::LeaveLesson => self.desk().running = None,
            Action::Show => show::step(self).map_err(Refusal::unusable)?,
            Action::Centre => show::centre(self).map_err(Refusal::unusable)?,
            Action::Answer { text } => self.answer(&text)?,
            Action::Surprise { seed } => self.hide(seed)?,
            Action::Reveal => self.desk().hidden = None,
            Action::Scenario { text } => self.load(&text)?,
            Action::Take => self.desk().passes.take(pass),
        }
        self.tell_room();
        Ok(None)
    }

    fn line(&self, text: &str) -> Result<String, Refusal> {
        let text = text.trim();
        if text.is_empty() || text.len() > LINE_MOST || !text.bytes().all(|byte| (32..127).contains(&byte)) {
            return Err(Refusal::unusable(format!(
                "a line is 1 to {LINE_MOST} printable characters of ASCII"
            )));
        }
        Ok(self.say(text))
    }

    /// A key that is down moves the mount for a second of its time; at any other pace than the wall's that would be too
    /// much or too little for a hand, so time runs as on the wall from then on.
    fn press(&self, direction: &str, rate: &str) -> Result<String, Refusal> {
        let plain = |text: &str| {
            text.len() <= 10 && text.bytes().all(|byte| byte.is_ascii_alphanumeric() || byte == b'.')
        };
        if !plain(direction) || !plain(rate) {
            return Err(Refusal::unusable("give a direction and a rate as the line has them"));
        }
        let speed = self.handle.speed();
        if speed == 0.0 || speed > 1.0 {
            self.set_speed(1.0);
        }
        Ok(self.say(&format!("nudge direction={direction} rate={rate} hold={DEAD_MAN}")))
    }

    fn asked_speed(&self, value: f64) -> Result<(), Refusal> {
        if !(0.0..=1000.0).contains(&value) {
            return Err(Refusal::unusable("time runs 0 to 1000 times as fast as the wall's"));
        }
        self.set_speed(value);
        Ok(())
    }

    /// Lets time go on at another pace.
    pub(crate) fn set_speed(&self, speed: f64) {
        self.handle.set_clock(|live| (live.now(), speed));
    }

    /// Changes one error; what the mount is told is typed at it.
    pub(crate) fn set_error(&self, name: &str, value: f64) -> Result<(), Refusal> {
        if self.desk().hidden.is_some() {
            return Err(Refusal::unusable("the errors are hidden; have them told first"));
        }
        let (before, changed) = self.handle.with(|live| (live.value_of(name), live.set(name, value)));
        let typed = changed.map_err(|error| Refusal::unusable(error.to_string()))?;
        if let Some(typed) = typed {
            let answer = self.say(&typed);
            if !answer.starts_with("ok") {
                self.handle
                    .with(|live| live.set(name, before.unwrap_or(0.0)))
                    .map_err(|error| Refusal::unusable(error.to_string()))?;
                return Err(Refusal::unusable(format!("the mount won't be told that now: {answer}")));
            }
        }
        self.desk().off.retain(|off, _| *off != name);
        Ok(())
    }

    fn switch(&self, name: &str, on: bool) -> Result<(), Refusal> {
        let known = bench::live::TRIMS.iter().find(|trim| trim.name == name);
        let Some(name) = known.map(|trim| trim.name) else {
            return Err(Refusal::unusable("there is no such error"));
        };
        if on {
            let kept = self.desk().off.get(name).copied();
            return kept.map_or(Ok(()), |kept| self.set_error(name, kept));
        }
        let value = self.handle.with(|live| live.value_of(name)).unwrap_or(0.0);
        if value == 0.0 {
            return Ok(());
        }
        self.set_error(name, 0.0)?;
        self.desk().off.insert(name, value);
        Ok(())
    }

    pub(crate) fn knock(&self, arcmin: f64) -> Result<(), Refusal> {
        if !(-120.0..=120.0).contains(&arcmin) {
            return Err(Refusal::unusable("a knock is at most 120 arcmin, either way"));
        }
        self.handle.with(|live| live.knock([Angle::from_arcmin(arcmin), Angle::ZERO]));
        Ok(())
    }

    fn reset(&self) -> Result<(), Refusal> {
        let in_a_lesson = self.desk().running.is_some();
        if in_a_lesson {
            return self.begin_lesson(None);
        }
        let night = self.desk().night.clone();
        self.load(&night)
    }

    /// Begins another night, without a lesson.
    pub(crate) fn load(&self, text: &str) -> Result<(), Refusal> {
        self.begin_night(text).map_err(Refusal::unusable)?;
        self.desk().running = None;
        Ok(())
    }

    fn begin_night(&self, text: &str) -> Result<(), String> {
        let prepared = bench::live::read_night(text)?;
        self.end_showing();
        self.handle.set_clock(|live| {
            live.begin(prepared);
            (live.now(), 1.0)
        });
        let mut desk = self.desk();
        desk.night = text.to_owned();
        desk.hidden = None;
        desk.off.clear();
        Ok(())
    }

    /// Begins a lesson, or the present one anew.
    pub(crate) fn begin_lesson(&self, name: Option<&str>) -> Result<(), Refusal> {
        let present = || self.desk().running.as_ref().map(|running| running.lesson.name.clone());
        let name = name.map(str::to_owned).or_else(present);
        let lesson = name.and_then(|name| self.lesson(&name).cloned());
        let lesson = lesson.ok_or_else(|| Refusal::unusable("there is no such lesson"))?;
        self.begin_night(&lesson.scenario).map_err(Refusal::unusable)?;
        let running = self.handle.with(|live| Running::begin(lesson, live));
        self.desk().running = Some(running);
        Ok(())
    }

    fn answer(&self, text: &str) -> Result<(), Refusal> {
        let mut running = self.desk().running.take();
        let judged = match &mut running {
            Some(running) => self.handle.with(|live| running.answer(text, live)),
            None => Err("no lesson is under way".to_owned()),
        };
        self.desk().running = running;
        judged.map_err(Refusal::unusable)
    }

    fn hide(&self, seed: u64) -> Result<(), Refusal> {
        let night = self.desk().night.clone();
        self.begin_night(&night).map_err(Refusal::unusable)?;
        let lines = self.handle.with(|live: &mut Live| Self::surprise(live, seed));
        // Not shown: what is typed would tell what is hidden.
        for line in lines {
            self.line.send(format!("{line}\n").as_bytes());
        }
        let mut desk = self.desk();
        desk.hidden = Some(seed);
        desk.surprises += 1;
        desk.running = None;
        Ok(())
    }

    /// What the page does by itself ends.
    pub(crate) fn end_showing(&self) {
        self.desk().showing = false;
    }
}
