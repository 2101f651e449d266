//! The frames, the base, the chain in both directions, the sides.

mod support;

use kinematics::{
    AxisAngles, AxisEnd, BaseErrors, Branch, Chain, Geometry, HourRange, Kind, Side, base, frames, home,
    tube_side, unwrapped, usual_branch, weights_down,
};
use nalgebra::Vector3;
use proptest::prelude::*;
use support::{arcmin, deg, geometry, perfect, spread};
use units::Angle;

const BRANCHES: [Branch; 2] = [Branch::Direct, Branch::ThroughPole];

fn axes(first: f64, second: f64) -> AxisAngles {
    AxisAngles { first: deg(first), second: deg(second) }
}

#[test]
fn equatorial_directions_turn_into_topocentric_ones_by_the_textbook_formula() {
    for (u, v) in spread(200) {
        let (h, d, p) = (deg(360.0 * u - 180.0), deg(178.0 * v - 89.0), deg(170.0 * (u + v).fract() - 85.0));
        let matrix = frames::equatorial_to_topocentric(p);
        let found = matrix * frames::equatorial_direction(h, d);
        let expected = Vector3::new(
            -d.cos() * h.sin(),
            p.cos() * d.sin() - p.sin() * d.cos() * h.cos(),
            p.sin() * d.sin() + p.cos() * d.cos() * h.cos(),
        );
        // A few roundings of numbers below one.
        assert!((found - expected).norm() < 1e-15);
        assert!((matrix.determinant() - 1.0).abs() < 1e-15);
        let (h2, d2) = frames::hour_and_declination(&matrix.tr_mul(&found));
        assert!(((h2 - h).wrapped_signed().radians() * d.cos()).abs() < 1e-10);
        assert!((d2 - d).radians().abs() < 1e-10);
    }
    assert!((frames::base_to_topocentric().determinant() - 1.0).abs() < 1e-15);
}

#[test]
fn the_chain_of_an_ideal_mount_is_the_definition_of_its_frame() {
    let level = perfect(Kind::AltAzimuth, deg(50.0)).boresight(axes(70.0, 25.0));
    assert!((level - frames::direction(deg(70.0), deg(25.0))).norm() < 1e-15);
    let south = deg(-33.0);
    let polar = perfect(Kind::ForkEquatorial, south).boresight(axes(70.0, -25.0));
    let sky = frames::equatorial_to_topocentric(south) * frames::equatorial_direction(deg(70.0), deg(-25.0));
    assert!((polar - sky).norm() < 1e-15);
}

#[test]
fn azimuth_is_positive_and_hour_angle_is_signed() {
    let (azimuth, altitude) = frames::horizontal(&Vector3::new(-1.0, 0.0, 0.0));
    assert_eq!((azimuth.degrees(), altitude.degrees()), (270.0, 0.0));
    for y in [0.0, -0.0] {
        let (hour, _) = frames::hour_and_declination(&Vector3::new(-1.0, y, 0.0));
        assert_eq!(hour, Angle::HALF);
    }
}

#[test]
fn the_polar_axis_stands_exactly_where_its_errors_say() {
    for latitude in [deg(50.0), deg(-33.0), deg(0.0)] {
        let errors =
            BaseErrors { polar_altitude: deg(2.0), polar_azimuth: deg(-3.0), ..BaseErrors::default() };
        let chain = Chain::new(geometry(Kind::GermanEquatorial, latitude, &errors));
        let (azimuth, altitude) = frames::horizontal(&chain.hour_axis());
        // 1e-9″: exact but for rounding.
        assert!((azimuth.wrapped_signed() - deg(-3.0)).arcsec().abs() < 1e-9);
        assert!((altitude - latitude - deg(2.0)).arcsec().abs() < 1e-9);
    }
}

