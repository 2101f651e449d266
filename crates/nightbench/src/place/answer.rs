//! What there is to say about a target at an instant.

use super::question::Question;
use serde_json::{Map, Value, json};
use sky::events::{
    Crossings, Darkness, Event, Happening, Limit, MoonPhase, angular_diameter, crossings, darkness,
    direction_in_words, magnitude, moon_phase, transits,
};
use sky::magnetic::{MagneticField, magnetic_field};
use sky::pole::{PoleStar, pole_star};
use sky::{
    Air, Body, ExactHorizon, ExactPlace, Geocentre, Observed, Site, Source, Station, icrs_at, place_exact,
};
use std::sync::Arc;
use units::{Angle, Instant, Length, Span, maths};

/// How far ahead rises, sets and transits are looked for: the Moon's longest day between two of them.
pub const AHEAD: Span = Span::from_whole_seconds(25 * 3600);
/// Airless altitude below which the refraction formula doesn't hold.
pub const REFRACTION_FROM: Angle = Angle::from_degrees(3.0);
/// A target nearer than this to a Sun that is up brings a caution.
const NEAR_SUN: Angle = Angle::from_degrees(20.0);
/// Latitude from which azimuths lose their meaning.
const AT_POLE: Angle = Angle::from_degrees(89.999);

/// The answer. What depends on the site is in [`Here`].
#[derive(Debug)]
pub struct Answer {
    /// The place by the long way; what belongs to a site only counts where there is one.
    pub place: ExactPlace,
    /// ICRS right ascension and declination with the proper motion to the instant; none for bodies.
    pub icrs: Option<(Angle, Angle)>,
    /// Distance from the Earth's centre, in astronomical units, of bodies.
    pub distance_au: Option<f64>,
    /// V magnitude.
    pub magnitude: Option<f64>,
    /// Major and minor axis of the outline.
    pub size: Option<(Angle, Angle)>,
    /// The Moon's phase, if it is the target.
    pub moon: Option<MoonPhase>,
    /// What depends on the site.
    pub here: Option<Here>,
}

/// The part of an answer that depends on the site.
#[derive(Debug)]
pub struct Here {
    /// Which way to look, in words.
    pub direction: String,
    /// Rises and sets within [`AHEAD`].
    pub crossings: Crossings,
    /// Transits within [`AHEAD`].
    pub transits: Vec<Event>,
    /// How dark it is.
    pub darkness: Darkness,
    /// How far the target is from the Sun.
    pub from_sun: Angle,
    /// The Earth's magnetic field.
    pub magnetic: Option<MagneticField>,
    /// Where the hemisphere's pole star stands.
    pub pole_star: PoleStar,
    /// What is to be heeded, each a sentence.
    pub cautions: Vec<String>,
}

impl Answer {
    /// Answers a question.
    ///
    /// # Errors
    /// A sentence, where the search for events would leave the years of civil time.
    pub fn to(question: &Question) -> Result<Self, String> {
        let instant = question.instant;
        let (site, air) = match question.here {
            Some(here) => here,
            // What is told without a site doesn't depend on it; any will do.
            None => (nowhere()?, Air::vacuum()),
        };
        let place = place_exact(&question.source, instant, &site, &air, question.ut1_minus_tai);
        let geocentre = Arc::new(Geocentre::new(instant, instant + AHEAD));
        let distance_au = geocentre.track(&question.source).cirs(instant).distance_au;
        let body = match question.source {
            Source::Body(body) => Some(body),
            Source::Star(_) => None,
        };
        let entry = question.entry.as_ref();
        Ok(Self {
            place,
            icrs: match &question.source {
                Source::Star(star) => Some(icrs_at(star, instant)),
                Source::Body(_) => None,
            },
            distance_au,
            magnitude: match body {
                Some(body) => magnitude(&geocentre, body, instant),
                None => entry.and_then(|entry| entry.magnitude),
            },
            size: match (body, distance_au) {
                (Some(body), Some(distance)) => {
                    let across = angular_diameter(body, distance);
                    Some((across, across))
                }
                _ => entry.and_then(|entry| entry.size),
            },
            moon: (body == Some(Body::Moon)).then(|| moon_phase(&geocentre, instant)),
            here: question.here.map(|here| Here::of(question, &place, &geocentre, here)),
        })
    }

