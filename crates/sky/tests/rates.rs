//! How fast things move in the sky, against formulas that differentiate by hand, and refraction against a textbook form.
//!
//! Formulas without a source here follow from the definitions of azimuth, altitude and hour angle by differentiation.

use nalgebra::Vector3;
use sky::{Air, CirsPlace, Site, Station, direction, equatorial_direction, horizontal_direction};
use units::{Angle, AngularRate, Instant, Length, Pressure, Share, Span, Temperature, maths};

/// The Earth's equatorial radius (WGS84), metres, and the astronomical unit (IAU 2012).
const EARTH_METRES: f64 = 6_378_137.0;
const AU_METRES: f64 = 149_597_870_700.0;

fn degrees(value: f64) -> Angle {
    Angle::from_degrees(value)
}

fn station(latitude: f64, air: Air) -> Station {
    let site = Site::new(degrees(latitude), Angle::ZERO, Length::ZERO).expect("a site");
    // Seconds of UT1 against TAI turn the whole sky; no rate here depends on them.
    Station::new(site, air, Span::ZERO)
}

fn air(hectopascals: f64, celsius: f64) -> Air {
    let (pressure, temperature) =
        (Pressure::from_hectopascals(hectopascals), Temperature::from_celsius(celsius));
    Air::new(pressure, temperature, Share::from_percent(0.0), Air::VISUAL_MICROMETRES).expect("an air")
}

fn at(seconds: f64) -> Instant {
    Instant::J2000_TAI + Span::from_seconds(seconds)
}

/// Something infinitely far away that at second zero has this hour angle.
fn far(station: &Station, hour: f64, declination: f64) -> CirsPlace {
    let airless = equatorial_direction(degrees(hour), degrees(declination), station);
    CirsPlace::far(station.cirs_from_airless(&airless, at(0.0)))
}

/// Slope of an angle at second zero, in units of the sidereal rate.
fn slope(angle: impl Fn(f64) -> Angle) -> f64 {
    const STEP: f64 = 2.0;
    let turned = (angle(STEP) - angle(-STEP)).wrapped_signed();
    turned.radians() / (2.0 * STEP) / AngularRate::SIDEREAL.radians()
}

/// Refraction from the true altitude in arcminutes: R = 1.02 cot(h + 10.3/(h + 5.11)), h in degrees, for 1010 hPa and 10 °C
/// (Sæmundsson 1986, as reported by Meeus, *Astronomical Algorithms*, 1991; coefficients from memory).
fn textbook_refraction(altitude: f64, hectopascals: f64, celsius: f64) -> f64 {
    let argument = degrees(altitude + 10.3 / (altitude + 5.11));
    1.02 / argument.tan() * hectopascals / 1010.0 * 283.0 / (273.0 + celsius)
}

#[test]
fn refraction_is_that_of_the_textbook_within_what_it_claims() {
    for (altitude, hectopascals, celsius, arcmin) in [
        (45.0, 1010.0, 10.0, 1.0127),
        (20.0, 1010.0, 10.0, 2.7412),
        (10.0, 1010.0, 10.0, 5.4077),
        (20.0, 850.0, -5.0, 2.4361),
    ] {
        // The worked values, computed with these coefficients.
        let textbook = textbook_refraction(altitude, hectopascals, celsius);
        assert!((textbook - arcmin).abs() < 5e-5, "{altitude}: {textbook}");
        let station = station(50.0, air(hectopascals, celsius));
        let lifted = station.refract(&horizontal_direction(degrees(137.0), degrees(altitude)));
        let lift = (sky::altitude(&lifted) - degrees(altitude)).arcmin();
        // The textbook form claims 0.07′; its constant of 61″ is one in twenty above that of the library's dry air.
        assert!((lift - textbook).abs() < 0.07 + 0.05 * textbook, "{altitude}: {lift} against {textbook}");
    }
}

