//! Setting up before dark: level, pole, home marks, finder.
//!
//! Every quantity is drawn from a stream of its own, so that one that is given by hand moves no other. Spreads are common
//! practice, no source: estimates of what people of that care leave, for a user to change.

use crate::person::Care;
use units::{Angle, Length, Span, Streams};

/// By what the polar axis (or the base's north) was set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PolarSight {
    /// A compass, magnetic declination forgotten.
    Compass,
    /// A compass, magnetic declination applied.
    CorrectedCompass,
    /// The pole star as if it stood at the pole.
    PoleStar,
    /// The pole star with its offset from the pole.
    OffsetPoleStar,
    /// A sighting scope in the axis.
    SightingScope,
}

/// What the person finds at the place: nothing of it is the mount's.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Surroundings {
    /// Geodetic latitude.
    pub latitude: Angle,
    /// Where a compass points, east positive.
    pub magnetic_declination: Angle,
    /// How far the pole star stands above the pole and east of it.
    pub pole_star: (Angle, Angle),
}

/// How the person works.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SetupIntent {
    /// How carefully.
    pub care: Care,
    /// How the pole is found; `None` for whatever is usual for the care.
    pub polar_sight: Option<PolarSight>,
    /// Distance of the mark on which the finder is set by day; `None` for whatever is usual for the care.
    pub finder_mark: Option<Length>,
    /// How the base leans, north and east, where that is known beforehand; `None` for whatever the care leaves.
    pub lean: [Option<Angle>; 2],
}

/// What was left by it. Angles are errors against the truth.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Left {
    /// How much the axis's elevated end was set too high on its base; a lean of the base adds to it.
    pub polar_altitude: Angle,
    /// How much it was set too far east, in azimuth; a lean adds to it, too.
    pub polar_azimuth: Angle,
    /// Lean of the base to the north.
    pub lean_north: Angle,
    /// And to the east.
    pub lean_east: Angle,
    /// True angle of each axis minus dial at its home mark.
    pub home: [Angle; 2],
    /// Where the finder points from the tube: to the right and up, as the naked eye sees it along the tube.
    pub finder: [Angle; 2],
    /// How far the tripod sinks in, in the end.
    pub settling: Angle,
}

/// Sigmas of a care, in arcminutes.
struct Spreads {
    polar: [f64; 2],
    home: [f64; 2],
    lean: f64,
    finder: f64,
    settling: f64,
    compass: f64,
    latitude_scale: f64,
    star_sight: f64,
    scope: f64,
}

const HURRIED: Spreads = Spreads {
    polar: [60.0, 180.0],
    home: [60.0, 45.0],
    lean: 30.0,
    finder: 20.0,
    settling: 1.5,
    compass: 300.0,
    latitude_scale: 60.0,
    star_sight: 15.0,
    scope: 6.0,
};

const USUAL: Spreads = Spreads {
    polar: [25.0, 60.0],
    home: [30.0, 20.0],
    lean: 18.0,
    finder: 10.0,
    settling: 0.7,
    compass: 120.0,
    latitude_scale: 30.0,
    star_sight: 8.0,
    scope: 3.0,
};

const CAREFUL: Spreads = Spreads {
    polar: [4.0, 5.0],
    home: [15.0, 10.0],
    lean: 6.0,
    finder: 3.0,
    settling: 0.2,
    compass: 120.0,
    latitude_scale: 15.0,
    star_sight: 4.0,
    scope: 2.0,
};

/// How often there is iron near by that nobody thought of, and by how much it turns a compass (one sigma).
const IRON: (f64, Angle) = (0.1, Angle::from_degrees(8.0));

/// From the axis of the tube to that of the finder.
const FINDER_HEIGHT: Length = Length::from_millimetres(120.0);

/// How well a finder is set on its mark, one sigma in each direction.
const ON_THE_MARK: Angle = Angle::from_arcmin(1.5);

fn spreads(care: Care) -> Option<&'static Spreads> {
    match care {
        Care::Hurried => Some(&HURRIED),
        Care::Usual => Some(&USUAL),
        Care::Careful => Some(&CAREFUL),
        Care::Perfect => None,
    }
}

/// How long setting up takes before the night begins (common practice, no source).
pub fn minutes_needed(care: Care) -> Span {
    Span::from_whole_seconds(
        60 * match care {
            Care::Hurried => 15,
            Care::Usual => 25,
            Care::Careful => 45,
            Care::Perfect => 0,
        },
    )
}

