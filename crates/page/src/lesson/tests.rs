use super::*;
use crate::progress::Running;
use bench::live::Live;
use units::{Angle, Span};

/// Lets time pass in steps of a tenth of a second, as the page looks, until the lesson has got on by a step or the time is over.
fn pass(live: &mut Live, running: &mut Running, seconds: f64) {
    let until = live.now() + Span::from_seconds(seconds);
    let step = Span::from_nanoseconds(if seconds > 200.0 { 2_000_000_000 } else { 200_000_000 });
    while live.now() < until {
        let next = (live.now() + step).min(until);
        live.pass_to(next);
        running.look(live);
    }
}

fn obey(live: &mut Live, running: &mut Running, show: &Show) {
    match show.deed().expect("checked") {
        Deed::Line(line) => {
            let answer = live.ask(line);
            assert!(answer.starts_with("ok"), "{}: {line}: {answer}", running.lesson.name);
        }
        Deed::Wait(seconds) => pass(live, running, seconds),
        Deed::Set(name, value) => {
            if let Some(line) = live.set(name, value).expect("it can be set") {
                let answer = live.ask(&line);
                assert!(answer.starts_with("ok"), "{line}: {answer}");
            }
        }
        Deed::Knock(arcmin) => live.knock([Angle::from_arcmin(arcmin), Angle::ZERO]),
        Deed::Centre => {
            for _ in 0..12 {
                let Some((line, lasts)) = live.centring() else { break };
                assert!(live.ask(&line).starts_with("ok"), "{line}");
                pass(live, running, lasts.seconds());
            }
        }
    }
}

/// Every lesson, done as the page shows it, comes to its end, and its question has the answer that its explanation gives.
#[test]
fn every_lesson_can_be_done_from_start_to_end() {
    // What the formula of each lesson's explanation gives for its scenario, computed by hand: gap as written; the touch of a
    // second at 2x (30″) and the overdone 300″; 86164.09/160; 0.2618·60·cos 40.5° and the star's hour angle of 0.3 h (cos 0.997),
    // 15.04°·cos 11.97°; 2·6′; 20′·cos 19.84°; 15.04″·cos 46.0°/sin 5.5°.
    let expected: &[(&str, f64)] = &[
        ("backlash", 300.0),
        ("same-way", 5.0),
        ("take-up", 330.0),
        ("watch", 240.0),
        ("wave", 538.5),
        ("polar-drift", 11.9),
        ("one-hour", 882.8),
        ("cone", 12.0),
        ("knock", 18.8),
        ("zenith", 109.0),
    ];
    for lesson in Lesson::built_in() {
        let prepared = bench::live::read_night(&lesson.scenario).expect("checked");
        let mut live = Live::new(prepared);
        let mut running = Running::begin(lesson.clone(), &mut live);
        for (index, step) in lesson.steps.iter().enumerate() {
            assert_eq!(running.step(), Some(index), "{}: a step was done before its time", lesson.name);
            for show in &step.show {
                obey(&mut live, &mut running, show);
            }
            pass(&mut live, &mut running, 1.0);
            let facts = running.facts_of_step(&mut live);
            assert_ne!(running.step(), Some(index), "{}: step {}: {facts:?}", lesson.name, index + 1);
        }
        let question = &lesson.question;
        let right = match question.right {
            Some(right) => right as f64,
            None => {
                running.measured(&mut live).unwrap_or_else(|| panic!("{}: nothing measured", lesson.name))
            }
        };
        if let Some((_, by_hand)) = expected.iter().find(|(name, _)| *name == lesson.name) {
            let within = question.within.expect("a number");
            assert!((right - by_hand).abs() < 0.5 * within, "{}: {right} against {by_hand}", lesson.name);
        }
        running.answer(&format!("{:.2}", right + 1e3), &mut live).expect("a number");
        assert_eq!(running.value()["answer"]["right"], false, "{}", lesson.name);
        running.answer(&format!("{right:.2}"), &mut live).expect("a number");
        assert_eq!(running.value()["answer"]["right"], true, "{}", lesson.name);
    }
}

/// A lesson in which nobody does anything gets nowhere, however long one waits.
#[test]
fn no_first_step_is_done_by_waiting() {
    for lesson in Lesson::built_in() {
        let mut live = Live::new(bench::live::read_night(&lesson.scenario).expect("checked"));
        let mut running = Running::begin(lesson, &mut live);
        pass(&mut live, &mut running, 900.0);
        assert_eq!(running.step(), Some(0), "{}", running.lesson.name);
    }
}

fn built_in_text(name: &str) -> &'static str {
    BUILT_IN.iter().find(|(known, _)| *known == name).expect("there is one").1
}

#[test]
fn a_bad_file_is_refused_with_what_would_do() {
    let good = built_in_text("backlash");
    for (from, to, expected) in [
        ("format = 1\ntitle", "format = 2\ntitle", "write format = 1"),
        ("title =", "titel =", "unknown field `titel`"),
        (
            "second-axis-moved\", at_least",
            "second-axes-moved\", at_least",
            "did you mean `second-axis-moved`",
        ),
        ("fact = \"target\", is = \"Regulus\"", "fact = \"target\", at_least = 1.0", "`target` is a word"),
        ("at_least = 120.0", "is = \"far\"", "is a number in arcsec"),
        ("{ wait = 60.0 }", "{ wait = 60.0, knock = 3.0 }", "is one of: line, wait"),
        ("{ wait = 60.0 }", "{ wait = 1e9 }", "is one of: line, wait"),
        ("within = 40.0", "right = 1", "give `choices` with `right`"),
        ("\"declination-play\"", "\"declination-pley\"", "did you mean `declination-play`"),
        ("kind = \"german-equatorial\"", "kind = \"german\"", "scenario: "),
        ("axis = 2", "axis = 3", "write 1 or 2"),
    ] {
        let bad = good.replacen(from, to, 1);
        assert_ne!(bad, good, "{from}");
        let error = Lesson::read("backlash", &bad).expect_err(to).to_string();
        assert!(error.contains(expected), "{to}: {error}");
    }
    assert!(Lesson::read("no good", good).is_err());
    assert!(Lesson::read("large", &"#".repeat(BYTES_MOST + 1)).is_err());
}

#[test]
fn there_are_enough_and_their_names_are_their_own() {
    let lessons = Lesson::built_in();
    assert!(lessons.len() >= 12);
    let mut names: Vec<&str> = lessons.iter().map(|lesson| lesson.name.as_str()).collect();
    names.sort_unstable();
    names.dedup();
    assert_eq!(names.len(), lessons.len());
}
