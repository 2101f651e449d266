//! Verbs by which the mount learns where it points.

use super::{PER_SECOND, near, row};
use crate::Row;
use tests::mount::Mount;

pub const ROWS: &[Row] = &[
    row("align", "", align),
    row("align", "method", align_method),
    row("align", "estimator", align_estimator),
    row("propose", "", propose),
    row("propose", "next", propose_next),
    row("next-star", "", next_star),
    row("next-star", "entry", next_star_entry),
    row("next-star", "criterion", next_star_criterion),
    row("sight", "", sight),
    row("sight", "name", sight_name),
    row("sight", "replaces", sight_replaces),
    row("sight", "anyway", sight_anyway),
    row("sightings", "", sightings),
    row("sightings", "entry", sightings_entry),
    row("forget", "", forget),
    row("forget", "entry", forget_entry),
    row("model", "", model),
    row("model", "term", model_term),
];

/// One sighting of Regulus, for which the tube was moved to the north by sixty sidereal seconds.
const ONE_STAR: &[&str] = &[
    "align method=one-star",
    "goto name=Regulus",
    "(60 s)",
    "nudge direction=north rate=20x for=3s",
    "(5 s)",
    "sight name=Regulus",
];
/// What that nudge moves, arcseconds.
const NUDGED: f64 = 60.0 * PER_SECOND;
/// Two sightings where the mount goes by itself.
const TWO_STAR: &[&str] = &[
    "align method=two-star",
    "goto name=Regulus",
    "(60 s)",
    "sight name=Regulus",
    "goto name=Castor",
    "(60 s)",
    "sight name=Castor",
];

fn align(mount: &mut Mount) {
    assert_eq!(mount.field("align", "method"), "none");
    mount.play(TWO_STAR);
    assert_eq!(mount.field("align", "method"), "two-star");
    assert_eq!(mount.field("align", "taken"), "2");
}

/// A method needs as many stars as its name says, and begins with none.
fn align_method(mount: &mut Mount) {
    mount.play(ONE_STAR);
    for (method, needed) in [("one-star", "1"), ("two-star", "2"), ("many-star", "3"), ("none", "0")] {
        let reply = mount.ask(&format!("align method={method}"));
        assert_eq!((reply.get("method"), reply.get("needed")), (Some(method), Some(needed)));
        assert_eq!(reply.get("taken"), Some("0"));
    }
}

/// Two stars give a rotation of the base, which says nothing of the cone error; the full model does, if only a little.
fn align_estimator(mount: &mut Mount) {
    mount.play(TWO_STAR);
    assert_eq!(mount.field("model", "method"), "two-star");
    let mut other = Mount::of_the_shared_night();
    let begun: Vec<&str> = std::iter::once("align method=two-star estimator=full-model")
        .chain(TWO_STAR[1..].iter().copied())
        .collect();
    other.play(&begun);
    assert_eq!(other.field("model", "method"), "many-star");
}

/// It stands where the mount says, above the horizon, and the mount can sight it.
fn propose(mount: &mut Mount) {
    let reply = mount.ask("propose");
    let star = reply.get("star").expect("a star").to_owned();
    let said = ["azimuth", "altitude"]
        .map(|key| reply.get(key).and_then(|text| text.strip_suffix("deg")?.parse::<f64>().ok()));
    let went = mount.ask(&format!("goto name=\"{star}\""));
    assert_eq!(went.get("solution"), reply.get("solution"));
    mount.settle();
    for (key, said) in ["azimuth", "altitude"].into_iter().zip(said) {
        // Within the minute of the slew nothing in the sky turns by more than 0.25°, in azimuth over the cosine of 60°.
        near(mount.degrees("status group=pointing", key), said.expect("degrees"), 0.5);
    }
    mount.play(&["align method=one-star", &format!("sight name=\"{star}\"")]);
}

fn propose_next(mount: &mut Mount) {
    let first = mount.field("propose", "star");
    assert_eq!(mount.field("propose", "star"), first);
    let second = mount.field("propose next=yes", "star");
    assert_ne!(second, first);
    let third = mount.field("propose next=yes", "star");
    assert!(third != second && third != first);
}