/// Sets up.
pub fn set_up(intent: &SetupIntent, place: &Surroundings, streams: &Streams) -> Left {
    // A perfect person finds the pole by their sight as well as it can be found: a compass still points where it points.
    let Some(spreads) = spreads(intent.care) else {
        let (altitude, azimuth) = blind_spot(intent.polar_sight, place);
        let finder = intent.finder_mark.map_or(Angle::ZERO, parallax);
        return Left {
            polar_altitude: altitude,
            polar_azimuth: azimuth,
            finder: [Angle::ZERO, finder],
            ..Left::default()
        };
    };
    let normal = |cause: &str, index: u64, sigma: f64| {
        Angle::from_arcmin(sigma * streams.stream(cause, index).normal())
    };
    let lean = [0, 1]
        .map(|index| intent.lean[index].unwrap_or_else(|| normal("levelling", index as u64, spreads.lean)));
    let (altitude, azimuth) = against_the_lean(intent, place, lean, polar(intent, place, spreads, streams));
    Left {
        polar_altitude: altitude,
        polar_azimuth: azimuth,
        lean_north: lean[0],
        lean_east: lean[1],
        home: [normal("home mark", 0, spreads.home[0]), normal("home mark", 1, spreads.home[1])],
        finder: finder(intent, spreads, streams),
        settling: normal("tripod settling", 0, spreads.settling).abs(),
    }
}

/// Whoever sets the axis by the stars sets it right however the base leans, and has undone the lean with the bolts; scale and
/// compass take the base for level. To first order: a lean to the north lowers a northern axis by as much, a lean to the
/// east takes its end east by the lean's tangent of the latitude.
fn against_the_lean(
    intent: &SetupIntent,
    place: &Surroundings,
    [north, east]: [Angle; 2],
    (altitude, azimuth): (Angle, Angle),
) -> (Angle, Angle) {
    if matches!(intent.polar_sight, Some(PolarSight::Compass | PolarSight::CorrectedCompass)) {
        return (altitude, azimuth);
    }
    let northern = if place.latitude < Angle::ZERO { -1.0 } else { 1.0 };
    let (sin, cos) = place.latitude.abs().sin_cos();
    (altitude + north * northern, azimuth - east * (sin / cos.max(0.05)))
}

/// What a sight leaves however well it is used: the needle's declination, the pole star's distance from the pole.
fn blind_spot(sight: Option<PolarSight>, place: &Surroundings) -> (Angle, Angle) {
    match sight {
        Some(PolarSight::Compass) => {
            // Where the elevated pole is the southern one, an axis that is turned with the needle's east goes west of south.
            let turned = place.magnetic_declination;
            (Angle::ZERO, if place.latitude < Angle::ZERO { -turned } else { turned })
        }
        Some(PolarSight::PoleStar) => place.pole_star,
        None
        | Some(PolarSight::CorrectedCompass | PolarSight::OffsetPoleStar | PolarSight::SightingScope) => {
            (Angle::ZERO, Angle::ZERO)
        }
    }
}

fn polar(intent: &SetupIntent, place: &Surroundings, spreads: &Spreads, streams: &Streams) -> (Angle, Angle) {
    let (altitude, azimuth) = blind_spot(intent.polar_sight, place);
    let normal = |cause: &str, sigma: f64| Angle::from_arcmin(sigma * streams.stream(cause, 0).normal());
    // The sights at a star err on the sky; in azimuth the same angle is more the higher the pole stands.
    let on_sky = |sigma: f64| {
        let level = place.latitude.cos().abs().max(0.05);
        (normal("polar altitude", sigma), normal("polar azimuth", sigma) / level)
    };
    let (high, east) = match intent.polar_sight {
        None => (normal("polar altitude", spreads.polar[0]), normal("polar azimuth", spreads.polar[1])),
        Some(PolarSight::Compass | PolarSight::CorrectedCompass) => {
            let mut iron = streams.stream("iron near by", 0);
            let near = iron.chance(IRON.0) && intent.care != Care::Careful;
            let turned = if near { IRON.1 * iron.normal() } else { Angle::ZERO };
            let needle = normal("polar azimuth", spreads.compass) + turned;
            (normal("polar altitude", spreads.latitude_scale), needle)
        }
        Some(PolarSight::PoleStar | PolarSight::OffsetPoleStar) => on_sky(spreads.star_sight),
        Some(PolarSight::SightingScope) => on_sky(spreads.scope),
    };
    (altitude + high, azimuth + east)
}

/// Set on a mark, the finder crosses the tube's axis there and points too low beyond it.
fn parallax(mark: Length) -> Angle {
    -Angle::atan2(FINDER_HEIGHT.metres(), mark.metres())
}

fn finder(intent: &SetupIntent, spreads: &Spreads, streams: &Streams) -> [Angle; 2] {
    let (sigma, parallax) = match intent.finder_mark {
        Some(mark) => (ON_THE_MARK, parallax(mark)),
        None => (Angle::from_arcmin(spreads.finder), Angle::ZERO),
    };
    let error = |index| sigma * streams.stream("finder set by day", index).normal();
    [error(0), error(1) + parallax]
}

#[cfg(test)]
mod tests;
