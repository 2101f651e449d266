//! When things happen: rising, setting, transits, twilights, and what of a list is up when.
//!
//! Everything is searched on the real topocentric altitude, parallax and proper motion included, over any stretch of time:
//! the extremes of the altitude are found first, so that each piece between them is monotone and holds one crossing at
//! most. That is what makes it safe at polar sites, where the Sun may graze the horizon twice in an hour, or not at all for
//! months.
//!
//! **Conventions** (those of the almanacs): a star or planet rises when its airless altitude is −34′, the refraction that is
//! taken as standard at a level horizon; the Sun when its centre is at −50′ (34′ and 16′ for its radius: the upper
//! limb); the Moon when its centre is at −34′ minus its radius at its distance. The station's own air and height don't enter,
//! because refraction at the horizon is not known to better than a few minutes of arc anyway. Twilights end or begin when
//! the Sun's centre is 6°, 12° or 18° below the horizon, without refraction.

mod brightness;
mod moon;
#[cfg(test)]
mod tests;

pub use brightness::{angular_diameter, magnitude};
pub use moon::{MoonPhase, Quarter, moon_phase, next_quarter};

use crate::{Body, Observed, Source, Station, Track, altitude};
use units::{Angle, Instant, Span, maths};

/// Refraction taken as standard at the horizon (34′), airless altitude of a point that is seen there.
const HORIZON_ARCMIN: f64 = -34.0;
/// The Sun's radius in the almanacs' convention.
const SUN_RADIUS_ARCMIN: f64 = 16.0;

/// Step of the first look. A day's altitude curve has its extremes half a day apart, so that no two fall into three steps.
const STEP: Span = Span::from_whole_seconds(20 * 60);

/// The altitude that counts as a crossing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Limit {
    /// Rising and setting at a level horizon by the almanacs' convention (see the module's text).
    Horizon,
    /// The centre's altitude without air.
    Airless(Angle),
    /// The centre's altitude as the station's air shows it.
    Seen(Angle),
}

/// What a source does at a [`Limit`] or on the meridian.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Happening {
    /// It comes above the limit.
    Rise,
    /// It goes below the limit.
    Set,
    /// It crosses the meridian on the zenith's side of the pole, at its highest.
    UpperTransit,
    /// It crosses the meridian beyond the pole, at its lowest.
    LowerTransit,
}

/// A happening, its instant and where the source then stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Event {
    /// What happens.
    pub what: Happening,
    /// When.
    pub instant: Instant,
    /// Where the centre stands then.
    pub place: Observed,
}

/// Crossings of a limit in a stretch of time.
#[derive(Clone, Debug, PartialEq)]
pub struct Crossings {
    /// Rises and sets in the order of time.
    pub events: Vec<Event>,
    /// Whether the source is above the limit when the stretch begins.
    pub above_at_begin: bool,
}

impl Crossings {
    /// Whether it stays above the limit throughout.
    pub fn never_sets(&self) -> bool {
        self.events.is_empty() && self.above_at_begin
    }

    /// Whether it stays below the limit throughout.
    pub fn never_rises(&self) -> bool {
        self.events.is_empty() && !self.above_at_begin
    }

    /// The first rise or set.
    pub fn first(&self, what: Happening) -> Option<&Event> {
        self.events.iter().find(|event| event.what == what)
    }

    /// The stretches above the limit, from `begin` to `end` of the search.
    pub fn windows(&self, begin: Instant, end: Instant) -> Vec<(Instant, Instant)> {
        let mut windows = Vec::new();
        let mut since = self.above_at_begin.then_some(begin);
        for event in &self.events {
            match (event.what, since) {
                (Happening::Rise, None) => since = Some(event.instant),
                (Happening::Set, Some(from)) => {
                    windows.push((from, event.instant));
                    since = None;
                }
                _ => {}
            }
        }
        windows.extend(since.map(|from| (from, end)));
        windows
    }
}

