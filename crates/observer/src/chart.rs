//! The star chart in the person's head: bright stars and what lies near what.

use sky::catalogue::{Catalogue, Kind};
use sky::{Source, direction, icrs_at};
use std::sync::OnceLock;
use units::{Angle, Instant, maths};

/// A star that everybody sees.
#[derive(Clone, Debug, PartialEq)]
struct Bright {
    name: String,
    place: [f64; 3],
    magnitude: f64,
}

/// Stars down to this magnitude are known by name and taken for one another.
const KNOWN: f64 = 3.0;

fn bright() -> &'static [Bright] {
    static STARS: OnceLock<Vec<Bright>> = OnceLock::new();
    STARS.get_or_init(|| {
        Catalogue::embedded()
            .stars_to(KNOWN)
            .filter(|entry| entry.alignment_fit && entry.name.is_ascii())
            .filter_map(|entry| {
                let Source::Star(star) = entry.source else { return None };
                // A chart is right to some arcminutes for a century.
                let (ra, dec) = icrs_at(&star, Instant::J2000_TAI);
                let place = direction(ra, dec);
                Some(Bright {
                    name: entry.name.clone(),
                    place: [place.x, place.y, place.z],
                    magnitude: entry.magnitude.unwrap_or(KNOWN),
                })
            })
            .collect()
    })
}

fn separation(a: &[f64; 3], b: &[f64; 3]) -> f64 {
    let cross = [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
    let sin = cross.iter().map(|part| part * part).sum::<f64>().sqrt();
    let cos: f64 = a.iter().zip(b).map(|(a, b)| a * b).sum();
    maths::atan2(sin, cos)
}

/// Names of the stars brighter than a magnitude within some distance of a place, the nearest first. The place is of the
/// catalogue's system: right ascension and declination.
pub fn bright_stars_near((ra, dec): (Angle, Angle), magnitude: f64, within: Angle) -> Vec<&'static str> {
    let middle = direction(ra, dec);
    let middle = [middle.x, middle.y, middle.z];
    let mut near: Vec<(f64, &str)> = bright()
        .iter()
        .filter(|star| star.magnitude <= magnitude)
        .map(|star| (separation(&star.place, &middle), star.name.as_str()))
        .filter(|(distance, _)| *distance <= within.radians())
        .collect();
    near.sort_by(|a, b| a.0.total_cmp(&b.0));
    near.into_iter().map(|(_, name)| name).collect()
}

/// Where a star stands on the chart, right ascension and declination; `None` for a name that isn't a star's.
pub(crate) fn place_of(star: &str) -> Option<(Angle, Angle)> {
    let entry = Catalogue::embedded().find(star).ok()?;
    match (entry.kind, &entry.source) {
        (Kind::Star, Source::Star(place)) => Some(icrs_at(place, Instant::J2000_TAI)),
        _ => None,
    }
}

/// The stars that a star may be taken for, each with its weight: within ten degrees and brighter than the third magnitude,
/// the likelier the brighter and the nearer (brightness over distance squared; common practice, no source).
pub(crate) fn neighbours(star: &str) -> Vec<(&'static str, f64)> {
    let Ok(entry) = Catalogue::embedded().find(star) else { return Vec::new() };
    let Some((ra, dec)) = place_of(star) else { return Vec::new() };
    let middle = direction(ra, dec);
    let middle = [middle.x, middle.y, middle.z];
    bright()
        .iter()
        .filter(|other| other.name != entry.name)
        .map(|other| (other, separation(&other.place, &middle)))
        .filter(|(_, distance)| *distance > 0.0 && *distance <= Angle::from_degrees(10.0).radians())
        .map(|(other, distance)| {
            let brightness = maths::exp(-0.4 * maths::ln(10.0) * other.magnitude);
            (other.name.as_str(), brightness / (distance * distance))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_belt_of_orion_is_taken_for_itself() {
        // Common practice, no source: the three stars of the belt stand within three degrees of one another.
        let all = neighbours("Alnilam");
        let total: f64 = all.iter().map(|(_, weight)| weight).sum();
        let belt: f64 = all
            .iter()
            .filter(|(name, _)| matches!(*name, "Alnitak" | "Mintaka"))
            .map(|(_, weight)| weight)
            .sum();
        assert!(belt / total > 0.8, "{all:?}");
        assert!(all.iter().all(|(name, _)| *name != "Alnilam"));
        assert!(neighbours("M 42").is_empty());
    }

    #[test]
    fn the_brightest_near_the_great_nebula_are_named_by_distance() {
        let nebula = (Angle::from_degrees(83.8), Angle::from_degrees(-5.4));
        let near = bright_stars_near(nebula, 2.5, Angle::from_degrees(12.0));
        assert!(near.contains(&"Rigel") && near.contains(&"Alnilam"), "{near:?}");
        assert!(near.iter().position(|n| *n == "Alnilam") < near.iter().position(|n| *n == "Rigel"));
        assert!(bright_stars_near(nebula, 2.5, Angle::ZERO).is_empty());
    }
}
