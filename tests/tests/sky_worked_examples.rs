//! Published worked examples, each with its source.
//!
//! "Collection" is the test program of the IAU's Standards of Fundamental Astronomy in the ERFA edition
//! (`t_erfa_c.c`, pyerfa 2.0.1.5). "Meeus" is *Astronomical Algorithms*, second edition, as the tests of PyMeeus
//! 0.5.12 quote it; the example numbers are from general knowledge. "Observatory" is the US Naval Observatory's tables
//! as the tests of ephem 4.2.1 quote them.

mod sky_support;

use nalgebra::Vector3;
use sky::time::{self, Utc};
use sky::{Air, Body, CirsPlace, ExactPlace, Geocentre, Site, Source, StarPlace, Station, place_exact};
use sky_support::{apart, apart_at, instant, no_air, ut1_is_utc};
use std::sync::Arc;
use units::{Angle, Instant, Length, Pressure, Share, Span, Temperature};

/// The instant at which Terrestrial Time reads so much after noon of 2000-01-01.
fn tt(days: i64, nanoseconds: i64) -> Instant {
    Instant::J2000_TAI + Span::DAY * days + Span::from_nanoseconds(nanoseconds - 32_184_000_000)
}

const HALF_DAY: i64 = 43_200_000_000_000;
/// Day number, from noon of 2000-01-01, of the noon before modified Julian date 53736.0 (2006-01-01 0h).
const DAY_53736: i64 = 53_735 - 51_544;
/// The same for 54388.0 (2007-10-15 0h).
const DAY_54388: i64 = 54_387 - 51_544;

fn site(latitude: Angle, longitude: Angle, metres: f64) -> Site {
    Site::new(latitude, longitude, Length::from_metres(metres)).expect("a site")
}

fn degrees(degrees: f64) -> Angle {
    Angle::from_degrees(degrees)
}

/// Degrees, arcminutes, arcseconds; the sign of the first belongs to all.
fn arc(text: &str) -> Angle {
    units::Quantity::parse(text).unwrap_or_else(|error| panic!("{text}: {error}"))
}

#[track_caller]
fn near(got: f64, published: f64, tolerance: f64) {
    assert!((got - published).abs() <= tolerance, "{got}, published {published}, off {:e}", got - published);
}

#[test]
fn sidereal_time_and_origins_of_the_collection() {
    let at = tt(DAY_53736, HALF_DAY);
    let ut1_is_tt = Span::from_nanoseconds(32_184_000_000);
    let station = Station::new(site(Angle::ZERO, Angle::ZERO, 0.0), no_air(), ut1_is_tt);
    near(station.gmst(at).radians(), 1.754_174_971_870_091_2, 1e-12);
    near(station.gast(at).radians(), 1.754_166_137_675_019_2, 1e-12);
    let equation_of_equinoxes = station.gast(at) - station.gmst(at);
    near(equation_of_equinoxes.radians(), -0.883_419_507_204_379e-5, 1e-14);
    let geocentre = Geocentre::new(at, at);
    near(geocentre.equation_of_origins(at).radians(), -0.133_288_237_194_183_64e-2, 1e-12);
    // Apparent sidereal time the fast way: rotation angle minus the equation of the origins.
    near((station.era(at) - geocentre.equation_of_origins(at)).radians(), 1.754_166_137_675_019_2, 2e-12);
    near(station.era(tt(DAY_54388, HALF_DAY)).radians(), 0.402_283_724_002_815_8, 1e-12);
}