#[test]
fn a_leaning_base_is_a_polar_error_and_an_hour_offset() {
    let latitude = deg(40.0);
    let gap = |size: f64| {
        let (north, east) = (arcmin(3.0 * size), arcmin(-2.0 * size));
        let leaning = BaseErrors { lean_north: north, lean_east: east, ..BaseErrors::default() };
        let equivalent = BaseErrors {
            polar_altitude: -north,
            polar_azimuth: east * latitude.tan(),
            ..BaseErrors::default()
        };
        let hour_offset = frames::rz(east / latitude.cos());
        (base(Kind::GermanEquatorial, latitude, &leaning)
            - base(Kind::GermanEquatorial, latitude, &equivalent) * hour_offset)
            .norm()
    };
    // The rest is of second order: a quarter for a half, within what third order adds at a few arcminutes.
    let ratio = gap(1.0) / gap(0.5);
    assert!((ratio - 4.0).abs() < 0.02, "{ratio}");
}

#[test]
fn errors_of_the_elevated_end_change_sign_in_the_south() {
    let (high, east) = (deg(0.5), deg(-1.0));
    let total = |latitude, lean_north, lean_east| {
        BaseErrors::from_elevated_end(latitude, high, east, lean_north, lean_east)
            .total_elevated_end(latitude)
    };
    for latitude in [deg(40.0), deg(-40.0), deg(89.7), deg(-89.7), deg(0.0)] {
        let (h, e) = total(latitude, Angle::ZERO, Angle::ZERO);
        // 1e-8″: near the pole the azimuth loses two digits.
        assert!((h - high).arcsec().abs() < 1e-8, "{latitude:?} {}", h.degrees());
        assert!((e - east).arcsec().abs() < 1e-8, "{latitude:?} {}", e.degrees());
    }
    let south = BaseErrors::from_elevated_end(deg(-40.0), high, east, Angle::ZERO, Angle::ZERO);
    assert_eq!((south.polar_altitude, south.polar_azimuth), (-high, -east));
    // A lean to the north lowers the northern end and lifts the southern one.
    let (h, e) = total(deg(-40.0), arcmin(1.0), arcmin(1.0));
    // 0.03′: second order in half a degree and an arcminute, an hour's worth of it in azimuth.
    assert!((h - high - arcmin(1.0)).arcmin().abs() < 0.03);
    assert!((e - east - arcmin(1.0) * deg(40.0).tan()).arcmin().abs() < 0.03);
}

#[test]
fn a_perfect_mount_points_at_one_direction_in_two_ways() {
    let chain = perfect(Kind::GermanEquatorial, deg(50.0));
    let star = chain.boresight(axes(-30.0, 20.0));
    for (branch, expected) in [(Branch::Direct, (-30.0, 20.0)), (Branch::ThroughPole, (150.0, 160.0))] {
        let dials = chain.dials_for(&star, branch).unwrap();
        assert!((dials.first.degrees() - expected.0).abs() < 1e-12);
        assert!((dials.second.degrees() - expected.1).abs() < 1e-12);
    }
}

#[test]
fn caps_round_the_axis_are_out_of_reach() {
    let mut geometry = geometry(Kind::GermanEquatorial, deg(50.0), &BaseErrors::default());
    geometry.axis_skew = arcmin(10.0);
    geometry.cone_error = arcmin(4.0);
    let chain = Chain::new(geometry);
    let near_end = |sign: f64, from_end: f64| {
        geometry.base * frames::equatorial_direction(deg(77.0), (deg(90.0) - arcmin(from_end)) * sign)
    };
    for (sign, cap, end) in [(1.0, 6.0, AxisEnd::Positive), (-1.0, 14.0, AxisEnd::Negative)] {
        for branch in BRANCHES {
            let unreachable = chain.dials_for(&near_end(sign, cap - 0.1), branch).unwrap_err();
            assert_eq!(unreachable.end, end);
            // 1e-6′: the direction is a unit vector to sixteen digits, ten of which are left so near the pole.
            assert!((unreachable.short_by.arcmin() - 0.1).abs() < 1e-6);
            assert!((unreachable.cap.arcmin() - cap).abs() < 1e-9);
            let reached = near_end(sign, cap + 0.1);
            let dials = chain.dials_for(&reached, branch).unwrap();
            assert!(frames::separation(&chain.boresight_from_dials(dials), &reached).arcsec() < 1e-6);
        }
    }
    let message = chain.dials_for(&near_end(1.0, 5.9), Branch::Direct).unwrap_err().to_string();
    assert!(
        message.contains("0.10 arcmin inside the cap of 6.00 arcmin round the north or upper end"),
        "{message}"
    );
}