/// The period of a mount that follows a refracted star, in minutes, from an axis that stands on the refracted pole, with
/// refraction R = k cot h (E. S. King, *A Manual of Celestial Photography*, 1931; formula from memory).
fn king_minutes(k: f64, latitude: f64, hour: f64, declination: f64) -> f64 {
    let ((sin_lat, cos_lat), (sin_dec, cos_dec)) =
        (degrees(latitude).sin_cos(), degrees(declination).sin_cos());
    let cos_hour = degrees(hour).cos();
    let up = sin_lat * sin_dec + cos_lat * cos_dec * cos_hour;
    let first = cos_lat / cos_dec * (cos_lat * cos_dec + sin_lat * sin_dec * cos_hour) / (up * up);
    1436.07 * (1.0 + k * (first - cos_lat / sin_lat * sin_dec / cos_dec * cos_hour))
}

#[test]
fn a_refracted_star_turns_about_the_refracted_pole_as_king_says() {
    // The worked values: k = 58.3″.
    let k = Angle::from_arcsec(58.3).radians();
    assert!((king_minutes(k, 45.0, 0.0, 0.0) - 1436.476).abs() < 5e-4);
    assert!((king_minutes(k, 45.0, 45.0, 20.0) - 1436.469).abs() < 5e-4);
    let station = station(45.0, air(1010.0, 10.0));
    let middle = station.refract(&horizontal_direction(Angle::ZERO, degrees(45.0)));
    let k = (sky::altitude(&middle) - degrees(45.0)).radians();
    let pole = station.refract(&equatorial_direction(Angle::ZERO, degrees(90.0), &station));
    for (hour, declination) in [(0.0, 0.0), (45.0, 20.0), (-60.0, 40.0), (20.0, 60.0)] {
        let star = far(&station, hour, declination);
        // The angle about the pole, from the plane of pole and zenith.
        let east = pole.cross(&Vector3::z()).normalize();
        let across = pole.cross(&east);
        let angle = |seconds: f64| {
            let seen = station.observe(&star, at(seconds)).refracted;
            Angle::atan2(seen.dot(&east), seen.dot(&across))
        };
        let minutes = 1436.07 / slope(angle).abs();
        // 0.01 min: k cot h leaves the third power of the tangent out, and 1436.07 has two decimals.
        let king = king_minutes(k, 45.0, hour, declination);
        assert!((minutes - king).abs() < 0.01, "{hour} {declination}: {minutes} against {king}");
    }
}

#[test]
fn azimuth_altitude_and_field_turn_at_their_rates() {
    for latitude in [45.0, -33.0, 65.0] {
        let station = station(latitude, Air::vacuum());
        let (sin_lat, cos_lat) = degrees(latitude).sin_cos();
        for (azimuth, altitude) in [(180.0, 45.0), (100.0, 30.0), (250.0, 62.0), (20.0, 15.0)] {
            let line = horizontal_direction(degrees(azimuth), degrees(altitude));
            let star = CirsPlace::far(station.cirs_from_airless(&line, at(0.0)));
            let seen = |seconds: f64| station.observe(&star, at(seconds));
            let (sin_az, cos_az) = degrees(azimuth).sin_cos();
            // dA/dt = ω(sin φ − cos φ cos A tan h), dh/dt = ω cos φ sin A, dq/dt = −ω cos φ cos A / cos h.
            let rates = [
                (slope(|t| seen(t).airless_azimuth()), sin_lat - cos_lat * cos_az * degrees(altitude).tan()),
                (slope(|t| seen(t).airless_altitude()), cos_lat * sin_az),
                (
                    slope(|t| seen(t).airless_parallactic_angle(&station)),
                    -cos_lat * cos_az / degrees(altitude).cos(),
                ),
            ];
            for (found, formula) in rates {
                // 1e-6: third differences over four seconds are 1e-8; the diurnal aberration changes by 1e-6 of ω.
                assert!((found - formula).abs() < 3e-6, "{latitude} {azimuth} {altitude}: {found} {formula}");
            }
        }
    }
    // In the south at 45° from latitude 45° the field turns once a sidereal day: 15.04°/h.
    let station = station(45.0, Air::vacuum());
    let line = horizontal_direction(Angle::HALF, degrees(45.0));
    let star = CirsPlace::far(station.cirs_from_airless(&line, at(0.0)));
    let turn = slope(|t| station.observe(&star, at(t)).airless_parallactic_angle(&station));
    assert!((turn * AngularRate::SIDEREAL.degrees() * 3600.0 - 15.04).abs() < 0.005, "{turn}");
}

