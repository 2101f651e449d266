//! The sky as a chart: azimuth round, altitude inward, each miss as an arrow.

use super::numbers::{Drawn, csv};
use super::pen::{Anchor, Ink, Pen, Picture, Place, text_width};
use super::words::{angle, plural};
use bench::{GotoRow, Look, MountKind, Outcome};
use units::{Angle, maths};

pub(super) const SIZE: f64 = 640.0;
pub(super) const CENTRE: Place = (320.0, 320.0);
/// Radius of the level horizon.
pub(super) const RADIUS: f64 = 285.0;
/// How long the longest arrow is, about.
const ARROW: f64 = 60.0;
pub(super) const TYPE: f64 = 13.0;
const RING_TYPE: f64 = 11.5;
/// Misses below this get no arrow: an exaggeration of millions shows nothing of the night.
const SMALLEST_DRAWN: Angle = Angle::from_arcsec(0.1);

/// The chart and its caption.
pub(super) fn chart(outcome: &Outcome) -> Option<Drawn> {
    let looks: Vec<(&GotoRow, &Look)> =
        outcome.gotos.iter().filter_map(|row| Some((row, row.look.as_ref()?))).collect();
    if looks.is_empty() {
        return None;
    }
    let longest = looks.iter().map(|(_, look)| moved(look, 1.0)).fold(0.0, f64::max);
    let worst = looks.iter().map(|(_, look)| look.miss).fold(Angle::ZERO, Angle::max);
    let drawn = worst >= SMALLEST_DRAWN && longest > 0.0;
    let times = if drawn { exaggeration(ARROW / longest) } else { 0.0 };
    let caption = caption(&looks, times, outcome);
    let picture = Picture {
        id: "sky",
        size: (SIZE, SIZE),
        title: "The sky, and where the tube pointed",
        description: &format!(
            "A round chart with the zenith in the middle and the horizon at its edge, north above and east to the left. {caption}"
        ),
    };
    let markup = picture.drawn(|pen| {
        ground(pen, outcome);
        let mut labels = Labels::default();
        for (at, words) in altitude_words() {
            labels.keep_clear(at, text_width(&words, RING_TYPE) / 2.0);
        }
        for (row, look) in &looks {
            target(pen, row, look, times);
            labels.keep_clear(place(look.target), 5.0);
        }
        for (name, at) in &outcome.scene.sighted {
            star(pen, place(*at));
            labels.put(pen, place(*at), name);
        }
        for (row, look) in &looks {
            labels.put(pen, place(look.target), &row.target);
        }
    });
    let cells = looks.iter().map(|(row, look)| {
        let angles = [look.target.0, look.target.1, look.boresight.0, look.boresight.1];
        let numbers = angles.map(|angle| format!("{:.8}", angle.degrees()));
        [vec![row.target.clone()], numbers.to_vec()].concat()
    });
    let titles = [
        "target",
        "target_azimuth_deg",
        "target_altitude_deg",
        "boresight_azimuth_deg",
        "boresight_altitude_deg",
    ];
    Some(Drawn::new(markup, caption, csv(&titles, cells)))
}

fn caption(looks: &[(&GotoRow, &Look)], times: f64, outcome: &Outcome) -> String {
    let worst = looks.iter().max_by(|one, other| one.1.miss.radians().total_cmp(&other.1.miss.radians()));
    let (row, look) = worst.expect("there is a look");
    let hidden = looks.iter().filter(|(_, look)| look.target.1 < horizon_at(outcome, look.target.0)).count();
    let behind = if hidden == 0 {
        String::new()
    } else {
        format!(" {} behind the skyline.", plural(hidden, "target stands", "targets stand"))
    };
    let arrows = if times > 1.0 {
        format!(" Arrows are drawn {times:.0} times as long as the misses.")
    } else if times == 0.0 {
        " Misses so small have no arrow.".to_owned()
    } else {
        String::new()
    };
    let zones: Vec<&str> = outcome.scene.zones.iter().map(|zone| zone.name).collect();
    let zones = if zones.is_empty() {
        String::new()
    } else {
        format!(" Dotted rings bound where the mount doesn't go: {}.", zones.join(", "))
    };
    format!(
        "The tube missed most at {}, by {} at an altitude of {:.0}°.{behind}{arrows}{zones}",
        row.target,
        angle(look.miss),
        look.target.1.degrees()
    )
}

fn horizon_at(outcome: &Outcome, azimuth: Angle) -> Angle {
    let step = (azimuth.wrapped_positive() / bench::SKYLINE_STEP).round() as usize;
    outcome.scene.skyline.get(step).map_or(Angle::ZERO, |(_, altitude)| *altitude)
}