#[test]
fn the_weight_is_as_high_as_the_latitude_and_the_hour_say() {
    for latitude in [deg(50.0), deg(-35.0)] {
        let chain = perfect(Kind::GermanEquatorial, latitude);
        for hour in [-170.0, -80.0, -10.0, 10.0, 95.0, 190.0] {
            let shaft = chain.second_axis(deg(hour));
            assert!((shaft.z - latitude.cos() * deg(hour).sin()).abs() < 1e-15);
            assert!((shaft.x - deg(hour).cos()).abs() < 1e-15);
            assert_eq!(weights_down(deg(hour)), shaft.z < 0.0);
            let expected = if shaft.x > 0.0 { Side::West } else { Side::East };
            assert_eq!(tube_side(Kind::GermanEquatorial, &shaft), expected);
            assert_eq!(tube_side(Kind::ForkEquatorial, &shaft), Side::None);
        }
    }
}

#[test]
fn home_is_weights_down_along_the_elevated_pole() {
    for latitude in [deg(50.0), deg(-35.0)] {
        let chain = perfect(Kind::GermanEquatorial, latitude);
        let home = home(Kind::GermanEquatorial, latitude);
        assert!(weights_down(home.first));
        assert_eq!(tube_side(Kind::GermanEquatorial, &chain.second_axis(home.first)), Side::None);
        let elevated = chain.hour_axis() * latitude.radians().signum();
        assert!((chain.boresight(home) - elevated).norm() < 1e-15);
    }
}

#[test]
fn dials_are_unwrapped_to_where_the_cable_is() {
    let kind = Kind::GermanEquatorial;
    for (latitude, declination) in [(50.0, 20.0), (-35.0, -20.0)] {
        let chain = perfect(kind, deg(latitude));
        let range = HourRange::german(deg(10.0));
        for hour in [-175.0, -120.0, -30.0, 5.0, 30.0, 120.0, 175.0] {
            let branch = usual_branch(deg(hour));
            let direction = chain.boresight(axes(hour, declination));
            let dials = unwrapped(kind, deg(latitude), chain.dials_for(&direction, branch).unwrap(), branch);
            assert_eq!(range.beyond(dials.first), Angle::ZERO, "{hour}");
            let expected = match branch {
                Branch::Direct => (hour, declination),
                Branch::ThroughPole => (hour - 180.0, declination.signum() * 180.0 - declination),
            };
            assert!((dials.first.degrees() - expected.0).abs() < 1e-9, "{hour}");
            assert!((dials.second.degrees() - expected.1).abs() < 1e-9, "{hour}");
        }
        assert!((range.beyond(deg(12.0)).degrees() - 2.0).abs() < 1e-12);
        assert!((range.beyond(deg(-191.0)).degrees() + 1.0).abs() < 1e-12);
        assert!((range.room(deg(-80.0)).degrees() - 90.0).abs() < 1e-12);
    }
    let turned = unwrapped(Kind::AltAzimuth, deg(50.0), axes(200.0, 30.0), Branch::Direct);
    assert!((turned.first.degrees() + 160.0).abs() < 1e-12);
}

#[test]
fn flexure_keeps_the_azimuth_and_lowers_by_the_cosine_of_the_altitude() {
    let kind = Kind::AltAzimuth;
    let mut geometry = geometry(kind, deg(50.0), &BaseErrors::default());
    geometry.tube_flexure = deg(1.5);
    let chain = Chain::new(geometry);
    for (azimuth, altitude) in [(10.0, 0.0), (200.0, 45.0), (300.0, 89.9), (120.0, -60.0)] {
        let (a, h) = frames::horizontal(&chain.boresight(axes(azimuth, altitude)));
        assert!((a.degrees() - azimuth).abs() < 1e-10);
        let expected = deg(altitude) - deg(1.5) * deg(altitude).cos();
        assert!((h - expected).arcsec().abs() < 1e-9);
    }
    // At the zenith nothing sags, and nothing is divided by zero.
    assert!((chain.boresight(axes(10.0, 90.0)) - Vector3::z()).norm() < 1e-15);
}