/// What the best star is to leave is less than what any other would, the rule of thumb's included; a sighting makes the
/// expectation fall, and the star that was taken is no candidate any more.
fn next_star(mount: &mut Mount) {
    let reply = mount.ask("next-star");
    let arcmin = |key: &str| -> f64 {
        reply.get(key).and_then(|text| text.strip_suffix("arcmin")?.parse().ok()).expect("arcminutes")
    };
    assert!(arcmin("after") <= arcmin("usual_after") && arcmin("usual_after") < arcmin("before"));
    assert!(arcmin("worst_after") < arcmin("worst_before"));
    let star = reply.get("star").expect("a star").to_owned();
    let before = arcmin("before");
    mount.play(&[
        "align method=many-star",
        &format!("goto name=\"{star}\""),
        "(90 s)",
        &format!("sight name=\"{star}\""),
    ]);
    let again = mount.ask("next-star");
    assert_ne!(again.get("star"), Some(star.as_str()));
    let now: f64 =
        again.get("before").and_then(|text| text.strip_suffix("arcmin")?.parse().ok()).expect("arcminutes");
    assert!(now < before, "{now} {before}");
}

fn next_star_entry(mount: &mut Mount) {
    let after = |mount: &mut Mount, entry: u64| -> f64 {
        let text = mount.field(&format!("next-star entry={entry}"), "after");
        text.strip_suffix("arcmin").and_then(|text| text.parse().ok()).expect("arcminutes")
    };
    let ranking: Vec<f64> = (1..=5).map(|entry| after(mount, entry)).collect();
    assert!(ranking.is_sorted(), "{ranking:?}");
    let count: u64 = mount.field("next-star", "count").parse().expect("a count");
    assert_eq!(mount.refused(&format!("next-star entry={}", count + 1)), "out-of-range");
}

/// By the largest miss, the first star leaves no larger one at the worst place than by the mean.
fn next_star_criterion(mount: &mut Mount) {
    let worst = |mount: &mut Mount, by: &str| -> f64 {
        let text = mount.field(&format!("next-star criterion={by}"), "worst_after");
        text.strip_suffix("arcmin").and_then(|text| text.parse().ok()).expect("arcminutes")
    };
    assert!(worst(mount, "worst") <= worst(mount, "average"));
    assert_ne!(mount.field("next-star criterion=worst", "star"), mount.field("next-star", "star"));
}

/// The disagreement is what a nudge moved the tube by; afterwards the mount believes to point at the star.
fn sight(mount: &mut Mount) {
    let replies = mount.play(ONE_STAR);
    let reply = replies.last().expect("a reply");
    assert_eq!(
        (reply.get("taken"), reply.get("needed"), reply.get("done")),
        (Some("1"), Some("1"), Some("yes"))
    );
    let disagreement: f64 =
        reply.get("disagreement").and_then(|text| text.strip_suffix("arcmin")?.parse().ok()).expect("arcmin");
    // Printed to 0.01′; refraction has changed by some tenths of an arcsecond while one axis tracked.
    near(disagreement, NUDGED / 60.0, 0.02);
    // Regulus, as in the row of `goto name`.
    near(mount.degrees("status group=pointing", "dec"), 11.9672, 0.003);
}

fn sight_name(mount: &mut Mount) {
    mount.play(&["align method=one-star", "goto name=Castor", "(60 s)"]);
    assert_eq!(mount.field("sight name=Castor", "star"), "Castor");
    // Castor: +31°53′18″ (J2000.0, Hipparcos catalogue, from memory), moved by a few arcseconds since.
    near(mount.degrees("status group=pointing", "dec"), 31.888, 0.003);
    assert_eq!(mount.refused("sight name=Castro"), "unknown-target");
}

fn sight_replaces(mount: &mut Mount) {
    mount.play(TWO_STAR);
    mount.play(&["goto name=Procyon", "(60 s)"]);
    assert_eq!(mount.field("sight name=Procyon replaces=oldest", "taken"), "2");
    // The new one stands in the place of the old one.
    let stars = ["1", "2"].map(|entry| mount.field(&format!("sightings entry={entry}"), "star"));
    assert_eq!(stars, ["Procyon", "Castor"]);
    mount.play(&["goto name=Pollux", "(60 s)"]);
    // Pollux stands 4.5° from Castor, and 23° from Procyon.
    assert_eq!(mount.field("sight name=Pollux replaces=nearest", "taken"), "2");
    let mut stars = ["1", "2"].map(|entry| mount.field(&format!("sightings entry={entry}"), "star"));
    stars.sort_unstable();
    assert_eq!(stars, ["Pollux", "Procyon"]);
}