/// Rises and sets of a source from `begin` up to `end`.
pub fn crossings(track: &Track, station: &Station, limit: Limit, begin: Instant, end: Instant) -> Crossings {
    let above = |instant| height_above(track, station, limit, instant);
    let events = roots(&above, begin, end)
        .into_iter()
        .map(|(instant, upwards)| {
            let what = if upwards { Happening::Rise } else { Happening::Set };
            Event { what, instant, place: station.observe(&track.cirs(instant), instant) }
        })
        .collect();
    Crossings { events, above_at_begin: above(begin) >= 0.0 }
}

/// Upper and lower transits of a source from `begin` up to `end`: hour angle 0 and 12 h, without air. On a pole itself the
/// meridian is that of the site's longitude.
pub fn transits(track: &Track, station: &Station, begin: Instant, end: Instant) -> Vec<Event> {
    let east = |instant| {
        let airless = station.airless(&track.cirs(instant), instant);
        -crate::hour_angle_and_declination(&airless, station).0.sin()
    };
    roots(&east, begin, end)
        .into_iter()
        .map(|(instant, eastwards)| {
            // Before its upper transit a source is in the east, and moves west.
            let what = if eastwards { Happening::LowerTransit } else { Happening::UpperTransit };
            Event { what, instant, place: station.observe(&track.cirs(instant), instant) }
        })
        .collect()
}

/// Radians above the limit; negative below it.
fn height_above(track: &Track, station: &Station, limit: Limit, instant: Instant) -> f64 {
    let place = track.cirs(instant);
    let airless = station.airless(&place, instant);
    match limit {
        Limit::Horizon => {
            let below = Angle::from_arcmin(HORIZON_ARCMIN) - radius(track.source(), place.distance_au);
            (altitude(&airless) - below).radians()
        }
        Limit::Airless(least) => (altitude(&airless) - least).radians(),
        Limit::Seen(least) => (altitude(&station.refract(&airless)) - least).radians(),
    }
}

/// The radius that counts at the horizon: nothing for points and for planets.
fn radius(source: &Source, distance_au: Option<f64>) -> Angle {
    match (source, distance_au) {
        (Source::Body(Body::Sun), _) => Angle::from_arcmin(SUN_RADIUS_ARCMIN),
        // At the horizon the site is as far from the Moon as the Earth's centre, to a part in ten thousand.
        (Source::Body(Body::Moon), Some(distance)) => angular_diameter(Body::Moon, distance) / 2.0,
        _ => Angle::ZERO,
    }
}

/// Instants from `begin` up to `end` at which a smooth function of the sky's daily turn passes through zero, and whether it
/// grows there.
fn roots(value: &impl Fn(Instant) -> f64, begin: Instant, end: Instant) -> Vec<(Instant, bool)> {
    let mut found = Vec::new();
    let knots = monotone_pieces(value, begin, end);
    for pair in knots.windows(2) {
        let ((left, at_left), (right, at_right)) = (pair[0], pair[1]);
        if (at_left >= 0.0) != (at_right >= 0.0) {
            found.push((bisect(value, left, right, at_left >= 0.0), at_right >= 0.0));
        }
    }
    found
}

/// The function at every step from `begin`, and at `end`; nothing if the end comes first.
fn sampled(value: &impl Fn(Instant) -> f64, begin: Instant, end: Instant) -> Vec<(Instant, f64)> {
    let mut samples = Vec::new();
    let mut instant = begin;
    while instant < end {
        samples.push((instant, value(instant)));
        instant += STEP;
    }
    if begin <= end {
        samples.push((end, value(end)));
    }
    samples
}

/// Instants between which the function has no extreme that lies across zero from both ends, with its values.
fn monotone_pieces(value: &impl Fn(Instant) -> f64, begin: Instant, end: Instant) -> Vec<(Instant, f64)> {
    let samples = sampled(value, begin, end);
    let mut knots = samples.clone();
    for three in samples.windows(3) {
        let [(left, a), (_, b), (right, c)] = [three[0], three[1], three[2]];
        let peak = b >= a && b >= c;
        let trough = b <= a && b <= c;
        // An extreme matters only if it may lie on the other side of zero than the samples round it.
        if (peak && b < 0.0) || (trough && b >= 0.0) {
            let extreme = extreme(value, left, right, peak);
            knots.push((extreme, value(extreme)));
        }
    }
    edge_extremes(value, &samples, &mut knots);
    knots.sort_by_key(|knot| knot.0);
    knots.dedup_by_key(|knot| knot.0);
    knots
}

