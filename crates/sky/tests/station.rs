//! The topocentric step: refraction and its inverse, bad sites, places at the poles and the zenith.

use nalgebra::Vector3;
use proptest::prelude::*;
use sky::{Air, Body, CirsPlace, Geocentre, Site, Source, StarPlace, Station, altitude, azimuth};
use std::sync::Arc;
use units::{Angle, Instant, Length, Pressure, Share, Span, Temperature};

fn degrees(value: f64) -> Angle {
    Angle::from_degrees(value)
}

fn station(latitude: f64, air: Air) -> Station {
    let site = Site::new(degrees(latitude), degrees(-4.5), Length::from_metres(440.0)).expect("a site");
    Station::new(site, air, Span::from_whole_seconds(-37))
}

fn apart_arcsec(a: &Vector3<f64>, b: &Vector3<f64>) -> f64 {
    let sine = a.cross(b).norm();
    Angle::atan2(sine, a.dot(b)).arcsec()
}

#[test]
fn refraction_is_undone_by_its_own_inverse_everywhere() {
    let worst = [Air::standard(Length::from_metres(0.0)), Air::standard(Length::from_metres(3000.0))]
        .into_iter()
        .flat_map(|air| {
            let station = station(40.5, air);
            (-900..=900).map(move |tenth| {
                let airless = sky::horizontal_direction(degrees(217.0), degrees(f64::from(tenth) * 0.1));
                apart_arcsec(&station.unrefract(&station.refract(&airless)), &airless)
            })
        })
        .fold(0.0, f64::max);
    // Rounding alone: some 1e-16 rad, ten times that where the limit near the horizon steepens the refraction.
    assert!(worst < 1e-8, "{worst}″");
}

#[test]
fn refraction_lifts_and_keeps_the_azimuth() {
    let station = station(40.5, Air::standard(Length::from_metres(0.0)));
    let lift = |height: f64| {
        let airless = sky::horizontal_direction(degrees(30.0), degrees(height));
        let refracted = station.refract(&airless);
        assert!((azimuth(&refracted) - degrees(30.0)).arcsec().abs() < 1e-9);
        assert!((refracted.norm() - 1.0).abs() < 1e-9);
        (altitude(&refracted) - degrees(height)).arcmin()
    };
    // 1.0′ at 45° and 5.3′ at 10°: the figures of the trade (common practice, no source).
    assert!((lift(45.0) - 1.0).abs() < 0.05, "{}", lift(45.0));
    assert!((lift(10.0) - 5.3).abs() < 0.15, "{}", lift(10.0));
    // The form is held near the horizon: documented, and too small there.
    assert!((lift(0.0) - 11.0).abs() < 1.0, "{}", lift(0.0));
    assert!(lift(90.0).abs() < 1e-9);
}

#[test]
fn without_air_nothing_is_lifted() {
    let station = station(40.5, Air::vacuum());
    for height in [-60.0, -1.0, 0.0, 2.0, 45.0, 90.0] {
        let airless = sky::horizontal_direction(degrees(30.0), degrees(height));
        assert!(apart_arcsec(&station.refract(&airless), &airless) < 1e-9);
    }
}

#[test]
fn the_standard_air_thins_with_height() {
    let pressure = |metres: f64| Air::standard(Length::from_metres(metres)).pressure().hectopascals();
    assert_eq!(pressure(0.0), 1013.25);
    // exp(−h/(29.3 · 283.15 m)).
    assert!((pressure(29.3 * 283.15) - 1013.25 / std::f64::consts::E).abs() < 1e-9);
}