#[test]
fn horizon_and_parallactic_angle_of_the_collection() {
    let at = |latitude: f64| {
        Station::new(site(Angle::from_radians(latitude), Angle::ZERO, 0.0), no_air(), Span::ZERO)
    };
    let (hour_angle, declination) = (Angle::from_radians(1.1), Angle::from_radians(1.2));
    let direction = sky::equatorial_direction(hour_angle, declination, &at(0.3));
    near(sky::azimuth(&direction).radians(), 5.916_889_243_730_066, 1e-13);
    near(sky::altitude(&direction).radians(), 0.447_218_630_499_048_6, 1e-14);
    near(sky::parallactic_angle(&direction, &at(0.3)).radians(), 1.906_227_428_001_995_6, 1e-13);
    let direction = sky::horizontal_direction(Angle::from_radians(5.5), Angle::from_radians(1.1));
    let (hour_angle, declination) = sky::hour_angle_and_declination(&direction, &at(0.7));
    near(hour_angle.radians(), 0.593_329_111_550_731, 1e-14);
    near(declination.radians(), 0.961_393_476_164_781_8, 1e-14);
}

#[test]
fn leap_seconds_of_the_collection() {
    for (year, month, day, seconds) in [(2003, 6, 1, 32), (2008, 1, 17, 33), (2017, 9, 1, 37)] {
        assert_eq!(time::tai_minus_utc(year, month, day), Ok(Span::from_whole_seconds(seconds)));
    }
}

#[test]
fn refraction_constants_of_the_collection() {
    // refco: A and B of this air. At an observed zenith distance z the refraction is A tan z + B tan³ z.
    let (a, b) = (0.226_494_995_624_141_5e-3, -0.259_865_826_172_934_3e-6);
    let air = Air::new(
        Pressure::from_hectopascals(800.0),
        Temperature::from_celsius(10.0),
        Share::from_fraction(0.9),
        0.4,
    )
    .expect("air");
    let station = Station::new(site(Angle::ZERO, Angle::ZERO, 0.0), air, Span::ZERO);
    for altitude in [20.0, 45.0, 70.0] {
        let airless = sky::horizontal_direction(degrees(130.0), degrees(altitude));
        let refracted = sky::altitude(&station.refract(&airless));
        let tangent = (Angle::QUARTER - refracted).tan();
        let expected = a * tangent + b * tangent * tangent * tangent;
        // One Newton step from the airless to the observed tangent leaves a rest of second order: 1e-9 rad at 20°.
        near((refracted - degrees(altitude)).radians(), expected, 2e-9);
    }
}

/// Site, air and time that the collection uses for its whole chains.
struct Chain {
    at: Instant,
    ut1_minus_tai: Span,
    site: Site,
    air: Air,
}

const CHAIN_UTC: (f64, f64) = (2_456_384.5, 0.969_254_051);
const CHAIN_DUT1: f64 = 0.155_067_5;

fn chain() -> Chain {
    let midnight = Utc { year: 2013, month: 4, day: 2, hour: 0, minute: 0, second: 0, nanosecond: 0 };
    let at = time::instant_from_utc(&midnight).expect("a day") + Span::from_seconds(CHAIN_UTC.1 * 86_400.0);
    let air = Air::new(
        Pressure::from_hectopascals(731.0),
        Temperature::from_celsius(12.8),
        Share::from_fraction(0.59),
        0.55,
    );
    Chain {
        at,
        ut1_minus_tai: time::ut1_minus_tai(at, Span::from_seconds(CHAIN_DUT1)).expect("an instant in range"),
        site: site(Angle::from_radians(-1.234_585_6), Angle::from_radians(-0.527_800_806), 2738.0),
        air: air.expect("air"),
    }
}