#[test]
fn a_field_turns_with_the_tube_and_its_first_column_is_the_boresight() {
    for (u, v) in spread(100) {
        let chain = Chain::new(worst_geometry(Kind::GermanEquatorial, 40.0, u, v));
        let at = axes(360.0 * v - 180.0, 360.0 * u - 180.0);
        let frame = chain.field_frame(at);
        assert!((frame.column(0) - chain.boresight(at)).norm() < 1e-14);
        assert!((frame.tr_mul(&frame) - nalgebra::Matrix3::identity()).norm() < 1e-14);
    }
    // Direct, looking south from the north: the lateral direction is that of the counterweight, east, and up is north.
    let frame = perfect(Kind::GermanEquatorial, deg(50.0)).field_frame(axes(0.0, 0.0));
    assert!((frame.column(1) - Vector3::x()).norm() < 1e-15);
    assert!((frame.column(2) - perfect(Kind::GermanEquatorial, deg(50.0)).hour_axis()).norm() < 1e-15);
}

#[test]
fn offsets_have_the_great_circle_as_length_and_the_bearing_as_direction() {
    let pole = Vector3::z();
    let place = |ra: f64, dec: f64| frames::equatorial_direction(deg(-ra), deg(dec));
    let (east, north) = frames::tangent_offset(&place(30.0, 50.0), &place(30.0, 51.0), &pole);
    assert!(east.arcsec().abs() < 1e-9 && (north.degrees() - 1.0).abs() < 1e-12);
    let (east, north) = frames::tangent_offset(&place(30.0, 0.0), &place(32.0, 0.0), &pole);
    assert!((east.degrees() - 2.0).abs() < 1e-12 && north.arcsec().abs() < 1e-9);
    // Past a right angle too, and to the opposite point.
    let (east, _) = frames::tangent_offset(&place(30.0, 0.0), &place(170.0, 0.0), &pole);
    assert!((east.degrees() - 140.0).abs() < 1e-12);
    let (_, north) = frames::tangent_offset(&Vector3::x(), &-Vector3::x(), &pole);
    assert_eq!(north, Angle::HALF);
    // At the pole itself there is a length all the same.
    let (east, north) = frames::tangent_offset(&pole, &place(0.0, 89.0), &pole);
    assert!(
        ((east * east.radians() + north * north.radians()).radians().sqrt() - deg(1.0).radians()).abs()
            < 1e-12
    );
    // Small ones keep their digits: 1e-4″ to a millionth of itself.
    let (_, north) = frames::tangent_offset(&place(30.0, 50.0), &place(30.0, 50.0 + 1e-4 / 3600.0), &pole);
    assert!((north.arcsec() - 1e-4).abs() < 1e-9);
}

#[test]
fn flip_signature_tells_cone_from_skew_from_zero() {
    type Change = fn(&mut Geometry, &mut BaseErrors, Angle);
    let latitude = deg(45.0);
    let (hour, declination) = (-20.0, 35.0);
    let second = Angle::from_arcsec(1.0);
    let reading = |change: Change| {
        let mut errors = BaseErrors::default();
        let mut changed = geometry(Kind::GermanEquatorial, latitude, &errors);
        change(&mut changed, &mut errors, second);
        changed.base = base(Kind::GermanEquatorial, latitude, &errors);
        let chain = Chain::new(changed);
        let sky = |dials| {
            let s = frames::equatorial_to_topocentric(latitude).tr_mul(&chain.boresight_from_dials(dials));
            frames::hour_and_declination(&s)
        };
        let (h1, d1) = sky(axes(hour, declination));
        let (h2, d2) = sky(axes(hour + 180.0, 180.0 - declination));
        ((h1 - h2).arcsec(), (d1 - d2).arcsec())
    };
    let d = deg(declination);
    let cases: [(f64, f64, Change); 6] = [
        (-2.0 / d.cos(), 0.0, |g, _, x| g.cone_error = x),
        (2.0 * d.tan(), 0.0, |g, _, x| g.axis_skew = x),
        (0.0, 2.0, |g, _, x| g.zero_second = x),
        (0.0, 0.0, |g, _, x| g.zero_first = x),
        (0.0, 0.0, |_, e, x| e.polar_altitude = x),
        (0.0, 0.0, |_, e, x| e.polar_azimuth = x),
    ];
    for (index, (hours, declinations, change)) in cases.into_iter().enumerate() {
        let found = reading(change);
        // 1e-4″: the second order of an arcsecond is 5e-6″.
        assert!((found.0 - hours).abs() < 1e-4, "{index}: {found:?}");
        assert!((found.1 - declinations).abs() < 1e-4, "{index}: {found:?}");
    }
}