#[test]
fn sites_and_airs_out_of_range_are_refused_in_words() {
    let site = |latitude, longitude, height| {
        Site::new(degrees(latitude), degrees(longitude), Length::from_metres(height))
            .map_err(|e| e.to_string())
    };
    assert_eq!(
        site(95.0, 0.0, 0.0).unwrap_err(),
        "the latitude is 95 deg; it must lie from -90 deg to 90 deg"
    );
    assert_eq!(
        site(0.0, -200.0, 0.0).unwrap_err(),
        "the longitude is -200 deg; it must lie from -180 deg to 360 deg"
    );
    assert_eq!(
        site(0.0, 0.0, 9e9).unwrap_err(),
        "the height is 9000000000 m; it must lie from -500 m to 9000 m"
    );
    assert_eq!(
        site(f64::NAN, 0.0, 0.0).unwrap_err(),
        "the latitude is NaN deg; it must lie from -90 deg to 90 deg"
    );
    assert!(site(90.0, 360.0, -500.0).is_ok() && site(-90.0, -180.0, 9000.0).is_ok());
    let air = |hectopascals, celsius, humidity, wavelength| {
        let air = Air::new(
            Pressure::from_hectopascals(hectopascals),
            Temperature::from_celsius(celsius),
            Share::from_fraction(humidity),
            wavelength,
        );
        air.map_err(|error| error.to_string())
    };
    assert_eq!(
        air(1300.0, 10.0, 0.5, 0.55).unwrap_err(),
        "the pressure is 1300 hPa; it must lie from 0 hPa to 1200 hPa"
    );
    assert_eq!(
        air(1000.0, f64::INFINITY, 0.5, 0.55).unwrap_err(),
        "the temperature is inf degC; it must lie from -100 degC to 60 degC"
    );
    assert_eq!(air(1000.0, 10.0, 60.0, 0.55).unwrap_err(), "the humidity is 60; it must lie from 0 to 1");
    assert!(air(1000.0, 10.0, 0.5, 550.0).unwrap_err().starts_with("the wavelength is 550 um"));
}

#[test]
fn at_a_pole_of_the_earth_a_star_circles_at_its_declination() {
    let at = Instant::J2000_TAI + Span::DAY * 9_561;
    let geocentre = Arc::new(Geocentre::new(at, at + Span::DAY));
    let track = geocentre.track(&Source::Star(StarPlace::fixed(degrees(83.0), degrees(40.0))));
    let site = Site::new(degrees(90.0), degrees(0.0), Length::from_metres(0.0)).expect("the pole");
    let station = Station::new(site, Air::vacuum(), Span::from_whole_seconds(-37));
    let heights = (0..24).map(|hour| {
        let at = at + Span::from_whole_seconds(3600) * hour;
        station.observe(&track.cirs(at), at).airless_altitude().degrees()
    });
    let (least, most) = heights.fold((90.0_f64, -90.0_f64), |(l, m), h| (l.min(h), m.max(h)));
    // 0.5″ a day: what annual aberration and nutation change at most.
    assert!(most - least < 0.5 / 3600.0, "{least} to {most}");
}

#[test]
fn tracks_that_share_their_hours_say_the_same_to_the_bit() {
    let at = Instant::J2000_TAI + Span::DAY * 9_561;
    let span = Span::from_whole_seconds(12 * 3_600);
    let shared = Arc::new(Geocentre::new(at, at + span));
    let star = |index: i32| {
        Source::Star(StarPlace {
            pm_dec: degrees(1e-4),
            ..StarPlace::fixed(degrees(f64::from(index)), degrees(7.0))
        })
    };
    // More sources than are kept for sharing, twice, so that the last ones are made anew.
    for index in (0..1500).chain(0..1500) {
        let found = shared.track(&star(index)).cirs(at + span);
        if index % 100 == 0 {
            let alone = Arc::new(Geocentre::new(at, at + span)).track(&star(index)).cirs(at + span);
            assert_eq!(found, alone, "{index}");
        }
    }
    // A star that differs in its motion alone is another star.
    let still = Source::Star(StarPlace::fixed(degrees(0.0), degrees(7.0)));
    assert_ne!(shared.track(&still).cirs(at), shared.track(&star(0)).cirs(at));
}