    /// The answer as JSON: inputs and outputs under the names of the reference tables' columns, and what they don't have.
    pub fn json(&self, question: &Question) -> Value {
        let mut map = Map::new();
        let mut put = |key: &str, value: Value| map.insert(key.to_owned(), value);
        let degrees = |angle: Angle| rounded(angle.degrees(), 9);
        put("target", json!(question.name));
        put("kind", json!(question.entry.as_ref().map_or("place", |entry| entry.kind.words())));
        let constellation = question.entry.as_ref().and_then(|entry| entry.constellation);
        put("constellation", json!(constellation.map(|one| one.name)));
        put("designations", json!(question.entry.as_ref().map_or(&[][..], |entry| &entry.designations)));
        put("magnitude", json!(self.magnitude.map(|value| rounded(value, 2))));
        put("major_arcmin", json!(self.size.map(|size| rounded(size.0.arcmin(), 4))));
        put("minor_arcmin", json!(self.size.map(|size| rounded(size.1.arcmin(), 4))));
        put("utc", json!(utc(question.instant)));
        if let Source::Star(star) = &question.source {
            let milliarcsec = |angle: Angle| rounded(angle.arcsec() * 1000.0, 3);
            put("ra_icrs_deg", degrees(star.ra));
            put("dec_icrs_deg", degrees(star.dec));
            put("pm_ra_cosdec_mas_yr", milliarcsec(star.pm_ra_cosdec));
            put("pm_dec_mas_yr", milliarcsec(star.pm_dec));
            put("parallax_mas", milliarcsec(star.parallax));
        }
        put("gmst_deg", degrees(self.place.gmst));
        put("gast_deg", degrees(self.place.gast));
        put("ra_app_deg", degrees(self.place.apparent_right_ascension));
        put("dec_app_deg", degrees(self.place.apparent_declination));
        if let Some(phase) = &self.moon {
            put("illuminated", rounded(phase.illuminated, 6));
            put("moon_age_days", rounded(phase.age.hours() / 24.0, 4));
            put("moon_phase", json!(phase.words()));
        }
        match (&self.here, question.here) {
            (Some(here), Some((site, air))) => map.extend(self.json_here(here, &site, &air)),
            _ => {
                map.insert("distance_au".to_owned(), json!(self.distance_au.map(|au| rounded(au, 9))));
            }
        }
        Value::Object(map)
    }

    fn json_here(&self, here: &Here, site: &Site, air: &Air) -> Map<String, Value> {
        let degrees = |angle: Angle| rounded(angle.degrees(), 9);
        let place = &self.place;
        let (airless, seen) = (&place.airless, &place.refracted);
        let refracted = |angle: Angle| if is_refracted(airless) { degrees(angle) } else { Value::Null };
        let when = |what| json!(here.next(what).map(|event| utc(event.instant)));
        let declination = here.magnetic.as_ref().map(|field| rounded(field.declination.degrees(), 2));
        let pairs = [
            ("lat_deg", degrees(site.latitude())),
            ("lon_east_deg", degrees(site.longitude())),
            ("height_m", rounded(site.height().metres(), 3)),
            ("pressure_hpa", rounded(air.pressure().hectopascals(), 3)),
            ("temp_c", rounded(air.temperature().celsius(), 3)),
            ("rel_hum", rounded(air.humidity().fraction(), 4)),
            ("wavelength_um", rounded(air.wavelength_micrometres(), 4)),
            ("last_deg", degrees(place.last)),
            ("ra_topo_deg", degrees(place.topocentric_right_ascension)),
            ("ha_deg", degrees(airless.hour_angle)),
            ("dec_topo_deg", degrees(airless.declination)),
            ("az_deg", degrees(airless.azimuth)),
            ("alt_deg", degrees(airless.altitude)),
            ("parallactic_deg", degrees(airless.parallactic_angle)),
            ("az_obs_deg", refracted(seen.azimuth)),
            ("alt_obs_deg", refracted(seen.altitude)),
            ("ha_obs_deg", refracted(seen.hour_angle)),
            ("dec_obs_deg", refracted(seen.declination)),
            ("parallactic_obs_deg", refracted(seen.parallactic_angle)),
            ("distance_au", json!(place.distance_au.map(|au| rounded(au, 9)))),
            ("direction", json!(here.direction)),
            ("rise_utc", when(Happening::Rise)),
            ("upper_transit_utc", when(Happening::UpperTransit)),
            ("set_utc", when(Happening::Set)),
            ("lower_transit_utc", when(Happening::LowerTransit)),
            ("never_rises", json!(here.crossings.never_rises())),
            ("never_sets", json!(here.crossings.never_sets())),
            ("darkness", json!(here.darkness.words())),
            ("sun_distance_deg", rounded(here.from_sun.degrees(), 4)),
            ("magnetic_declination_deg", json!(declination)),
            ("cautions", json!(here.cautions)),
        ];
        pairs.into_iter().map(|(key, value)| (key.to_owned(), value)).collect()
    }
}