#[test]
fn the_whole_chain_of_the_collection() {
    let Chain { at, ut1_minus_tai, site, air } = chain();
    let (ra, dec, parallax) = (2.71, 0.174, 0.1);
    let run = |rv: f64, xp: f64, yp: f64| {
        sofars::astro::atco13(
            ra,
            dec,
            1e-5,
            5e-6,
            parallax,
            rv,
            CHAIN_UTC.0,
            CHAIN_UTC.1,
            CHAIN_DUT1,
            -0.527_800_806,
            -1.234_585_6,
            2738.0,
            xp,
            yp,
            731.0,
            12.8,
            0.59,
            0.55,
        )
        .expect("a place")
    };
    // The library itself, on the published input with polar motion and radial velocity.
    let (azimuth, zenith_distance, hour_angle, declination, _, origins) =
        run(55.0, 2.472_307_37e-7, 1.826_404_64e-6);
    near(azimuth, 0.092_517_744_854_855_15, 1e-12);
    near(zenith_distance, 1.407_661_405_256_499_4, 1e-12);
    near(hour_angle, -0.092_651_544_315_297_25, 1e-12);
    near(declination, 0.171_662_656_007_252_6, 1e-12);
    near(origins, -0.003_020_548_354_802_413, 1e-14);
    // Our long way, which knows neither, on the same input without them. The time is rounded to nanoseconds, 7e-14 rad,
    // and leaves out the terrestrial origin's locator, 3e-11 rad.
    let (azimuth, zenith_distance, hour_angle, declination, _, _) = run(0.0, 0.0, 0.0);
    let star = StarPlace {
        ra: Angle::from_radians(ra),
        dec: Angle::from_radians(dec),
        pm_ra_cosdec: Angle::from_radians(1e-5 * Angle::from_radians(dec).cos()),
        pm_dec: Angle::from_radians(5e-6),
        parallax: Angle::from_arcsec(parallax),
    };
    let ours = place_exact(&Source::Star(star), at, &site, &air, ut1_minus_tai).refracted;
    near(ours.azimuth.radians(), azimuth, 1e-10);
    near(ours.altitude.radians(), Angle::QUARTER.radians() - zenith_distance, 1e-10);
    near(ours.hour_angle.radians(), hour_angle, 1e-10);
    near(ours.declination.radians(), declination, 1e-10);
    // And the way through hourly knots, to its 5e-5″.
    let geocentre = Arc::new(Geocentre::new(at, at));
    let station = Station::new(site, air, ut1_minus_tai);
    let seen = station.observe(&geocentre.track(&Source::Star(star)).cirs(at), at);
    near(seen.azimuth().radians(), azimuth, 2.5e-10);
    near(seen.altitude().radians(), Angle::QUARTER.radians() - zenith_distance, 2.5e-10);
}

#[test]
fn the_topocentric_step_of_the_collection() {
    let Chain { at, ut1_minus_tai, site, air } = chain();
    let (ra, dec) = (2.710_121_572_969_039, 0.172_937_136_721_823_04);
    let run = |xp: f64, yp: f64| {
        sofars::astro::atio13(
            ra,
            dec,
            CHAIN_UTC.0,
            CHAIN_UTC.1,
            CHAIN_DUT1,
            -0.527_800_806,
            -1.234_585_6,
            2738.0,
            xp,
            yp,
            731.0,
            12.8,
            0.59,
            0.55,
        )
        .expect("a place")
    };
    let (azimuth, zenith_distance, ..) = run(2.472_307_37e-7, 1.826_404_64e-6);
    near(azimuth, 0.092_339_522_248_951_23, 1e-12);
    near(zenith_distance, 1.407_758_704_513_55, 1e-12);
    let (azimuth, zenith_distance, hour_angle, declination, _) = run(0.0, 0.0);
    let station = Station::new(site, air, ut1_minus_tai);
    let place = CirsPlace::far(sky::direction(Angle::from_radians(ra), Angle::from_radians(dec)));
    let seen = station.observe(&place, at);
    // The nanosecond and the terrestrial origin's locator, as above: 3e-11 rad.
    near(seen.azimuth().radians(), azimuth, 1e-10);
    near(seen.altitude().radians(), Angle::QUARTER.radians() - zenith_distance, 1e-10);
    near(seen.hour_angle(&station).radians(), hour_angle, 1e-10);
    near(seen.declination(&station).radians(), declination, 1e-10);
}

