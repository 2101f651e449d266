//! Where the mount's computer expects to miss: discs all over the sky.

use super::numbers::{Drawn, csv};
use super::pen::{Anchor, Ink, Pen, Picture, Place};
use super::sky_chart::{CENTRE, RADIUS, SIZE, TYPE, place, rings, star};
use super::words::angle;
use bench::{ExpectedMiss, Outcome};
use units::Angle;

/// The largest disc: discs of neighbouring places just don't touch.
const LARGEST: f64 = 15.0;

/// The chart and its caption.
pub(super) fn chart(outcome: &Outcome) -> Option<Drawn> {
    let map = &outcome.scene.expected;
    let by_size =
        |one: &&ExpectedMiss, other: &&ExpectedMiss| one.p68.radians().total_cmp(&other.p68.radians());
    let (least, most) = (map.iter().min_by(by_size)?, map.iter().max_by(by_size)?);
    let caption = format!(
        "By what its sightings told it, the mount's computer expects 68 of 100 misses to stay within {} where it is best \
         ({}) and within {} where it is worst ({}). The larger the disc, the larger the miss; diamonds are the stars that \
         were sighted.",
        angle(least.p68),
        whereabouts(least.place),
        angle(most.p68),
        whereabouts(most.place)
    );
    let title = "Where the mount expects to miss";
    let picture = Picture { id: "expected", size: (SIZE, SIZE), title, description: &caption };
    let markup = picture.drawn(|pen| {
        rings(pen);
        for one in map {
            pen.circle(place(one.place), radius(one.p68, most.p68), Ink::First, 1.0);
        }
        for (_, at) in &outcome.scene.sighted {
            star(pen, place(*at));
        }
        scale(pen, most.p68);
    });
    let cells = map.iter().map(|one| {
        let (azimuth, altitude) = one.place;
        vec![
            format!("{:.4}", azimuth.degrees()),
            format!("{:.4}", altitude.degrees()),
            format!("{:.4}", one.p68.arcsec()),
        ]
    });
    let titles = ["azimuth_deg", "altitude_deg", "expected_miss_p68_arcsec"];
    Some(Drawn::new(markup, caption, csv(&titles, cells)))
}

fn radius(miss: Angle, most: Angle) -> f64 {
    if most > Angle::ZERO { (LARGEST * (miss / most)).max(0.6) } else { 0.6 }
}

/// Two discs to measure the others by, in the corner.
fn scale(pen: &mut Pen<'_>, most: Angle) {
    let corner: Place = (CENTRE.0 - RADIUS + 4.0, CENTRE.1 + RADIUS - 6.0);
    for (share, down) in [(0.5, 0.0), (1.0, 26.0)] {
        let at = (corner.0, corner.1 + down);
        pen.circle(at, radius(most * share, most), Ink::First, 1.0);
        pen.text((at.0 + LARGEST + 6.0, at.1), Anchor::Begin, TYPE, Ink::Line, &angle(most * share));
    }
}

/// A place in plain words.
fn whereabouts((azimuth, altitude): (Angle, Angle)) -> String {
    if altitude > Angle::from_degrees(80.0) {
        return "near the zenith".to_owned();
    }
    let ways = ["north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"];
    let step = (azimuth.wrapped_positive().degrees() / 45.0).round() as usize % ways.len();
    format!("in the {}, {:.0}° up", ways[step], altitude.degrees())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_told_by_the_nearest_way() {
        let at =
            |azimuth, altitude| whereabouts((Angle::from_degrees(azimuth), Angle::from_degrees(altitude)));
        assert_eq!(at(350.0, 20.0), "in the north, 20° up");
        assert_eq!(at(230.0, 41.4), "in the south-west, 41° up");
        assert_eq!(at(100.0, 85.0), "near the zenith");
    }
}
