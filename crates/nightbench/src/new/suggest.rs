//! Targets for who has none in mind.

use super::answers::Answers;
use sky::catalogue::Catalogue;
use sky::{Geocentre, Source, Station, time};
use std::sync::Arc;
use units::{Angle, Span};

/// What people like to be shown, the Moon and the planets first (common practice, no source).
const SHOWPIECES: [&str; 32] = [
    "Moon", "Saturn", "Jupiter", "Mars", "Venus", "M 42", "M 45", "M 31", "M 13", "M 44", "M 57", "M 22",
    "M 8", "M 27", "M 11", "M 35", "M 81", "M 51", "M 5", "M 3", "M 92", "M 104", "M 37", "M 41", "M 4",
    "M 7", "NGC 869", "NGC 5139", "NGC 104", "NGC 4755", "NGC 2070", "NGC 3372",
];

/// So many are suggested.
const COUNT: usize = 8;

/// Where something is pleasant to look at, and mounts are at their best.
const COMFORTABLE: std::ops::RangeInclusive<f64> = 28.0..=78.0;

/// Up to eight showpieces that stand well an hour after the begin, those that set first at the head; bright stars of the
/// catalogue where there are too few.
pub fn targets(answers: &Answers) -> Vec<String> {
    let (Some(site), Some(begin)) = (answers.site, answers.instant) else { return Vec::new() };
    let Ok(ut1_minus_tai) = time::ut1_minus_tai(begin, Span::ZERO) else { return Vec::new() };
    let station = Station::new(site, answers.air(), ut1_minus_tai);
    let at = begin + Span::from_whole_seconds(3600);
    let geocentre = Arc::new(Geocentre::new(begin, at));
    let hour_angle = |source: &Source| -> Option<Angle> {
        let observed = station.observe(&geocentre.track(source).cirs(at), at);
        COMFORTABLE.contains(&observed.altitude().degrees()).then(|| observed.hour_angle(&station))
    };
    let catalogue = Catalogue::embedded();
    let showpieces = SHOWPIECES.iter().filter_map(|name| catalogue.find(name).ok());
    let mut chosen: Vec<(Angle, String)> = showpieces
        .chain(catalogue.stars_to(1.6).cloned())
        .filter_map(|entry| Some((hour_angle(&entry.source)?, entry.name)))
        .take(COUNT)
        .collect();
    chosen.sort_by(|a, b| b.0.radians().total_cmp(&a.0.radians()));
    chosen.into_iter().map(|(_, name)| name).collect()
}