#[test]
fn sidereal_time_of_meeus() {
    // Examples 12.a and 12.b (1987-04-10). Mean sidereal time of 1982 against that of 2006: 1 ms apart by then, through
    // the precession's correction; TT enters only there.
    let greenwich = site(Angle::ZERO, Angle::ZERO, 0.0);
    let at = |utc: &str| {
        let instant = instant(utc);
        (instant, Station::new(greenwich, no_air(), ut1_is_utc(instant)))
    };
    let (midnight, station) = at("1987-04-10T00:00:00Z");
    let seconds_off = |a: Angle, b: &str| apart(a, arc(b)) / 15.0;
    assert!(seconds_off(station.gmst(midnight), "13h10m46.3668s") < 0.005);
    assert!(seconds_off(station.gast(midnight), "13h10m46.135s") < 0.005);
    let (evening, station) = at("1987-04-10T19:21:00Z");
    assert!(seconds_off(station.gmst(evening), "8h34m57.0896s") < 0.005);
}

#[test]
fn venus_at_the_horizon_of_meeus() {
    // Example 13.b: the hour angle from the given apparent sidereal time, right ascension and longitude.
    let station = Station::new(site(arc("38d55m17s"), -arc("77d03m56s"), 0.0), no_air(), Span::ZERO);
    let nutation = Angle::from_arcsec(-3.868 * arc("23d26m36.87s").cos());
    let hour_angle = arc("8h34m57.0896s") + nutation - arc("77d03m56s") - arc("23h09m16.641s");
    let direction = sky::equatorial_direction(hour_angle, -arc("6d43m11.61s"), &station);
    // Printed to 0.001°; azimuth there counts from the south.
    near(sky::azimuth(&direction).degrees(), 248.034, 6e-4);
    near(sky::altitude(&direction).degrees(), 15.125, 6e-4);
}

/// The instant at which a day of Terrestrial Time begins.
fn tt_day(year: i32, month: u8, day: u8) -> Instant {
    let noon = |year, month, day| {
        let utc = Utc { year, month, day, hour: 12, minute: 0, second: 0, nanosecond: 0 };
        time::instant_from_utc(&utc).expect("a day")
    };
    // The two civil noons are whole days apart, but for leap seconds.
    let days = (noon(year, month, day) - noon(2000, 1, 1)).seconds() / 86_400.0;
    tt(units::maths::round(days) as i64 - 1, HALF_DAY)
}

/// The place from the Earth's centre at an instant of TT; the site doesn't matter for it.
fn geocentric(source: &Source, at: Instant) -> ExactPlace {
    place_exact(source, at, &site(Angle::ZERO, Angle::ZERO, 0.0), &no_air(), Span::ZERO)
}

#[test]
fn apparent_place_of_theta_persei_of_meeus() {
    // Examples 21.b and 23.a: 2028 November 13.19 TD; motion in right ascension in seconds of time per year.
    let dec = arc("49d13m42.48s");
    let star = StarPlace {
        ra: arc("2h44m11.986s"),
        dec,
        pm_ra_cosdec: Angle::from_arcsec(0.034_25 * 15.0 * dec.cos()),
        pm_dec: Angle::from_arcsec(-0.0895),
        parallax: Angle::ZERO,
    };
    let at = tt_day(2028, 11, 13) + Span::from_seconds(0.19 * 86_400.0);
    let place = geocentric(&Source::Star(star), at);
    // 0.2″: precession of 1976 is 0.1″ off by then, and the example's aberration is a short formula.
    assert!(apart_at(place.apparent_right_ascension, arc("2h46m14.39s"), dec) < 0.2);
    assert!(apart(place.apparent_declination, arc("49d21m07.45s")) < 0.2);
}