#[test]
fn the_moon_s_parallax_is_a_degree_at_the_horizon_and_nothing_overhead() {
    let station = station(0.0, Air::vacuum());
    let at = Instant::J2000_TAI + Span::DAY * 9_561;
    let overhead = station.cirs_from_airless(&Vector3::z(), at);
    let rising = station.cirs_from_airless(&Vector3::x(), at);
    let shift = |direction: Vector3<f64>| {
        // 384 400 km in astronomical units.
        let close = station.airless(&CirsPlace { direction, distance_au: Some(0.002_569_6) }, at);
        apart_arcsec(&close, &station.airless(&CirsPlace::far(direction), at)) / 60.0
    };
    // The mean equatorial horizontal parallax, 57′02.6″ (IAU 1976); aberration makes the overhead one's 0.3″.
    assert!(shift(overhead) < 0.02, "{}", shift(overhead));
    assert!((shift(rising) - 57.04).abs() < 0.05, "{}", shift(rising));
}

#[test]
fn diurnal_aberration_is_a_third_of_an_arcsecond_towards_the_east() {
    let station = station(0.0, Air::vacuum());
    let at = Instant::J2000_TAI + Span::DAY * 9_561;
    let direction = station.cirs_from_airless(&Vector3::z(), at);
    let still = Station::new(
        Site::new(Angle::QUARTER, degrees(-4.5), Length::from_metres(0.0)).expect("the pole"),
        Air::vacuum(),
        Span::from_whole_seconds(-37),
    );
    // Overhead at the equator is on the horizon at the pole, due south of longitude −4.5°: no motion there.
    let here = station.airless(&CirsPlace::far(direction), at);
    let there = still.airless(&CirsPlace::far(direction), at);
    assert!(here.x.abs() < 1e-12);
    // 0.3200″ cos φ: 2π · 6378.577 km in 86 164.1 s over the speed of light.
    assert!((Angle::from_radians(-there.x).arcsec() - 0.3200).abs() < 0.0001, "{}", there.x);
}

#[test]
fn many_threads_share_one_geocentre_and_see_the_same_bits() {
    let begin = Instant::J2000_TAI + Span::DAY * 9_561;
    let places = |geocentre: &Arc<Geocentre>| -> Vec<Vector3<f64>> {
        let track = geocentre.track(&Source::Body(Body::Moon));
        (0..40).map(|step| track.cirs(begin + Span::from_whole_seconds(step * 611)).direction).collect()
    };
    let shared = Arc::new(Geocentre::new(begin, begin + Span::DAY));
    let alone = places(&Arc::new(Geocentre::new(begin, begin + Span::DAY)));
    std::thread::scope(|scope| {
        let runs: Vec<_> = (0..4).map(|_| scope.spawn(|| places(&shared))).collect();
        for run in runs {
            assert_eq!(run.join().expect("no panic"), alone);
        }
    });
}

proptest! {
    #[test]
    fn observed_directions_lead_back(
        latitude in -90.0..90.0,
        azimuth in 0.0..360.0,
        height in -89.9..90.0,
        seconds in -800_000_000_i64..3_100_000_000,
    ) {
        let station = station(latitude, Air::standard(Length::from_metres(440.0)));
        let at = Instant::J2000_TAI + Span::from_whole_seconds(seconds);
        let observed = sky::horizontal_direction(degrees(azimuth), degrees(height));
        let place = CirsPlace::far(station.cirs_from_observed(&observed, at));
        let again = station.observe(&place, at).refracted;
        // Rounding, and the first order of diurnal aberration: 2e-12 rad at most.
        prop_assert!(apart_arcsec(&again, &observed) < 1e-6);
        prop_assert!((place.direction.norm() - 1.0).abs() < 1e-12);
        let (hour_angle, declination) = sky::hour_angle_and_declination(&observed, &station);
        let back = sky::equatorial_direction(hour_angle, declination, &station);
        prop_assert!((back - observed).norm() < 1e-14);
    }
}