/// An extreme between the first two or the last two samples doesn't show in three of them; it is looked for in both.
fn edge_extremes(
    value: &impl Fn(Instant) -> f64,
    samples: &[(Instant, f64)],
    knots: &mut Vec<(Instant, f64)>,
) {
    let edges = [samples.first_chunk::<2>(), samples.last_chunk::<2>()];
    for [left, right] in edges.into_iter().flatten() {
        if (left.1 >= 0.0) == (right.1 >= 0.0) {
            let instant = extreme(value, left.0, right.0, left.1 < 0.0);
            knots.push((instant, value(instant)));
        }
    }
}

/// Where a function with one extreme between two instants has it: ternary search, to a millisecond.
fn extreme(value: &impl Fn(Instant) -> f64, mut left: Instant, mut right: Instant, peak: bool) -> Instant {
    while right - left > Span::from_nanoseconds(1_000_000) {
        let third = Span::from_nanoseconds((right - left).nanoseconds() / 3);
        let (a, b) = (value(left + third), value(right - third));
        if (a < b) == peak {
            left += third;
        } else {
            right -= third;
        }
    }
    left
}

/// The first instant after the change of sign between two instants, to the nanosecond.
fn bisect(
    value: &impl Fn(Instant) -> f64,
    mut left: Instant,
    mut right: Instant,
    positive_at_left: bool,
) -> Instant {
    while right - left > Span::from_nanoseconds(1) {
        let middle = left + Span::from_nanoseconds((right - left).nanoseconds() / 2);
        if (value(middle) >= 0.0) == positive_at_left {
            left = middle;
        } else {
            right = middle;
        }
    }
    right
}

/// How dark the sky is, by the altitude of the Sun's centre without air.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Darkness {
    /// The Sun's upper limb is above the horizon.
    Day,
    /// Sun down to 6° below the horizon: the brightest stars come out.
    CivilTwilight,
    /// 6° to 12°: the stars of the constellations, and a horizon at sea.
    NauticalTwilight,
    /// 12° to 18°: the last light leaves the sky.
    AstronomicalTwilight,
    /// Beyond 18°: no sunlight is left.
    Night,
}

impl Darkness {
    /// From light to dark.
    pub const ALL: [Self; 5] =
        [Self::Day, Self::CivilTwilight, Self::NauticalTwilight, Self::AstronomicalTwilight, Self::Night];

    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Day => "day",
            Self::CivilTwilight => "civil twilight",
            Self::NauticalTwilight => "nautical twilight",
            Self::AstronomicalTwilight => "astronomical twilight",
            Self::Night => "night",
        }
    }

    /// The Sun's limit at which this darkness is entered from the lighter one; none for the day.
    pub fn limit(self) -> Option<Limit> {
        let degrees = |value| Some(Limit::Airless(Angle::from_degrees(value)));
        match self {
            Self::Day => None,
            Self::CivilTwilight => Some(Limit::Horizon),
            Self::NauticalTwilight => degrees(-6.0),
            Self::AstronomicalTwilight => degrees(-12.0),
            Self::Night => degrees(-18.0),
        }
    }
}

/// How dark it is at an instant; `sun` is the Sun's track.
pub fn darkness(sun: &Track, station: &Station, instant: Instant) -> Darkness {
    let reached =
        |one: &Darkness| one.limit().is_none_or(|limit| height_above(sun, station, limit, instant) < 0.0);
    Darkness::ALL.into_iter().take_while(reached).last().unwrap_or(Darkness::Day)
}