#[test]
fn sun_and_moon_of_meeus() {
    // Example 25.a, the Sun at 1992-10-13 0h TD, by a method that is good to 0.01°.
    let sun = geocentric(&Source::Body(Body::Sun), tt_day(1992, 10, 13));
    assert!(apart(sun.apparent_right_ascension, arc("13h13m31.4s")) < 36.0);
    assert!(apart(sun.apparent_declination, -arc("7d47m06s")) < 36.0);
    near(sun.distance_au.expect("a distance"), 0.997_66, 5e-5);

    // Example 47.a, the Moon at 1992-04-12 0h TD: its theory is good to 10″ in longitude, ours to a few.
    let at = tt_day(1992, 4, 12);
    let moon = geocentric(&Source::Body(Body::Moon), at);
    assert!(apart(moon.apparent_right_ascension, degrees(134.688_469)) < 10.0);
    assert!(apart(moon.apparent_declination, degrees(13.768_367)) < 10.0);
    let geocentre = Arc::new(Geocentre::new(at, at));
    let distance = geocentre.track(&Source::Body(Body::Moon)).cirs(at).distance_au.expect("a distance");
    // Ours is reckoned in the Earth's moving frame, up to 1e-4 of itself away, and the series agree to some kilometres.
    near(distance * 149_597_870.7, 368_409.7, 45.0);
}

#[test]
fn parallax_of_mars_of_meeus() {
    // Examples 11.a and 40.a: the site, a geocentric place with its hour angle, and what the parallax makes of it.
    let station = Station::new(site(arc("33d21m22s"), Angle::ZERO, 1706.0), no_air(), Span::ZERO);
    let at = instant("2003-08-28T03:17:00Z");
    let (hour_angle, declination) = (degrees(288.7958), -arc("15d46m15.9s"));
    let direction = sky::direction(station.era(at) - hour_angle, declination);
    let far = station.airless(&CirsPlace::far(direction), at);
    let close = station.airless(&CirsPlace { direction, distance_au: Some(0.372_76) }, at);
    let (far, close) =
        (sky::hour_angle_and_declination(&far, &station), sky::hour_angle_and_declination(&close, &station));
    // Printed to 0.01 s and 0.1″: right ascension 22h38m07.25s → 08.54s, declination −15°46′15.9″ → 30.0″.
    near((far.0 - close.0).wrapped_signed().arcsec() / 15.0, 1.29, 0.01);
    near((close.1 - far.1).arcsec(), -14.1, 0.1);
}

const DENEB: [f64; 5] = [310.357_979_8, 45.280_338_8, 2.01, 1.85, 2.31];

/// A star of the Hipparcos catalogue's new reduction (van Leeuwen 2007), propagated to J2000.0: degrees, then
/// milliarcseconds a year and milliarcseconds.
fn hipparcos([ra, dec, pm_ra_cosdec, pm_dec, parallax]: [f64; 5]) -> Source {
    let milliarcsec = |value: f64| Angle::from_arcsec(value / 1000.0);
    Source::Star(StarPlace {
        ra: degrees(ra),
        dec: degrees(dec),
        pm_ra_cosdec: milliarcsec(pm_ra_cosdec),
        pm_dec: milliarcsec(pm_dec),
        parallax: milliarcsec(parallax),
    })
}

/// A place at an instant of UT1, with UT1 − UTC of that time (from memory, good to 0.05 s).
fn observatory(source: &Source, ut1: &str, ut1_minus_utc: f64) -> ExactPlace {
    let dut1 = Span::from_seconds(ut1_minus_utc);
    let at = instant(ut1) - dut1;
    let ut1_minus_tai = time::ut1_minus_tai(at, dut1).expect("an instant in range");
    let atlanta = site(arc("33d45m36s"), -arc("84d24m36s"), 322.0);
    place_exact(source, at, &atlanta, &no_air(), ut1_minus_tai)
}