#[test]
fn a_skewed_polar_axis_drifts_by_the_first_order_rule() {
    // The first-order rates of a mount that turns exactly at the stars' rate: north −ω(A cos φ cos H + a sin H), east
    // −ω sin δ (a cos H − A cos φ sin H). At φ = 45°, H = 0, δ = 0 an axis 1′ east of the pole lets a star drift 11.14″ south in
    // an hour; at H = −90° an axis 1′ too high lets it drift 15.75″ north.
    // The chain is asked at a sixtieth of the errors, so that their second order, 0.02″ per hour, is out of the way.
    let drift = |latitude: f64, hour: f64, declination: f64, a: f64, big_a: f64| {
        let errors = BaseErrors {
            polar_altitude: Angle::from_arcsec(a),
            polar_azimuth: Angle::from_arcsec(big_a),
            ..BaseErrors::default()
        };
        let latitude = deg(latitude);
        let chain = Chain::new(geometry(Kind::GermanEquatorial, latitude, &errors));
        let sky = frames::equatorial_to_topocentric(latitude);
        let star = |h: f64| sky * frames::equatorial_direction(deg(h), deg(declination));
        let dials = chain.dials_for(&star(hour), Branch::Direct).unwrap();
        let pole = sky.column(2).into_owned();
        // Half a minute either way, at the sidereal rate, gives the rate in the middle.
        let offset = |seconds: f64| {
            let turn = units::AngularRate::SIDEREAL.radians() * seconds;
            let boresight = chain.boresight(AxisAngles {
                first: dials.first + Angle::from_radians(turn),
                second: dials.second,
            });
            let target = star(hour + turn.to_degrees());
            frames::tangent_offset(&boresight, &target, &pole)
        };
        let (before, after) = (offset(-30.0), offset(30.0));
        let per_hour = |minute: Angle| minute.arcsec() * 60.0 * 60.0;
        (per_hour(after.0 - before.0), per_hour(after.1 - before.1))
    };
    // 0.006: half of the last digit printed for the first two.
    let close = |found: (f64, f64), east: f64, north: f64| {
        assert!((found.0 - east).abs() < 0.006 && (found.1 - north).abs() < 0.006, "{found:?}");
    };
    close(drift(45.0, 0.0, 0.0, 0.0, 1.0), 0.0, -11.14);
    close(drift(45.0, -90.0, 0.0, 1.0, 0.0), 0.0, 15.75);
    close(drift(50.0, 30.0, 20.0, 2.0, -3.0), -14.525, 10.553);
}