/// The greatest of 1, 2 and 5 times the powers of ten that fits, and no less than 1.
fn exaggeration(fits: f64) -> f64 {
    let power = maths::pow(10.0, maths::floor(maths::log10(fits.max(1.0)) + 1e-9));
    [5.0, 2.0, 1.0].into_iter().map(|lead| lead * power).find(|factor| *factor <= fits).unwrap_or(1.0)
}

/// Zenith in the middle, north above, east to the left, as one lies on one's back.
pub(super) fn place((azimuth, altitude): (Angle, Angle)) -> Place {
    let out = RADIUS * (90.0 - altitude.degrees().clamp(-4.0, 90.0)) / 90.0;
    let (sin, cos) = azimuth.sin_cos();
    (CENTRE.0 - out * sin, CENTRE.1 - out * cos)
}

/// By how much the picture of the boresight is off that of the target, in the picture's units.
fn moved(look: &Look, times: f64) -> f64 {
    let ((x0, y0), (x1, y1)) = (place(look.target), arrow_end(look, times));
    maths::hypot(x1 - x0, y1 - y0)
}

fn arrow_end(look: &Look, times: f64) -> Place {
    let (from, to) = (place(look.target), place(look.boresight));
    (from.0 + (to.0 - from.0) * times, from.1 + (to.1 - from.1) * times)
}

fn target(pen: &mut Pen<'_>, row: &GotoRow, look: &Look, times: f64) {
    let ink = if row.in_field() { Ink::Good } else { Ink::Bad };
    if times > 0.0 {
        pen.arrow(place(look.target), arrow_end(look, times), ink);
    }
    pen.mark(place(look.target), row.in_field());
}

/// A sighted star: a small open square on its corner.
pub(super) fn star(pen: &mut Pen<'_>, (x, y): Place) {
    const R: f64 = 6.0;
    pen.path(&[(x, y - R), (x + R, y), (x, y + R), (x - R, y), (x, y - R)], Ink::First, 1.4);
}

/// The words beside the rings.
fn altitude_words() -> [(Place, String); 2] {
    [30.0, 60.0].map(|altitude| {
        let at = place((Angle::from_degrees(105.0), Angle::from_degrees(altitude)));
        (at, format!("{altitude:.0}°"))
    })
}

/// Rings of altitude and spokes of azimuth, with their words.
pub(super) fn rings(pen: &mut Pen<'_>) {
    for altitude in [0.0, 30.0, 60.0] {
        let ink = if altitude == 0.0 { Ink::Line } else { Ink::Faint };
        pen.circle(CENTRE, RADIUS * (90.0 - altitude) / 90.0, ink, if altitude == 0.0 { 1.2 } else { 0.6 });
    }
    for step in 0..12 {
        let azimuth = Angle::from_degrees(30.0 * f64::from(step));
        let (edge, beyond) = (place((azimuth, Angle::ZERO)), azimuth.sin_cos());
        pen.line(CENTRE, edge, Ink::Faint, 0.4);
        let words = match step {
            0 => "north".to_owned(),
            3 => "east".to_owned(),
            6 => "south".to_owned(),
            9 => "west".to_owned(),
            _ => format!("{:.0}°", azimuth.degrees()),
        };
        let at = (CENTRE.0 - (RADIUS + 18.0) * beyond.0, CENTRE.1 - (RADIUS + 18.0) * beyond.1);
        pen.text(at, Anchor::Middle, TYPE, Ink::Line, &words);
    }
    for (at, words) in altitude_words() {
        pen.text(at, Anchor::Middle, RING_TYPE, Ink::Line, &words);
    }
}

/// Rings, spokes, skyline, zones, meridian and pole.
fn ground(pen: &mut Pen<'_>, outcome: &Outcome) {
    skyline(pen, outcome);
    zones(pen, outcome);
    rings(pen);
    // The meridian, along which an equatorial mount changes sides.
    pen.line((CENTRE.0, CENTRE.1 - RADIUS), (CENTRE.0, CENTRE.1 + RADIUS), Ink::Limit, 0.8);
    if outcome.kind != MountKind::AltAzimuth {
        let latitude = outcome.scene.latitude;
        let azimuth = if latitude < Angle::ZERO { Angle::HALF } else { Angle::ZERO };
        let (x, y) = place((azimuth, latitude.abs()));
        pen.line((x - 7.0, y), (x + 7.0, y), Ink::Line, 1.2);
        pen.line((x, y - 7.0), (x, y + 7.0), Ink::Line, 1.2);
        pen.text((x + 10.0, y), Anchor::Begin, TYPE, Ink::Line, "pole");
    }
}