#[test]
fn deneb_of_the_observatory() {
    // 0.05″: another catalogue of the same satellite's stars. The same rows through skyfield differ by 0.03″.
    let deneb = hipparcos(DENEB);
    let place = observatory(&deneb, "2006-03-25T00:00:00Z", 0.30);
    let dec = arc("45d17m46.02s");
    assert!(apart_at(place.apparent_right_ascension, arc("20h41m37.121s"), dec) < 0.05);
    assert!(apart(place.apparent_declination, dec) < 0.05);
    for (ut1, ra, dec) in [
        ("2006-01-21T00:00:00Z", "20h41m35.981s", "45d18m01.04s"),
        ("2006-01-26T00:00:00Z", "20h41m36.004s", "45d17m59.70s"),
    ] {
        let place = observatory(&deneb, ut1, 0.33);
        assert!(apart_at(place.topocentric_right_ascension, arc(ra), arc(dec)) < 0.05);
        assert!(apart(place.airless.declination, arc(dec)) < 0.05);
    }
}

#[test]
fn sun_moon_and_jupiter_of_the_observatory() {
    let check = |body: Body, ut1: &str, dut1: f64, (ra, dec): (Angle, Angle), allowed: f64| {
        let place = observatory(&Source::Body(body), ut1, dut1);
        let off =
            (apart_at(place.topocentric_right_ascension, ra, dec), apart(place.airless.declination, dec));
        println!("{body} {ut1}: {:.3}″ and {:.3}″ off", off.0, off.1);
        assert!(off.0 < allowed && off.1 < allowed, "{body}: {off:?}");
        place.distance_au.expect("a distance")
    };
    // 0.1″: the Sun by DE421 differs by 0.03″, our series by 0.02″ from that.
    let (october, july) = (-0.17, -0.46);
    check(Body::Sun, "2007-10-02T00:00:00Z", october, (arc("12h30m56.325s"), -arc("3d20m29.92s")), 0.1);
    check(Body::Sun, "2007-10-07T00:00:00Z", october, (arc("12h49m06.859s"), -arc("5d16m13.17s")), 0.1);
    // The Moon's short series: 8″ as against the ephemeris; distance to 25 km (18 km by DE421 already).
    let moon =
        check(Body::Moon, "2008-07-01T00:00:00Z", july, (arc("4h27m08.925s"), arc("25d59m07.67s")), 8.0);
    near(moon * 149_597_870.7, 361_552.8, 30.0);
    check(Body::Moon, "2008-07-12T00:00:00Z", july, (arc("14h25m00.987s"), -arc("20d30m18.58s")), 8.0);
    // Jupiter's short series: 30″, as against the ephemeris.
    let place = observatory(&Source::Body(Body::Jupiter), "2008-07-25T00:00:00Z", july);
    assert!(apart_at(place.apparent_right_ascension, arc("19h07m26.047s"), arc("22d45m58.37s")) < 30.0);
    assert!(apart(place.apparent_declination, -arc("22d45m58.37s")) < 30.0);
    near(place.distance_au.expect("a distance"), 4.191_907_851, 4.2 * 5e-4);
}

