//! Every example of the manual's page, played on a desk that was told what the manual's mount was told.
//!
//! The motors of the desk follow exactly, as those of a mount without errors do.

mod common;

use common::{Desk, limits, utc};
use controller::Settings;
use kinematics::Kind;
use protocol::RefusalKind;
use protocol::verbs::{VERBS, Verb};
use sky::{Air, Site};
use units::{Angle, Length, Pressure, Share, Temperature};

fn desk() -> Desk {
    let site =
        Site::new(Angle::from_degrees(40.5), Angle::from_degrees(-4.5), Length::from_metres(440.0)).unwrap();
    let (pressure, temperature) = (Pressure::from_hectopascals(965.0), Temperature::from_celsius(9.0));
    let air = Air::new(pressure, temperature, Share::from_fraction(0.6), 0.55).unwrap();
    let clock = utc("2027-03-06T19:30:00Z");
    Desk::new(Settings::new(Kind::GermanEquatorial, site, air, clock, [limits(), limits()]))
}

/// What a dialogue sends and waits, with what the desk says to it.
fn played(dialogue: &str) -> String {
    let mut desk = desk();
    let mut text = String::new();
    for line in dialogue.lines() {
        if let Some(sent) = line.strip_prefix("> ") {
            text += &format!("> {sent}\n< {}\n", desk.say(sent));
        } else if let Some(seconds) = line.strip_prefix('(').and_then(|rest| rest.strip_suffix(" s)")) {
            text += &format!("{line}\n");
            desk.run(seconds.parse().unwrap());
            for event in desk.events.drain(..) {
                text += &format!("< {event}\n");
            }
        }
    }
    text
}

/// The verbs that the mount's computer obeys; the others are the bench's.
fn own_verbs() -> impl Iterator<Item = &'static Verb> {
    VERBS.iter().filter(|verb| !verb.refusals.contains(&RefusalKind::NotAllowed))
}

#[test]
fn every_example_is_what_the_computer_says() {
    let mut wrong = String::new();
    for verb in own_verbs() {
        let written = protocol::dialogue(verb.name);
        let said = played(written);
        if said.trim_end() != written {
            wrong += &format!("\n## {}\n{said}", verb.name);
        }
    }
    assert!(wrong.is_empty(), "examples that play otherwise:\n{wrong}");
}

/// A line that arrives cut short gets one reply; if that is a refusal, nothing has changed (the desk holds both).
#[test]
fn every_truncation_of_every_example_is_answered_once() {
    let mut lines = 0;
    for verb in VERBS {
        for sent in protocol::dialogue(verb.name).lines().filter_map(|line| line.strip_prefix("> ")) {
            let mut desk = desk();
            for length in 1..=sent.len() {
                if sent[..length].trim().is_empty() {
                    continue;
                }
                desk.say(&sent[..length]);
                lines += 1;
            }
        }
    }
    // Some seventy lines of some thirty bytes.
    assert!(lines > 1500, "{lines}");
}