/// What lies behind the skyline, shaded.
fn skyline(pen: &mut Pen<'_>, outcome: &Outcome) {
    let line = &outcome.scene.skyline;
    if line.iter().all(|(_, altitude)| *altitude <= Angle::ZERO) {
        return;
    }
    let places: Vec<Place> =
        line.iter().map(|(azimuth, altitude)| place((*azimuth, altitude.max(Angle::ZERO)))).collect();
    let mut ring: Vec<Place> = line.iter().map(|(azimuth, _)| place((*azimuth, Angle::ZERO))).collect();
    ring.extend(places.iter().rev());
    pen.area(&ring, Ink::Shade);
    pen.path(&places, Ink::Line, 0.8);
}

/// Where the mount doesn't go: a shaded circle or a ring, its line dotted.
fn zones(pen: &mut Pen<'_>, outcome: &Outcome) {
    for zone in &outcome.scene.zones {
        let ring: Vec<Place> = zone
            .ring
            .iter()
            .map(|(azimuth, altitude)| place((*azimuth, altitude.max(Angle::ZERO))))
            .collect();
        if zone.inside {
            pen.area(&ring, Ink::Shade);
        }
        pen.path(&ring, Ink::Limit, 1.2);
    }
}

/// Names beside their things, out of each other's way where that can be.
#[derive(Default)]
struct Labels {
    /// Left, top, right, bottom of what is taken.
    taken: Vec<(f64, f64, f64, f64)>,
}

impl Labels {
    fn keep_clear(&mut self, (x, y): Place, radius: f64) {
        self.taken.push((x - radius, y - radius, x + radius, y + radius));
    }

    fn put(&mut self, pen: &mut Pen<'_>, (x, y): Place, name: &str) {
        let name = super::words::shortened(name, 20);
        let (wide, high) = (text_width(&name, TYPE), TYPE + 2.0);
        let sides = [
            (9.0, 0.0, Anchor::Begin),
            (-9.0, 0.0, Anchor::End),
            (0.0, -13.0, Anchor::Middle),
            (0.0, 13.0, Anchor::Middle),
            (9.0, -12.0, Anchor::Begin),
            (9.0, 12.0, Anchor::Begin),
            (-9.0, -12.0, Anchor::End),
            (-9.0, 12.0, Anchor::End),
            (0.0, -25.0, Anchor::Middle),
            (0.0, 25.0, Anchor::Middle),
        ];
        let boxed = |(right, down, anchor): (f64, f64, Anchor)| {
            let left = match anchor {
                Anchor::Begin => x + right,
                Anchor::Middle => x + right - wide / 2.0,
                Anchor::End => x + right - wide,
            };
            (left, y + down - high / 2.0, left + wide, y + down + high / 2.0)
        };
        let free = |one: (f64, f64, f64, f64)| {
            one.0 > 2.0
                && one.2 < SIZE - 2.0
                && self
                    .taken
                    .iter()
                    .all(|other| one.2 < other.0 || one.0 > other.2 || one.3 < other.1 || one.1 > other.3)
        };
        // Where all sides are taken the name is left to the table: two names over each other are no name.
        let Some(side) = sides.into_iter().find(|side| free(boxed(*side))) else { return };
        self.taken.push(boxed(side));
        pen.text((x + side.0, y + side.1), side.2, TYPE, Ink::Line, &name);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn arrows_grow_by_a_round_factor_that_fits() {
        for (fits, factor) in
            [(0.3, 1.0), (1.0, 1.0), (7.0, 5.0), (49.0, 20.0), (50.0, 50.0), (230.0, 200.0), (99.0, 50.0)]
        {
            assert!((exaggeration(fits) - factor).abs() < 1e-9, "{fits}: {}", exaggeration(fits));
        }
    }

    #[test]
    fn north_is_above_and_east_on_the_left() {
        let (x, y) = place((Angle::ZERO, Angle::ZERO));
        assert!((x - CENTRE.0).abs() < 1e-9 && (y - (CENTRE.1 - RADIUS)).abs() < 1e-9);
        let (x, y) = place((Angle::QUARTER, Angle::from_degrees(45.0)));
        assert!((x - (CENTRE.0 - RADIUS / 2.0)).abs() < 1e-9 && (y - CENTRE.1).abs() < 1e-9);
    }
}