/// Name, catalogue place as for [`hipparcos`], sidereal hour angle and declination (degrees, arcminutes).
type AlmanacStar = (&'static str, [f64; 5], (f64, f64), (f64, f64));

/// The Nautical Almanac 2018 (NP314-18, HM Nautical Almanac Office 2017), 2018-01-01 0h UT1, as the tests of ephem
/// 4.2.1 quote it.
const ALMANAC: [AlmanacStar; 19] = [
    ("Achernar", [24.428_522_8, -57.236_752_8, 87.00, -38.24, 23.39], (335.0, 24.4), (-57.0, 9.2)),
    ("Aldebaran", [68.980_162_8, 16.509_302_4, 63.45, -188.94, 48.94], (290.0, 45.5), (16.0, 32.5)),
    ("Alkaid", [206.885_157_3, 49.313_266_7, -121.17, -14.91, 31.38], (152.0, 56.7), (49.0, 13.3)),
    ("Alpheratz", [2.096_916_2, 29.090_431_1, 137.46, -163.44, 33.62], (357.0, 40.3), (29.0, 11.4)),
    ("Altair", [297.695_827_3, 8.868_321_2, 536.23, 385.29, 194.95], (62.0, 5.6), (8.0, 55.1)),
    ("Antares", [247.351_915_4, -26.432_002_6, -12.11, -23.30, 5.89], (112.0, 22.8), (-26.0, 28.0)),
    ("Arcturus", [213.915_300_3, 19.182_409_2, -1093.36, -2000.08, 88.83], (145.0, 53.1), (19.0, 5.4)),
    ("Canopus", [95.987_957_8, -52.695_661_4, 19.93, 23.24, 10.55], (263.0, 54.2), (-52.0, 42.5)),
    ("Deneb", DENEB, (49.0, 29.8), (45.0, 20.9)),
    ("Dubhe", [165.931_964_7, 61.751_034_7, -134.11, -34.70, 26.54], (193.0, 47.8), (61.0, 39.0)),
    ("Fomalhaut", [344.412_692_7, -29.622_237_0, 328.95, -164.67, 129.81], (15.0, 20.8), (-29.0, 31.8)),
    ("Kochab", [222.676_357_5, 74.155_503_9, -32.61, 11.42, 24.91], (137.0, 20.9), (74.0, 4.8)),
    ("Pollux", [116.328_957_8, 28.026_198_9, -626.55, -45.81, 96.54], (243.0, 23.6), (27.0, 58.7)),
    ("Procyon", [114.825_497_9, 5.224_987_6, -714.59, -1036.80, 284.56], (244.0, 56.2), (5.0, 10.5)),
    ("Regulus", [152.092_962_4, 11.967_208_8, -248.73, 5.59, 41.13], (207.0, 40.0), (11.0, 52.6)),
    ("Rigel", [78.634_467_1, -8.201_638_4, 1.31, 0.50, 3.78], (281.0, 8.8), (-8.0, 11.1)),
    ("Sirius", [101.287_155_4, -16.716_115_8, -546.02, -1223.07, 379.21], (258.0, 30.7), (-16.0, 44.7)),
    ("Spica", [201.298_247_4, -11.161_319_5, -42.35, -30.67, 13.06], (158.0, 28.1), (-11.0, 15.1)),
    ("Vega", [279.234_734_8, 38.783_689_0, 200.94, 286.23, 130.23], (80.0, 37.3), (38.0, 48.2)),
];

#[test]
fn navigation_stars_of_the_nautical_almanac() {
    let at = instant("2018-01-01T00:00:00Z");
    for (name, catalogue, (hour_degrees, hour_minutes), (degrees_of_declination, minutes)) in ALMANAC {
        let place = geocentric(&hipparcos(catalogue), at);
        let hour_angle = degrees(360.0 - hour_degrees) - Angle::from_arcmin(hour_minutes);
        let sign = if degrees_of_declination < 0.0 { -1.0 } else { 1.0 };
        let declination = degrees(degrees_of_declination) + Angle::from_arcmin(minutes * sign);
        // 0.07′: the print is rounded to 0.1′, and its catalogue differs from ours by a little; the same stars through
        // skyfield differ by up to 0.06′.
        let allowed = 0.07 * 60.0;
        let off = (
            apart(place.apparent_right_ascension, hour_angle),
            apart(place.apparent_declination, declination),
        );
        assert!(off.0 < allowed && off.1 < allowed, "{name}: {off:?} arcsec");
    }
}

#[test]
fn vectors_and_angles_agree_near_a_pole_of_the_sky() {
    let direction = sky::direction(degrees(37.95), degrees(89.264));
    let (ra, dec) = sky::equatorial(&direction);
    near(ra.degrees(), 37.95, 1e-12);
    near(dec.degrees(), 89.264, 1e-12);
    assert_eq!(sky::equatorial(&Vector3::z()), (Angle::ZERO, Angle::QUARTER));
}
