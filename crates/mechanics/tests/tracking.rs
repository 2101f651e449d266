//! Tracking with the real chain: crystal, misalignment, rates.

mod common;

use common::{START, after, degrees, ideal, switch_on};
use kinematics::{AxisAngles, BaseErrors, Cubic, Kind, Path, base, frames};
use mechanics::{Crystal, Mount, MountSpec};
use nalgebra::Vector3;
use units::{Angle, AngularRate, PartsPerMillion, Span};

#[test]
fn crystal_error() {
    // 50 ppm: 2.71″/h.
    let mut spec = ideal(Kind::GermanEquatorial, degrees(45.0));
    spec.crystal_drift = PartsPerMillion::from_ppm(50.0);
    let mut mount = switch_on(spec, common::at_zero());
    mount.order(0, Path::steady(Span::ZERO, Angle::ZERO, AngularRate::SIDEREAL), after(0.0));
    let gained = mount.axes(after(3600.0)).first.arcsec() - 3600.0 * AngularRate::SIDEREAL.arcsec();
    assert!((gained - 2.71).abs() < 0.005, "{gained}");
}

#[test]
fn a_motion_that_is_as_good_as_even_never_turns() {
    // It would turn back after 1e13 s, and after 1e15 s: no instant says that.
    for coefficients in [[0.0, 1e-4, -5e-18, 0.0], [0.0, 1e-4, 0.0, -1e-34 / 3.0]] {
        let path = Path::from_pieces(vec![Cubic { begin: Span::ZERO, coefficients }]);
        let mut mount = switch_on(ideal(Kind::GermanEquatorial, degrees(45.0)), common::at_zero());
        assert_eq!(path.turning_points(Span::ZERO, Span::from_whole_seconds(3600)), Vec::new());
        mount.order(0, path, after(0.0));
        let _ = mount.advance(after(3600.0));
        assert!((mount.axes(after(3600.0)).first.radians() - 0.36).abs() < 1e-9);
    }
}

#[test]
fn controller_time_and_back_are_exact_and_monotone() {
    for ppm in [-100.0, -3.7, 0.0, 12.3, 100.0] {
        let crystal = Crystal::new(START, PartsPerMillion::from_ppm(ppm));
        for nanoseconds in [0, 1, 999, 123_456_789_012_345, 36_000_000_000_000] {
            for offset in -3..=3 {
                let time = Span::from_nanoseconds(nanoseconds + offset);
                let at = crystal.instant(time);
                assert!(crystal.controller_time(at) >= time);
                assert!(crystal.controller_time(at - Span::from_nanoseconds(1)) < time);
            }
        }
        let hour = crystal.controller_time(START + Span::from_whole_seconds(3600));
        assert!((hour.seconds() - 3600.0 * (1.0 + ppm * 1e-6)).abs() < 1e-6);
    }
}

fn misaligned(latitude: f64, altitude: f64, azimuth: f64) -> MountSpec {
    let latitude = degrees(latitude);
    let errors = BaseErrors {
        polar_altitude: Angle::from_arcmin(altitude),
        polar_azimuth: Angle::from_arcmin(azimuth),
        ..BaseErrors::default()
    };
    let mut spec = ideal(Kind::GermanEquatorial, latitude);
    spec.geometry.base = base(Kind::GermanEquatorial, latitude, &errors);
    spec
}

/// A mount that begins on a star and turns at the stars' rate, and where that star is.
struct Dwell {
    mount: Mount,
    latitude: Angle,
    hour: Angle,
    declination: Angle,
}

impl Dwell {
    fn new(latitude: f64, altitude: f64, azimuth: f64, hour: f64, declination: f64) -> Self {
        let spec = misaligned(latitude, altitude, azimuth);
        let (latitude, hour, declination) = (degrees(latitude), degrees(hour), degrees(declination));
        let star = star(latitude, hour, declination);
        let chain = kinematics::Chain::new(spec.geometry);
        let dials = chain.dials_for(&star, kinematics::Branch::Direct).expect("no cap without cone and skew");
        let mut mount = switch_on(spec, dials);
        mount.order(0, Path::steady(Span::ZERO, dials.first, AngularRate::SIDEREAL), after(0.0));
        Self { mount, latitude, hour, declination }
    }

    /// Where the star stands from the boresight after some seconds: east and north in arcseconds.
    fn drift(&self, seconds: f64) -> (f64, f64) {
        let turned = self.hour + Angle::from_radians(AngularRate::SIDEREAL.radians() * seconds);
        let star = star(self.latitude, turned, self.declination);
        let pole = frames::equatorial_to_topocentric(self.latitude) * Vector3::z();
        let (east, north) = frames::tangent_offset(&self.mount.boresight(after(seconds)), &star, &pole);
        (east.arcsec(), north.arcsec())
    }

    /// Rates over the first six seconds, in ″/h.
    fn rates(&self) -> (f64, f64) {
        let (east, north) = self.drift(6.0);
        (east * 600.0, north * 600.0)
    }
}

fn star(latitude: Angle, hour: Angle, declination: Angle) -> Vector3<f64> {
    frames::equatorial_to_topocentric(latitude) * frames::equatorial_direction(hour, declination)
}

