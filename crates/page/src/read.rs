//! What is asked for: lessons, names, errors over time, the scenario. Nothing changes by asking.

use crate::act::PASS;
use crate::guard::only;
use crate::lesson::Lesson;
use crate::passes::Standing;
use crate::room::Room;
use axum::Json;
use axum::extract::{Query, State};
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Response};
use bench::live::{CourseMoment, Live};
use serde::Deserialize;
use serde_json::{Value, json};
use std::sync::Arc;

/// Moments in one answer; more are thinned out.
const MOMENTS_MOST: usize = 2400;
const NAMES_MOST: usize = 8;

/// Why something isn't told.
type No = (StatusCode, &'static str);

/// Somebody who is here, by the pass in a request's header.
fn is_here(room: &Room, headers: &HeaderMap) -> Result<(), No> {
    let pass = only(headers, PASS).unwrap_or_default();
    if room.desk().passes.standing(pass) == Standing::Stranger {
        return Err((StatusCode::UNAUTHORIZED, "show the pass that the feed gave you"));
    }
    Ok(())
}

/// The list of lessons.
pub(crate) async fn lessons(State(room): State<Arc<Room>>, headers: HeaderMap) -> Result<Json<Value>, No> {
    is_here(&room, &headers)?;
    let list = room.lessons.iter().map(|lesson| {
        json!({ "name": lesson.name, "title": lesson.title, "minutes": lesson.minutes, "goal": lesson.goal })
    });
    Ok(Json(list.collect()))
}

#[derive(Deserialize)]
pub(crate) struct Named {
    name: String,
}

/// One lesson, without what would tell the answer.
pub(crate) async fn lesson(
    State(room): State<Arc<Room>>,
    headers: HeaderMap,
    Query(asked): Query<Named>,
) -> Result<Json<Value>, No> {
    is_here(&room, &headers)?;
    let lesson = room.lesson(&asked.name);
    lesson.map(|lesson| Json(shown(lesson))).ok_or((StatusCode::NOT_FOUND, "there is no such lesson"))
}

fn shown(lesson: &Lesson) -> Value {
    let question = &lesson.question;
    let unit =
        question.fact.as_deref().and_then(|name| crate::facts::find(name).ok()).and_then(|fact| fact.unit);
    json!({
        "name": lesson.name,
        "title": lesson.title,
        "minutes": lesson.minutes,
        "goal": lesson.goal,
        "caution": lesson.caution,
        "errors": lesson.errors,
        "panel": lesson.panel,
        "axis": lesson.axis,
        "steps": lesson.steps.iter().map(|step| json!({ "say": step.say, "hint": step.hint })).collect::<Vec<_>>(),
        "question": { "ask": question.ask, "hint": question.hint, "choices": question.choices, "unit": unit },
        "explanation": {
            "text": lesson.explanation.text, "formula": lesson.explanation.formula, "letters": lesson.explanation.letters,
        },
        "handout": {
            "before": lesson.handout.before, "beware": lesson.handout.beware, "outside": lesson.handout.outside,
            "table": lesson.handout.table,
        },
    })
}

#[derive(Deserialize)]
pub(crate) struct Like {
    text: String,
}

/// Names that begin like a text.
pub(crate) async fn names(
    State(room): State<Arc<Room>>,
    headers: HeaderMap,
    Query(like): Query<Like>,
) -> Result<Json<Value>, No> {
    is_here(&room, &headers)?;
    let text: String = like.text.chars().take(40).collect();
    let found = if text.trim().is_empty() { Vec::new() } else { bench::live::names_like(&text, NAMES_MOST) };
    Ok(Json(json!(found)))
}

#[derive(Deserialize)]
pub(crate) struct After {
    after: u64,
    night: u64,
}

/// Errors over time since a moment of a night; all of them where that was another night.
pub(crate) async fn course(
    State(room): State<Arc<Room>>,
    headers: HeaderMap,
    Query(asked): Query<After>,
) -> Result<Json<Value>, No> {
    is_here(&room, &headers)?;
    Ok(Json(room.handle.with(|live| course_of(live, &asked))))
}

fn course_of(live: &Live, asked: &After) -> Value {
    let after = if asked.night == live.nights() { asked.after } else { 0 };
    let moments: Vec<&CourseMoment> = live.course(after).collect();
    let every = moments.len().div_ceil(MOMENTS_MOST).max(1);
    let last = moments.last().map_or(after, |moment| moment.number);
    let round = |angle: units::Angle| (angle.arcsec() * 1e3).round() / 1e3;
    let shown: Vec<Value> = moments
        .iter()
        .filter(|moment| moment.number.is_multiple_of(every as u64) || moment.number == last)
        .map(|moment| {
            let at = moment.at.nanoseconds() as f64 / 1e9;
            let error = moment.error.map(|(east, north)| [round(east), round(north)]);
            let lags = [round(moment.dials.0 - moment.axes.0), round(moment.dials.1 - moment.axes.1)];
            json!([at, error.map(|both| both[0]), error.map(|both| both[1]), lags[0], lags[1]])
        })
        .collect();
    json!({ "night": live.nights(), "last": last, "moments": shown })
}

/// The present night with its errors as a scenario file.
pub(crate) async fn scenario(State(room): State<Arc<Room>>, headers: HeaderMap) -> Result<Response, No> {
    is_here(&room, &headers)?;
    if room.desk().hidden.is_some() {
        return Err((StatusCode::CONFLICT, "the errors are hidden; have them told first"));
    }
    let text = room.handle.with(|live| live.scenario());
    let told = [
        (CONTENT_TYPE, "text/plain; charset=utf-8"),
        (CONTENT_DISPOSITION, "attachment; filename=\"nightbench.toml\""),
    ];
    Ok((told, text).into_response())
}