impl Here {
    fn of(
        question: &Question,
        place: &ExactPlace,
        geocentre: &Arc<Geocentre>,
        (site, air): (Site, Air),
    ) -> Self {
        let (begin, end) = (question.instant, question.instant + AHEAD);
        let station = Station::new(site, air, question.ut1_minus_tai);
        let track = geocentre.track(&question.source);
        let sun = geocentre.track(&Source::Body(Body::Sun));
        let line = |horizon: &ExactHorizon| sky::horizontal_direction(horizon.azimuth, horizon.altitude);
        let seen = Observed { airless: line(&place.airless), refracted: line(&place.refracted) };
        let sun_line = station.airless(&sun.cirs(begin), begin);
        let from_sun = Angle::atan2(seen.airless.cross(&sun_line).norm(), seen.airless.dot(&sun_line));
        let darkness = darkness(&sun, &station, begin);
        let magnetic = magnetic_field(site.latitude(), site.longitude(), site.height(), begin).ok();
        let is_sun = question.source == Source::Body(Body::Sun);
        let mut cautions = Vec::new();
        if darkness == Darkness::Day && is_sun {
            cautions.push(
                "never look at the Sun through an instrument without a solar filter made for it over the front opening"
                    .to_owned(),
            );
        } else if darkness == Darkness::Day && from_sun < NEAR_SUN {
            cautions.push(format!(
                "the Sun is up and {:.0} deg away: never look at or near it through an unfiltered instrument",
                from_sun.degrees()
            ));
        }
        if site.latitude().abs() > AT_POLE {
            cautions.push(
                "the site is a pole, where every direction is south or north: azimuths count as if one had come along \
                 the site's longitude"
                    .to_owned(),
            );
        }
        cautions.extend(magnetic.iter().flat_map(|field| &field.cautions).map(ToString::to_string));
        Self {
            direction: direction_in_words(&seen),
            crossings: crossings(&track, &station, Limit::Horizon, begin, end),
            transits: transits(&track, &station, begin, end),
            darkness,
            from_sun,
            magnetic,
            pole_star: pole_star(geocentre, &station, begin),
            cautions,
        }
    }

    /// The next rise, set or transit of a kind.
    pub fn next(&self, what: Happening) -> Option<&Event> {
        self.crossings.events.iter().chain(&self.transits).find(|event| event.what == what)
    }
}

/// Whether the refraction formula holds for a place.
pub fn is_refracted(airless: &ExactHorizon) -> bool {
    airless.altitude >= REFRACTION_FROM
}

fn nowhere() -> Result<Site, String> {
    Site::new(Angle::ZERO, Angle::ZERO, Length::ZERO).map_err(|error| error.to_string())
}

fn utc(instant: Instant) -> String {
    sky::time::utc_text(instant, 3).unwrap_or_else(|error| error.to_string())
}

/// A JSON number with so many decimals; `-0` becomes `0`.
fn rounded(value: f64, decimals: i32) -> Value {
    let scale = maths::pow(10.0, f64::from(decimals));
    json!(maths::round(value * scale) / scale + 0.0)
}