#[test]
fn an_axis_east_of_the_pole_lets_a_meridian_star_drift_south() {
    // φ = 45°, H = 0, δ = 0, ΔA = +1′: −11.14″/h. Second order and the chord of six seconds are parts of a thousand.
    let (_, north) = Dwell::new(45.0, 0.0, 1.0, 0.0, 0.0).rates();
    assert!((north + 11.14).abs() < 0.03, "{north}");
}

#[test]
fn an_axis_too_high_lets_an_eastern_star_drift_north() {
    // H = −90°, Δa = +1′: +15.75″/h.
    let (_, north) = Dwell::new(45.0, 1.0, 0.0, -90.0, 0.0).rates();
    assert!((north - 15.75).abs() < 0.03, "{north}");
}

#[test]
fn drift_of_a_general_case_and_its_second_order() {
    // φ = 50°, H = 30°, δ = 20°, Δa = 2′, ΔA = −3′: east −14.525, north +10.553 ″/h; the second order is 3′ (9e-4) of rates of up
    // to 47″/h.
    let (east, north) = Dwell::new(50.0, 2.0, -3.0, 30.0, 20.0).rates();
    assert!((east + 14.525).abs() < 0.04 && (north - 10.553).abs() < 0.04, "{east} {north}");
    // Exact − first order quarters when the errors halve: drift(e) − 2·drift(e/2) is half of the second order.
    let second = |scale: f64| {
        let full = Dwell::new(50.0, 2.0 * scale, -3.0 * scale, 30.0, 20.0).drift(3600.0);
        let half = Dwell::new(50.0, scale, -1.5 * scale, 30.0, 20.0).drift(3600.0);
        let (e, n) = (full.0 - 2.0 * half.0, full.1 - 2.0 * half.1);
        (e * e + n * n).sqrt()
    };
    // 5 %: third order is e·(second order), below a per cent at a degree.
    assert!((second(20.0) / second(10.0) - 4.0).abs() < 0.2);
}

#[test]
fn field_rotation_of_a_misaligned_mount() {
    // Position angle of the mount's frame (north through east): ω(Δa cos H − ΔA cos φ sin H)/cos δ.
    let (hour, declination, latitude) = (degrees(40.0), degrees(50.0), degrees(50.0));
    let (altitude, azimuth) = (Angle::from_arcmin(10.0), Angle::from_arcmin(-15.0));
    let dwell = Dwell::new(50.0, 10.0, -15.0, 40.0, 50.0);
    let angle = |seconds: f64| {
        let frame = dwell.mount.field_frame(after(seconds));
        let pole = frames::equatorial_to_topocentric(latitude) * Vector3::z();
        let boresight = frame.column(0).into_owned();
        let east = pole.cross(&boresight).normalize();
        let north = boresight.cross(&east);
        let up = frame.column(2).into_owned();
        Angle::atan2(up.dot(&east), up.dot(&north))
    };
    let expected = AngularRate::SIDEREAL.radians()
        * (altitude.radians() * hour.cos() - azimuth.radians() * latitude.cos() * hour.sin())
        / declination.cos();
    let found = (angle(600.0) - angle(0.0)).radians() / 600.0;
    // Ten minutes turn the terms by 2.5°, half of which acts: 3 %; second order is below a per cent.
    assert!((found / expected - 1.0).abs() < 0.04, "{found} {expected}");
}

#[test]
fn a_kick_turns_the_base_and_settling_sinks_it() {
    let home = AxisAngles { first: degrees(-30.0), second: degrees(10.0) };
    let mut mount = switch_on(ideal(Kind::GermanEquatorial, degrees(45.0)), home);
    mount.tripod_kick(Angle::from_arcmin(5.0), Angle::from_arcmin(7.0), after(10.0));
    let chain = kinematics::Chain::new(misaligned(45.0, 5.0, 7.0).geometry);
    let apart = frames::separation(&mount.boresight(after(11.0)), &chain.boresight(home));
    assert!(apart.arcsec() < 1e-6, "the base of a mount so misaligned");

    // A lean to the north by 2′ in the end; after one time constant 1 − 1/e of it.
    let mut sinking = switch_on(ideal(Kind::GermanEquatorial, degrees(45.0)), home);
    let lean = Angle::from_arcmin(2.0);
    sinking.settling(lean, Angle::ZERO, Span::from_whole_seconds(1800), after(0.0));
    let share = 1.0 - units::maths::exp(-1.0);
    let level = kinematics::Chain::new(ideal(Kind::GermanEquatorial, degrees(45.0)).geometry).boresight(home);
    let expected = frames::lean_rotation(lean * share, Angle::ZERO) * level;
    assert!(frames::separation(&sinking.boresight(after(1800.0)), &expected).arcsec() < 1e-6);
}

#[test]
fn rates_of_the_sky() {
    // Turns per 86 164.0989 s.
    assert!((1_296_000.0 / AngularRate::SIDEREAL.arcsec() - 86_164.098_9).abs() < 1e-4);
    // Daylight saving: 1 h is 15.041°.
    assert!((AngularRate::SIDEREAL.degrees() * 3600.0 - 15.041).abs() < 5e-4);
}