/// The changes between day, twilights and night from `begin` up to `end`: each with the darkness that begins.
pub fn darkness_changes(
    sun: &Track,
    station: &Station,
    begin: Instant,
    end: Instant,
) -> Vec<(Instant, Darkness)> {
    let mut changes = Vec::new();
    for pair in Darkness::ALL.windows(2) {
        let (lighter, darker) = (pair[0], pair[1]);
        let Some(limit) = darker.limit() else { continue };
        for event in crossings(sun, station, limit, begin, end).events {
            let entered = if event.what == Happening::Set { darker } else { lighter };
            changes.push((event.instant, entered));
        }
    }
    changes.sort_by_key(|change| change.0);
    changes
}

/// When one target of a list can be seen.
#[derive(Clone, Debug, PartialEq)]
pub struct Visibility {
    /// Stretches above the limit, in the order of time.
    pub windows: Vec<(Instant, Instant)>,
    /// When it stands highest in the whole stretch.
    pub best: Instant,
    /// Where it then stands.
    pub place: Observed,
}

/// What of a list is up when: for each track, the stretches above the limit from `begin` to `end` and its highest stand.
pub fn visibility(
    tracks: &[Track],
    station: &Station,
    limit: Limit,
    begin: Instant,
    end: Instant,
) -> Vec<Visibility> {
    let one = |track: &Track| {
        let windows = crossings(track, station, limit, begin, end).windows(begin, end);
        let height = |instant| station.airless(&track.cirs(instant), instant).z;
        let best = highest(&height, begin, end);
        Visibility { windows, best, place: station.observe(&track.cirs(best), best) }
    };
    tracks.iter().map(one).collect()
}

/// Where a function of the daily turn is largest between two instants; the first of equals.
fn highest(value: &impl Fn(Instant) -> f64, begin: Instant, end: Instant) -> Instant {
    let samples = sampled(value, begin, end);
    let peaks = samples.windows(3).filter(|three| three[1].1 >= three[0].1 && three[1].1 >= three[2].1);
    let inner = peaks.map(|three| extreme(value, three[0].0, three[2].0, true));
    let outer = [samples.first_chunk::<2>(), samples.last_chunk::<2>()];
    let outer = outer.into_iter().flatten().map(|[left, right]| extreme(value, left.0, right.0, true));
    // Heights that differ by less are the same stand on another day.
    let same = 1e-7;
    let mut candidates: Vec<Instant> = inner.chain(outer).chain([begin]).collect();
    candidates.sort();
    let higher = |best: (Instant, f64), next: Instant| {
        let height = value(next);
        if height > best.1 + same { (next, height) } else { best }
    };
    candidates.into_iter().fold((begin, value(begin)), higher).0
}

/// A direction in words: `south-south-east, a third of the way up`; overhead and horizon have words of their own. The way up
/// is from the horizon to the zenith, by the altitude as seen.
pub fn direction_in_words(place: &Observed) -> String {
    const POINTS: [&str; 16] = [
        "north",
        "north-north-east",
        "north-east",
        "east-north-east",
        "east",
        "east-south-east",
        "south-east",
        "south-south-east",
        "south",
        "south-south-west",
        "south-west",
        "west-south-west",
        "west",
        "west-north-west",
        "north-west",
        "north-north-west",
    ];
    let altitude = place.altitude().degrees();
    if altitude > 87.0 {
        return "overhead".to_owned();
    }
    let sixteenths = maths::round(place.azimuth().degrees() / 22.5) as usize;
    let point = POINTS[sixteenths % POINTS.len()];
    let height = match altitude {
        below if below < 0.0 => "below the horizon",
        low if low < 5.0 => "just above the horizon",
        low if low < 18.0 => "low",
        quarter if quarter < 26.0 => "a quarter of the way up",
        third if third < 37.0 => "a third of the way up",
        half if half < 52.0 => "half way up",
        high if high < 64.0 => "two thirds of the way up",
        high if high < 75.0 => "three quarters of the way up",
        _ => "nearly overhead",
    };
    format!("{point}, {height}")
}