/// Every error of the chain at once, up to several degrees, from two numbers in (0, 1).
fn worst_geometry(kind: Kind, latitude: f64, u: f64, v: f64) -> Geometry {
    let part = |shift: f64| 2.0 * (u + shift * (v + 0.1)).fract() - 1.0;
    let errors = BaseErrors {
        polar_altitude: deg(4.0 * part(1.0)),
        polar_azimuth: deg(5.0 * part(2.0)),
        lean_north: deg(2.0 * part(3.0)),
        lean_east: deg(2.0 * part(4.0)),
    };
    Geometry {
        zero_first: deg(3.0 * part(5.0)),
        zero_second: deg(3.0 * part(6.0)),
        axis_skew: deg(part(7.0)),
        cone_error: deg(2.0 * part(8.0)),
        cone_droop: 0.0,
        tube_flexure: deg(part(9.0)),
        ..geometry(kind, deg(latitude), &errors)
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(2000) })]

    #[test]
    fn both_solutions_lead_back(
        u in 0.0..1.0, v in 0.0..1.0, latitude in -89.0..89.0, first in -180.0..180.0, z in -0.995..0.995, kind in 0..3,
        droop in -3e-3..3e-3,
    ) {
        let kind = [Kind::GermanEquatorial, Kind::ForkEquatorial, Kind::AltAzimuth][kind as usize];
        let mut geometry = worst_geometry(kind, latitude, u, v);
        geometry.cone_droop = if u < 0.5 { 0.0 } else { droop };
        let chain = Chain::new(geometry);
        let direction = frames::direction(deg(first), Angle::from_radians(units::maths::asin(z)));
        for branch in BRANCHES {
            // Only a direction near the first axis may be refused: skew and cone are three degrees at most, flexure one.
            let from_axis = frames::separation(&chain.hour_axis(), &direction);
            let from_axis = from_axis.min(Angle::HALF - from_axis);
            match chain.dials_for(&direction, branch) {
                Ok(dials) => {
                    let found = chain.boresight_from_dials(dials);
                    prop_assert!(frames::separation(&found, &direction).arcsec() < 1e-6);
                    prop_assert!(dials.first.abs() <= Angle::HALF && dials.second.abs() <= Angle::HALF);
                }
                Err(_) => prop_assert!(from_axis < deg(4.5)),
            }
        }
    }

    #[test]
    fn near_the_axis_the_cap_decides(
        u in 0.0..1.0, v in 0.0..1.0, around in 0.0..360.0, log_arcsec in -2.0..4.0, south in any::<bool>(),
        droop in prop::option::of(-1e-3..1e-3),
    ) {
        let geometry = Geometry {
            tube_flexure: Angle::ZERO,
            cone_droop: droop.unwrap_or(0.0),
            ..worst_geometry(Kind::GermanEquatorial, 40.0, u, v)
        };
        let chain = Chain::new(geometry);
        let from_end = Angle::from_arcsec(units::maths::pow(10.0, log_arcsec));
        let sign = if south { -1.0 } else { 1.0 };
        let on_base = frames::equatorial_direction(deg(around), (Angle::QUARTER - from_end) * sign);
        let direction = geometry.base * on_base;
        let cap = (geometry.axis_skew - geometry.cone_error * sign).abs();
        for branch in BRANCHES {
            match chain.dials_for(&direction, branch) {
                Ok(dials) => {
                    let found = chain.boresight_from_dials(dials);
                    prop_assert!(frames::separation(&found, &direction).arcsec() < 1e-6);
                }
                Err(unreachable) => {
                    // 1e-9 rad: rounding; and the cap itself moves by a droop.
                    let spare = Angle::from_radians(1e-9 + droop.unwrap_or(0.0).abs());
                    prop_assert!(from_end < cap + spare);
                    prop_assert!((unreachable.cap - cap).abs() < spare);
                    prop_assert!((unreachable.short_by - (unreachable.cap - from_end)).abs() < spare);
                }
            }
        }
    }

    #[test]
    fn without_errors_forward_and_inverse_are_the_identity(
        latitude in -89.0..89.0, hour in -180.0..180.0, declination in -89.0..89.0,
    ) {
        for kind in [Kind::GermanEquatorial, Kind::AltAzimuth] {
            let chain = perfect(kind, deg(latitude));
            let sky = chain.boresight(axes(hour, declination));
            let dials = chain.dials_for(&sky, Branch::Direct).unwrap();
            // 1e-9″ on the sky: the hour by the cosine of the declination.
            let hours = (dials.first - deg(hour)).wrapped_signed().arcsec() * deg(declination).cos();
            prop_assert!(hours.abs() < 1e-9);
            prop_assert!((dials.second - deg(declination)).arcsec().abs() < 1e-9);
        }
    }
}
