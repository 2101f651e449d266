//! One place by the library's whole chain, without interpolation.

use crate::geocentre::{body_place, star_direction};
use crate::library::{self, Context};
use crate::site::{Air, Site};
use crate::source::{Source, equatorial};
use crate::station::refraction_of;
use crate::time;
use units::{Angle, Instant, Span, maths};

/// Everything about a place at one instant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ExactPlace {
    /// Greenwich mean sidereal time.
    pub gmst: Angle,
    /// Greenwich apparent sidereal time.
    pub gast: Angle,
    /// Local apparent sidereal time.
    pub last: Angle,
    /// Apparent right ascension from the Earth's centre, true equator and equinox of date.
    pub apparent_right_ascension: Angle,
    /// Apparent declination from the Earth's centre.
    pub apparent_declination: Angle,
    /// Apparent right ascension from the site, true equator and equinox of date, without air.
    pub topocentric_right_ascension: Angle,
    /// Without air.
    pub airless: ExactHorizon,
    /// With refraction.
    pub refracted: ExactHorizon,
    /// Distance from the site by light time, in astronomical units: bodies of the solar system only.
    pub distance_au: Option<f64>,
}

/// A place at the horizon.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ExactHorizon {
    /// Azimuth from north through east, 0 to one turn.
    pub azimuth: Angle,
    /// Altitude.
    pub altitude: Angle,
    /// Hour angle, west positive, up to half a turn.
    pub hour_angle: Angle,
    /// Declination.
    pub declination: Angle,
    /// Parallactic angle, positive west of the meridian.
    pub parallactic_angle: Angle,
}

/// The place of a source by the library's own step from catalogue to horizon: the observer's position and velocity
/// are in the context from the beginning, nothing is interpolated, angles instead of vectors. Some hundred
/// microseconds: for one place, and as the oracle of tests. Polar motion is nothing.
pub fn place_exact(
    source: &Source,
    instant: Instant,
    site: &Site,
    air: &Air,
    ut1_minus_tai: Span,
) -> ExactPlace {
    let (tt, ut1) = (time::julian_tt(instant), time::julian_ut1(instant, ut1_minus_tai));
    let (longitude, latitude) = (site.longitude().radians(), site.latitude().radians());
    let centre = Context::geocentric(tt);
    let here = centre.at_site(ut1, (longitude, latitude, site.height().metres()));
    let seen_from = |context: &Context| match source {
        Source::Star(star) => (star_direction(context, star), None),
        Source::Body(body) => {
            let place = body_place(context, *body);
            (place.direction, Some(place.distance))
        }
    };
    let (geocentric, _) = seen_from(&centre);
    let (topocentric, distance_au) = seen_from(&here);
    let (mean, apparent) = centre.sidereal_times(ut1);
    let apparent = Angle::from_radians(apparent);
    let local = (apparent + site.longitude()).wrapped_positive();
    let (intermediate, apparent_declination) = equatorial(&geocentric);
    let origins = Angle::from_radians(centre.equation_of_origins);
    let refraction = refraction_of(air);
    let airless = horizon(&here.to_horizon(&topocentric, (0.0, 0.0)), latitude);
    ExactPlace {
        gmst: Angle::from_radians(mean),
        gast: apparent,
        last: local,
        apparent_right_ascension: (intermediate - origins).wrapped_positive(),
        apparent_declination,
        topocentric_right_ascension: (local - airless.hour_angle).wrapped_positive(),
        airless,
        refracted: horizon(&here.to_horizon(&topocentric, (refraction.a, refraction.b)), latitude),
        distance_au,
    }
}

fn horizon(place: &library::HorizonPlace, latitude: f64) -> ExactHorizon {
    ExactHorizon {
        azimuth: Angle::from_radians(place.azimuth).wrapped_positive(),
        altitude: Angle::from_radians(maths::PI / 2.0 - place.zenith_distance),
        hour_angle: Angle::from_radians(place.hour_angle).wrapped_signed(),
        declination: Angle::from_radians(place.declination),
        parallactic_angle: Angle::from_radians(library::parallactic_angle(place, latitude)),
    }
}
