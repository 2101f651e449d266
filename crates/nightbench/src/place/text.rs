//! The answer in words, for somebody at a terminal.

use super::answer::{Answer, Here, is_refracted};
use super::question::Question;
use sky::catalogue::Kind;
use sky::events::{Event, Happening};
use sky::pole::Hemisphere;
use sky::{Air, Site};
use std::fmt::Write as _;
use units::Angle;

/// The whole answer.
pub fn told(question: &Question, answer: &Answer) -> String {
    let mut text = heading(question, answer);
    let mut line = |name: &str, what: String| {
        let _ = writeln!(text, "  {name:<20} {what}");
    };
    line("at", question.time_text(question.instant));
    if let Some((right_ascension, declination)) = answer.icrs {
        line("catalogue (ICRS)", equatorial(right_ascension, declination));
    }
    let place = &answer.place;
    let apparent = equatorial(place.apparent_right_ascension, place.apparent_declination);
    line("apparent, of date", apparent);
    if let Some(distance) = answer.distance_au {
        line("distance", distance_text(distance));
    }
    if let Some(phase) = &answer.moon {
        let lit = 100.0 * phase.illuminated;
        line("phase", format!("{}, {lit:.0} % lit, {:.1} days old", phase.words(), phase.age.hours() / 24.0));
    }
    match (&answer.here, question.here) {
        (Some(here), Some((site, air))) => tell_here(&mut text, question, answer, here, (&site, &air)),
        _ => text.push_str("\nGive --site for the direction, for rise, transit and set.\n"),
    }
    text
}

fn heading(question: &Question, answer: &Answer) -> String {
    let mut text = question.name.clone();
    if let Some(entry) = &question.entry {
        if entry.kind != Kind::Body {
            let _ = write!(text, ": {}", entry.kind.words());
        }
        if let Some(constellation) = entry.constellation {
            let _ = write!(text, " in {}", constellation.name);
        }
    }
    if let Some(magnitude) = answer.magnitude {
        let _ = write!(text, ", magnitude {magnitude:.1}");
    }
    if let Some((major, minor)) = answer.size {
        let _ = write!(text, ", {}", size_text(major, minor));
    }
    text.push('\n');
    if let Some(entry) = question.entry.as_ref().filter(|entry| !entry.designations.is_empty()) {
        let _ = writeln!(text, "also {}", entry.designations.join(", "));
    }
    text.push('\n');
    text
}

fn tell_here(
    text: &mut String,
    question: &Question,
    answer: &Answer,
    here: &Here,
    (site, air): (&Site, &Air),
) {
    let place = &answer.place;
    let (airless, seen) = (&place.airless, &place.refracted);
    let horizon = |azimuth: Angle, altitude: Angle| {
        format!("azimuth {:.4} deg, altitude {:.4} deg", azimuth.degrees(), altitude.degrees())
    };
    let mut line = |name: &str, what: String| {
        let _ = writeln!(text, "  {name:<20} {what}");
    };
    line(
        "from",
        format!(
            "latitude {}, longitude {}, height {:.0} m",
            site.latitude().as_degrees_text(0),
            site.longitude().as_degrees_text(0),
            site.height().metres()
        ),
    );
    line(
        "through air of",
        format!(
            "{:.0} hPa, {:.0} degC, humidity {:.0} %",
            air.pressure().hectopascals(),
            air.temperature().celsius(),
            air.humidity().percent()
        ),
    );
    line("look", here.direction.clone());
    if is_refracted(airless) {
        line("as seen", horizon(seen.azimuth, seen.altitude));
    }
    line("without air", horizon(airless.azimuth, airless.altitude));
    let best = if is_refracted(airless) { seen } else { airless };
    line("hour angle", hour_angle_text(best.hour_angle));
    line("declination", best.declination.as_degrees_text(1));
    line("parallactic angle", format!("{:.3} deg", best.parallactic_angle.degrees()));
    line("sidereal time", place.last.as_hours_text(2));
    let mut happenings = [
        ("next rise", Happening::Rise),
        ("next upper transit", Happening::UpperTransit),
        ("next set", Happening::Set),
        ("next lower transit", Happening::LowerTransit),
    ];
    // In the order in which they come; what doesn't come, last.
    happenings.sort_by_key(|(_, what)| {
        here.next(*what).map_or((true, question.instant), |event| (false, event.instant))
    });
    for (name, what) in happenings {
        line(name, event_text(question, here, what));
    }
    line(
        "the sky there",
        format!("{}, the Sun {:.0} deg away", here.darkness.words(), here.from_sun.degrees()),
    );
    if let Some(field) = &here.magnetic {
        line("compass", compass_text(field.declination, field.declination_sigma));
    }
    if question.name == here.pole_star.star.name {
        tell_pole_star(&mut line, here);
        let hemisphere = if site.latitude() < Angle::ZERO { Hemisphere::South } else { Hemisphere::North };
        text.push('\n');
        text.push_str(&wrapped(hemisphere.advice()));
    }
    for caution in &here.cautions {
        text.push('\n');
        text.push_str(&wrapped(&format!("caution: {caution}")));
    }
}