#[test]
fn a_pass_near_the_zenith_asks_for_this_acceleration() {
    let station = station(45.0, Air::vacuum());
    let greatest_at = |declination: f64| {
        let star = far(&station, 0.0, declination);
        let azimuth = |seconds: f64| station.observe(&star, at(seconds)).airless_azimuth();
        let step = 2.0;
        let acceleration = |seconds: f64| {
            let (before, here, after) = (azimuth(seconds - step), azimuth(seconds), azimuth(seconds + step));
            ((after - here).wrapped_signed() - (here - before).wrapped_signed()).arcsec() / (step * step)
        };
        (-400..=400).map(|i| acceleration(f64::from(i)).abs()).fold(0.0, f64::max)
    };
    // (3√3/8)(ω cos φ / z₀)², 1.169 ″/s² at 1°.
    let share = AngularRate::SIDEREAL.radians() * degrees(45.0).cos() / degrees(1.0).radians();
    let formula = Angle::from_radians(3.0 * 3.0_f64.sqrt() / 8.0 * share * share).arcsec();
    assert!((formula - 1.169).abs() < 5e-4, "{formula}");
    // The first order in z₀ (1/57) has opposite signs south and north of the zenith; the second is a few parts in 10 000.
    let greatest = (greatest_at(44.0) + greatest_at(46.0)) / 2.0;
    assert!((greatest / formula - 1.0).abs() < 0.003, "{greatest}");
}

/// The mean Moon on the equator: 13.176° a day among the stars, at the distance of its mean parallax.
fn mean_moon(right_ascension: Angle, seconds: f64) -> CirsPlace {
    let moved = degrees(13.176 / 86_400.0) * seconds;
    let distance = EARTH_METRES / degrees(0.951).sin() / AU_METRES;
    CirsPlace { direction: direction(right_ascension + moved, Angle::ZERO), distance_au: Some(distance) }
}

#[test]
fn the_mean_moon_runs_as_fast_as_its_parallax_lets_it() {
    // At its transit 14.492(1 + π cos φ) ″/s of hour angle, and less where it stands aside; quoted to 0.003 ″/s.
    for (latitude, hour, rate) in [(45.0, 0.0, 14.664), (60.0, 0.0, 14.613), (45.0, 60.0, 14.58)] {
        let station = station(latitude, Air::vacuum());
        let meridian = far(&station, hour, 0.0);
        let (right_ascension, _) = sky::equatorial(&meridian.direction);
        let angle =
            |t: f64| station.observe(&mean_moon(right_ascension, t), at(t)).airless_hour_angle(&station);
        let found = slope(angle) * AngularRate::SIDEREAL.arcsec();
        assert!((found - rate).abs() < 0.005, "{latitude} {hour}: {found}");
    }
    // On a path that leans 28.6° to the equator at 13.18° a day: its declination changes by up to 0.26 ″/s.
    let steepest = 13.18 * 3600.0 / 86_400.0 * degrees(28.6).sin();
    assert!((steepest - 0.263).abs() < 5e-4, "{steepest}");
}

/// In March 2025, when its path leans the most, the real Moon is no steeper in declination than its fastest daily motion
/// (15.4°, from memory) allows, and at times steeper than its slowest (11.8°) would.
#[test]
fn the_moon_of_a_great_standstill_changes_its_declination_by_a_quarter_arcsecond_a_second() {
    let begin = at(25.17 * 365.25 * 86_400.0);
    let geocentre = std::sync::Arc::new(sky::Geocentre::new(begin, begin + Span::DAY * 28));
    let moon = geocentre.track(&sky::Source::Body(sky::Body::Moon));
    let declination = |hours: i64| {
        let place = moon.cirs(begin + Span::from_whole_seconds(3600) * hours).direction;
        maths::asin(place.z / place.norm())
    };
    let rates = (0..28 * 4).map(|i| {
        let change = declination(6 * i + 1) - declination(6 * i);
        Angle::from_radians(change).arcsec() / 3600.0
    });
    let greatest = rates.map(f64::abs).fold(0.0, f64::max);
    let by_day = |degrees_a_day: f64| degrees_a_day * 3600.0 / 86_400.0 * degrees(28.6).sin();
    assert!((by_day(11.8)..by_day(15.4)).contains(&greatest), "{greatest}");
}
