//! Where the pole star stands relative to the pole: what somebody with a polar finder, or with none, has to know.

use crate::catalogue::{Catalogue, Entry};
use crate::{Geocentre, Observed, Station, altitude, azimuth, equatorial_direction};
use std::sync::Arc;
use units::{Angle, Instant, maths};

/// The star nearest to a hemisphere's pole that can be used, and where it stands.
#[derive(Clone, Debug)]
pub struct PoleStar {
    /// The star.
    pub star: Entry,
    /// How far it is from the true pole of date, without air.
    pub separation: Angle,
    /// Hour angle without air, west positive.
    pub hour_angle: Angle,
    /// Where it stands round the pole for somebody who faces it, clockwise from straight up, 0 to one turn. An
    /// astronomical finder that turns the picture upside down shows it half a turn on.
    pub clock_angle: Angle,
    /// Where it is seen.
    pub place: Observed,
    /// Its altitude as seen minus the pole's own (which is the latitude: the pole is meant, not its image in the air).
    pub altitude_offset: Angle,
    /// How far it stands from the pole in azimuth, east positive. Grows without bound towards the poles of the Earth.
    pub azimuth_offset: Angle,
}

impl PoleStar {
    /// The clock angle as the hand of a clock: `2:40`.
    pub fn clock_text(&self) -> String {
        let minutes = maths::round(self.clock_angle / Angle::TURN * 720.0) as u32 % 720;
        let hour = if minutes < 60 { 12 } else { minutes / 60 };
        format!("{hour}:{:02}", minutes % 60)
    }
}

/// What a hemisphere offers to set a polar axis by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hemisphere {
    /// Polaris, of the second magnitude, less than a degree from the pole through this century.
    North,
    /// sigma Octantis, of magnitude 5.4 and more than a degree from the pole.
    South,
}

impl Hemisphere {
    /// The hemisphere of a station; the equator itself counts as north.
    pub fn of(station: &Station) -> Self {
        if station.site().latitude() < Angle::ZERO { Self::South } else { Self::North }
    }

    /// What serves to find the pole there, in a sentence (common practice, no source).
    pub fn advice(self) -> &'static str {
        match self {
            Self::North => {
                "Polaris is bright and near: put it where the table says, at its distance from the pole, and the axis is \
                 within a few arcminutes."
            }
            Self::South => {
                "No bright star stands near the southern pole: sigma Octantis needs a dark sky or a finder. What serves is \
                 a compass corrected for magnetic declination with the latitude set by a level, then the drift method, \
                 or an alignment on two stars and the polar-axis adjustment that follows from it."
            }
        }
    }

    fn star(self) -> Entry {
        let name = match self {
            Self::North => "Polaris",
            Self::South => "sigma Octantis",
        };
        Catalogue::embedded().find(name).expect("the embedded table has both pole stars")
    }
}

/// Where the pole star of the station's hemisphere stands.
pub fn pole_star(geocentre: &Arc<Geocentre>, station: &Station, instant: Instant) -> PoleStar {
    let hemisphere = Hemisphere::of(station);
    let star = hemisphere.star();
    let place = station.observe(&geocentre.track(&star.source).cirs(instant), instant);
    let (hour_angle, declination) = crate::hour_angle_and_declination(&place.airless, station);
    let north = hemisphere == Hemisphere::North;
    let pole_declination = if north { Angle::QUARTER } else { -Angle::QUARTER };
    let pole = equatorial_direction(Angle::ZERO, pole_declination, station);
    // Facing north the west is on the left, so that a growing hour angle runs against the clock; facing south, with it.
    let clockwise = if north { -hour_angle } else { hour_angle };
    // Azimuths grow eastwards in the north and westwards in the south.
    let round = azimuth(&place.refracted) - azimuth(&pole);
    let eastwards = if north { round } else { -round };
    PoleStar {
        star,
        separation: Angle::QUARTER - declination.abs(),
        hour_angle,
        clock_angle: clockwise.wrapped_positive(),
        altitude_offset: altitude(&place.refracted) - altitude(&pole),
        azimuth_offset: eastwards.wrapped_signed(),
        place,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::time::{self, Utc};
    use crate::{Air, Site};
    use units::{Length, Span};

    fn at(latitude: f64, text: &str) -> PoleStar {
        let instant = time::instant_from_utc(&Utc::parse(text).expect("a date")).expect("in range");
        let site =
            Site::new(Angle::from_degrees(latitude), Angle::from_degrees(-4.5), Length::from_metres(440.0));
        let ut1 = time::ut1_minus_tai(instant, Span::ZERO).expect("in range");
        let station = Station::new(site.expect("on Earth"), Air::vacuum(), ut1);
        pole_star(&Arc::new(Geocentre::new(instant, instant)), &station, instant)
    }

    /// The star's offsets from the pole in the plane of the sky, right of it and above it, from its clock angle alone.
    fn check_offsets(star: &PoleStar, latitude: f64) {
        let (sin, cos) = star.clock_angle.sin_cos();
        let (right, above) = (star.separation * sin, star.separation * cos);
        let facing_north = latitude > 0.0;
        let east = if facing_north { right } else { -right };
        // The plane is a sphere: separation² / 2 · tan(altitude) is below 1.5′ at these latitudes.
        let tolerance = Angle::from_arcmin(1.5);
        assert!((star.altitude_offset - above).abs() < tolerance, "{star:?}");
        let seen_east = star.azimuth_offset * star.place.altitude().cos();
        assert!((seen_east - east).abs() < tolerance, "{star:?}");
    }

    #[test]
    fn the_clock_and_the_offsets_tell_the_same() {
        for hour in 0..24 {
            let text = format!("2027-03-06T{hour:02}:00:00Z");
            for latitude in [40.5, 10.0, -33.0, -50.0] {
                check_offsets(&at(latitude, &text), latitude);
            }
        }
    }

    #[test]
    fn polaris_is_less_than_forty_arcminutes_from_the_pole_and_sigma_octantis_more_than_a_degree() {
        let north = at(40.5, "2027-03-06T19:30:00Z");
        assert_eq!(north.star.name, "Polaris");
        // 38′ in 2027 (its declination of date, +89°22′: common practice, no source).
        assert!((north.separation.arcmin() - 37.5).abs() < 1.0, "{}", north.separation.arcmin());
        let south = at(-33.0, "2027-03-06T19:30:00Z");
        assert_eq!(south.star.name, "sigma Octantis");
        assert!((1.0..1.4).contains(&south.separation.degrees()), "{}", south.separation.degrees());
    }

    #[test]
    fn the_hand_of_the_clock_reads_from_straight_up() {
        let mut star = at(40.5, "2027-03-06T19:30:00Z");
        for (degrees, text) in
            [(0.0, "12:00"), (90.0, "3:00"), (345.0, "11:30"), (359.9, "12:00"), (15.0, "12:30")]
        {
            star.clock_angle = Angle::from_degrees(degrees);
            assert_eq!(star.clock_text(), text);
        }
    }
}