fn tell_pole_star(line: &mut impl FnMut(&str, String), here: &Here) {
    let star = &here.pole_star;
    line(
        "from the pole",
        format!("{:.2} arcmin, at {} on a clock's face", star.separation.arcmin(), star.clock_text()),
    );
    let (up, east) = (star.altitude_offset.arcmin(), star.azimuth_offset.arcmin());
    let word = |value: f64, positive: &'static str, negative: &'static str| {
        format!("{:.2} arcmin {}", value.abs(), if value < 0.0 { negative } else { positive })
    };
    line("which is", format!("{}, {} in azimuth", word(up, "above", "below"), word(east, "east", "west")));
}

fn event_text(question: &Question, here: &Here, what: Happening) -> String {
    let Some(event) = here.next(what) else {
        return match what {
            Happening::Rise | Happening::Set if here.crossings.never_sets() => "none: it stays up".to_owned(),
            Happening::Rise | Happening::Set if here.crossings.never_rises() => {
                "none: it stays down".to_owned()
            }
            _ => "none within 25 hours".to_owned(),
        };
    };
    format!("{}, {}", question.time_text(event.instant), stand_text(event))
}

fn stand_text(event: &Event) -> String {
    match event.what {
        Happening::Rise | Happening::Set => {
            format!("azimuth {:.1} deg", event.place.airless_azimuth().degrees())
        }
        Happening::UpperTransit | Happening::LowerTransit => {
            format!("altitude {:.1} deg", event.place.airless_altitude().degrees())
        }
    }
}

fn equatorial(right_ascension: Angle, declination: Angle) -> String {
    format!(
        "right ascension {}, declination {}",
        right_ascension.as_hours_text(2),
        declination.as_degrees_text(1)
    )
}

fn hour_angle_text(hour_angle: Angle) -> String {
    let side = if hour_angle < Angle::ZERO { "east" } else { "west" };
    format!("{} {side} of the meridian", hour_angle.abs().as_hours_text(2))
}

fn compass_text(declination: Angle, sigma: Angle) -> String {
    let side = if declination < Angle::ZERO { "west" } else { "east" };
    let degrees = declination.degrees().abs();
    format!("points {degrees:.1} deg {side} of north, give or take {:.1} deg", sigma.degrees())
}

fn distance_text(au: f64) -> String {
    const KILOMETRES_PER_AU: f64 = 149_597_870.7;
    if au < 0.01 { format!("{:.0} km", au * KILOMETRES_PER_AU) } else { format!("{au:.5} au") }
}

fn size_text(major: Angle, minor: Angle) -> String {
    let one = |angle: Angle| {
        if angle.arcmin() < 2.0 {
            format!("{:.1} arcsec", angle.arcsec())
        } else {
            format!("{:.1} arcmin", angle.arcmin())
        }
    };
    if major == minor {
        format!("{} across", one(major))
    } else {
        format!("{} by {}", one(major), one(minor))
    }
}

/// A sentence in lines of at most 80 characters.
fn wrapped(sentence: &str) -> String {
    let mut text = String::new();
    let mut width = 0;
    for word in sentence.split_whitespace() {
        let length = word.chars().count();
        if width > 0 && width + 1 + length > 80 {
            text.push('\n');
            width = 0;
        } else if width > 0 {
            text.push(' ');
            width += 1;
        }
        text.push_str(word);
        width += length;
    }
    text.push('\n');
    text
}
