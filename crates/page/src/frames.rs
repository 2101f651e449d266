//! What is sent to the page: figures as the core prints them, to the last digit, and numbers for drawing beside them.

use bench::live::{Live, Picture, Play, Scope, Seen};
use serde_json::{Value, json};
use units::{Angle, Fixed};

use crate::facts::field;

/// Decimals of a degree, as on the line (0.00004″).
const DEGREES: u8 = 8;
/// Decimals of an arcsecond.
const ARCSECONDS: u8 = 2;

/// An angle as text in degrees.
pub(crate) fn degrees(angle: Angle) -> String {
    text(angle.degrees(), DEGREES)
}

/// An angle as text in arcseconds.
pub(crate) fn arcsec(angle: Angle) -> String {
    text(angle.arcsec(), ARCSECONDS)
}

fn text(value: f64, decimals: u8) -> String {
    let mut out = String::new();
    Fixed { value, decimals }.push_to(&mut out);
    out
}

/// One frame: everything that moves.
pub(crate) fn frame(live: &mut Live, speed: f64) -> Value {
    let picture = live.picture();
    let scope = live.scope();
    picture_value(&picture, &scope, speed, live.nights())
}

fn picture_value(picture: &Picture, scope: &Scope, speed: f64, night: u64) -> Value {
    let told = &picture.told;
    let say = |line: &str, key: &str| field(line, key).map(str::to_owned);
    let axes = picture.kind.axis_words();
    json!({
        "kind": "frame",
        "night": night,
        // Nanoseconds of atomic time would lose digits as a number.
        "at": picture.now.nanoseconds() as f64 / 1e9,
        "speed": speed,
        "axes": [axes.0, axes.1],
        "dial": [degrees(picture.dials.0), degrees(picture.dials.1)],
        "axis": [degrees(picture.axes.0), degrees(picture.axes.1)],
        "lag": [arcsec(picture.dials.0 - picture.axes.0), arcsec(picture.dials.1 - picture.axes.1)],
        "worm": picture.worm_turns,
        "play": [play(&picture.plays[0]), play(&picture.plays[1])],
        "belief": [degrees(picture.belief.0), degrees(picture.belief.1)],
        "truth": [degrees(picture.truth.0), degrees(picture.truth.1)],
        "gap": [arcsec(picture.gap.0), arcsec(picture.gap.1)],
        "field_angle": picture.field_angle.degrees(),
        "side": picture.tube_side,
        "sun": [picture.sun.0.degrees(), picture.sun.1.degrees()],
        "target": picture.target.as_ref().map(|target| json!({
            "name": target.name,
            "at": [degrees(target.horizontal.0), degrees(target.horizontal.1)],
            "error": [arcsec(target.error.0), arcsec(target.error.1)],
        })),
        "state": say(&told.status, "state"),
        "rate": say(&told.status, "rate"),
        "job": say(&told.status, "job"),
        "clock": say(&told.status, "utc"),
        "method": say(&told.alignment, "method"),
        "taken": say(&told.alignment, "taken"),
        "needed": say(&told.alignment, "needed"),
        "eyepiece": seen(&scope.eyepiece),
        "finder": seen(&scope.finder),
    })
}

fn play(play: &Play) -> Value {
    json!({ "contact": play.contact, "share": play.share, "gap": arcsec(play.gap), "loaded": play.loaded })
}

/// Name, kind, magnitude, places in arcminutes, diameter in arcminutes.
fn seen(all: &[Seen]) -> Vec<Value> {
    let round = |angle: Angle| (angle.arcmin() * 1e4).round() / 1e4;
    all.iter()
        .map(|one| {
            json!([one.name, one.kind, one.magnitude, round(one.right), round(one.up), round(one.diameter)])
        })
        .collect()
}

/// What the sky and the instruments of this night are.
pub(crate) fn sky(live: &mut Live) -> Value {
    let round = |angle: Angle| (angle.degrees() * 1e3).round() / 1e3;
    let marks: Vec<Value> = live
        .overhead()
        .iter()
        .map(|mark| json!([mark.name, mark.magnitude, round(mark.horizontal.0), round(mark.horizontal.1)]))
        .collect();
    let skyline: Vec<Value> =
        live.skyline().iter().map(|(azimuth, altitude)| json!([round(*azimuth), round(*altitude)])).collect();
    let eyepieces: Vec<Value> = live
        .eyepieces()
        .into_iter()
        .map(|(name, field)| {
            let times = (live.magnification(&name) * 10.0).round() / 10.0;
            json!({ "name": name, "field": field.arcmin(), "times": times })
        })
        .collect();
    json!({
        "marks": marks,
        "skyline": skyline,
        "latitude": live.latitude().degrees(),
        "bounds": live.bounds(),
        "eyepieces": eyepieces,
        "finder": live.finder_field().arcmin(),
        "view": live.view(),
        "teeth": live.teeth(),
        "worm_period": live.worm_period(),
    })
}

/// Takes out of a frame what would tell of errors that are to be found.
pub(crate) fn hide(frame: &mut Value) {
    for axis in 0..2 {
        frame["play"][axis]["gap"] = Value::Null;
        frame["lag"][axis] = Value::Null;
        frame["axis"][axis] = Value::Null;
    }
}