/// A star that stands degrees from where the model has it is refused, and taken if the person insists.
fn sight_anyway(mount: &mut Mount) {
    mount.play(ONE_STAR);
    assert_eq!(mount.refused("sight name=Castor"), "suspicious");
    assert_eq!(mount.field("sight name=Castor anyway=yes replaces=oldest", "taken"), "1");
    near(mount.degrees("status group=pointing", "dec"), 31.888, 0.003);
}

fn sightings(mount: &mut Mount) {
    assert_eq!(mount.field("sightings", "count"), "0");
    mount.play(TWO_STAR);
    assert_eq!(mount.field("sightings", "count"), "2");
}

fn sightings_entry(mount: &mut Mount) {
    mount.play(ONE_STAR);
    let reply = mount.ask("sightings entry=1");
    assert_eq!(reply.get("star"), Some("Regulus"));
    // It was taken just now, by the mount's clock.
    assert_eq!(reply.get("utc").map(str::to_owned), Some(mount.field("time", "utc")));
    for key in ["east", "north"] {
        let left: f64 =
            reply.get(key).and_then(|text| text.strip_suffix("arcsec")?.parse().ok()).expect("arcsec");
        // One star is met exactly, to the last digit that is printed.
        near(left, 0.0, 0.011);
    }
    assert_eq!(mount.refused("sightings entry=2"), "out-of-range");
}

fn forget(mount: &mut Mount) {
    mount.play(ONE_STAR);
    let term = |mount: &mut Mount| arcsec(&mount.field("model term=\"declination zero\"", "value"));
    assert!(term(mount).abs() > 100.0);
    assert_eq!(mount.field("forget entry=1", "taken"), "0");
    // Without a sighting the mount believes in its home marks again.
    near(term(mount), 0.0, 0.0);
}

fn forget_entry(mount: &mut Mount) {
    mount.play(TWO_STAR);
    let reply = mount.ask("forget entry=1");
    assert_eq!((reply.get("star"), reply.get("taken")), (Some("Regulus"), Some("1")));
    assert_eq!(mount.field("sightings entry=1", "star"), "Castor");
}

fn arcsec(text: &str) -> f64 {
    text.strip_suffix("arcsec").and_then(|text| text.parse().ok()).expect("arcseconds")
}

fn model(mount: &mut Mount) {
    assert_eq!(mount.field("model", "method"), "none");
    assert_eq!(mount.field("model", "residual"), "none");
    mount.play(TWO_STAR);
    let reply = mount.ask("model");
    assert_eq!((reply.get("method"), reply.get("sightings")), (Some("two-star"), Some("2")));
    // The mount sighted where it went by itself; tracking with one axis left some tenths of an arcsecond.
    near(arcsec(reply.get("residual").expect("a residual")), 0.0, 1.0);
}

/// What the tube was moved to the north by, the zero of the declination dial is believed to be off by, the other way.
fn model_term(mount: &mut Mount) {
    mount.play(ONE_STAR);
    // To a tenth of an arcsecond, as above; the position is the direct one.
    near(arcsec(&mount.field("model term=\"declination zero\"", "value")), -NUDGED, 0.3);
    near(arcsec(&mount.field("model term=\"cone error\"", "value")), 0.0, 0.011);
    // One star can't tell the zero of a dial from a cone error.
    assert_eq!(mount.field("model term=\"declination zero\"", "determined"), "no");
    assert_eq!(mount.field("model term=\"cone error\"", "determined"), "no");
    assert_eq!(mount.refused("model term=none"), "bad-value");
    let mut other = Mount::of_the_shared_night();
    let sigma = |mount: &mut Mount| arcsec(&mount.field("model term=\"polar axis altitude\"", "sigma"));
    let before = sigma(&mut other);
    other.play(TWO_STAR);
    // Two stars tell how the base is turned, better than not at all.
    assert!(sigma(&mut other) < before);
}
