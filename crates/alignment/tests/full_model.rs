//! The full model: what exact stars give back, and what the method's own limits are.

mod common;

use alignment::parameters::{
    AXIS_EAST, AXIS_SKEW, AXIS_UP, CONE, FIRST_ZERO, FLEXURE, Frame, SECOND_ZERO, Vector7,
};
use alignment::rows::Prepared;
use alignment::{Method, Priors, Sighting, fit};
use common::{Draws, Truth, arcmin, arcsec, deg, place};
use kinematics::first_order::{AltAzimuthTerm, EquatorialTerm};
use kinematics::{AxisAngles, Branch, Kind, frames};
use nalgebra::Vector3;
use units::Angle;

const BOTH_SIDES: [(f64, f64, Branch); 6] = [
    (-60.0, 5.0, Branch::Direct),
    (-35.0, 50.0, Branch::Direct),
    (-15.0, -10.0, Branch::Direct),
    (20.0, 60.0, Branch::ThroughPole),
    (40.0, 0.0, Branch::ThroughPole),
    (65.0, 35.0, Branch::ThroughPole),
];

fn sighted(truth: &Truth, stars: &[(f64, f64, Branch)]) -> Vec<Sighting> {
    stars.iter().map(|&(first, second, branch)| truth.sight(first, second, branch)).collect()
}

fn term(model: &alignment::Model, name: &str) -> Angle {
    model.terms().iter().find(|term| term.name == name).expect("a term of this name").value
}

/// Six exact stars on both sides give back six terms to 1e-6′ and place a new target within 0.05″ either side.
#[test]
fn six_exact_stars_on_both_sides_give_back_every_term() {
    let truth = Truth::crooked();
    let model =
        fit(Method::ManyStar, truth.kind, truth.latitude(), &Priors::open(), &sighted(&truth, &BOTH_SIDES))
            .expect("a model");
    let expected = [
        ("polar axis altitude", 25.0),
        ("polar axis azimuth", -40.0),
        ("hour zero", 30.0),
        ("declination zero", -20.0),
        ("axis skew", 4.0),
        ("cone error", 10.0),
        ("tube flexure", 0.0),
    ];
    for (name, arcmin) in expected {
        let off = term(&model, name).arcmin() - arcmin;
        assert!(off.abs() < 1e-6, "{name}: off by {off}′");
    }
    for branch in [Branch::Direct, Branch::ThroughPole] {
        let target = place(truth.kind, 50.0, 10.0, 25.0);
        let there = truth.chain().boresight_from_dials(model.dials_for(&target, branch).expect("reachable"));
        assert!(frames::separation(&there, &target).arcsec() < 0.05);
    }
    assert!(model.residual_rms().expect("sightings").arcsec() < 1e-5);
    assert!(model.terms().iter().all(|term| term.determined));
}

/// The same in the south, where the elevated end is the southern one, and for the mount that points by azimuth and altitude.
#[test]
fn other_hemisphere_and_other_kind_are_given_back_too() {
    let south = Truth { latitude: -35.0, polar_altitude: -12.0, flexure: 1.5, ..Truth::crooked() };
    let model = fit(Method::ManyStar, south.kind, south.latitude(), &Priors::open(), &{
        let mirrored: Vec<_> = BOTH_SIDES.iter().map(|&(h, d, b)| (h, -d, b)).collect();
        sighted(&south, &mirrored)
    })
    .expect("a model");
    // North end 12′ too low and 40′ too far west: the elevated southern end 12′ too high and 40′ too far east.
    for (name, arcmin) in [
        ("polar axis altitude", 12.0),
        ("polar axis azimuth", 40.0),
        ("hour zero", 30.0),
        ("cone error", 10.0),
        ("tube flexure", 1.5),
    ] {
        assert!((term(&model, name).arcmin() - arcmin).abs() < 1e-6, "{name}");
    }
    let level = Truth {
        zero_first: 100.0,
        zero_second: -20.0,
        lean_north: 18.0,
        lean_east: -11.0,
        skew: 4.0,
        cone: 10.0,
        flexure: 2.0,
        ..Truth::perfect(Kind::AltAzimuth, 50.0)
    };
    // An altitude axis that passes over the zenith: otherwise cone, skew and zeros are too much alike to come back so exactly.
    let stars = [
        (20.0, 30.0, Branch::Direct),
        (110.0, 50.0, Branch::Direct),
        (190.0, 25.0, Branch::Direct),
        (260.0, 65.0, Branch::ThroughPole),
        (320.0, 35.0, Branch::ThroughPole),
        (70.0, 20.0, Branch::ThroughPole),
    ];
    let model =
        fit(Method::ManyStar, level.kind, level.latitude(), &Priors::open(), &sighted(&level, &stars))
            .expect("a model");
    for (name, arcmin) in [
        ("azimuth zero", 100.0),
        ("altitude zero", -20.0),
        ("base lean north", 18.0),
        ("base lean east", -11.0),
        ("axis skew", 4.0),
        ("cone error", 10.0),
        ("tube flexure", 2.0),
    ] {
        assert!((term(&model, name).arcmin() - arcmin).abs() < 1e-6, "{name}");
    }
}

/// A pure rotation of the base of any size is removed entirely by two exact stars.
#[test]
fn two_exact_stars_remove_any_rotation() {
    for (altitude, azimuth, zero) in [(25.0, -40.0, 30.0), (600.0, 2000.0, -900.0), (-1200.0, 5000.0, 3000.0)]
    {
        let truth = Truth {
            polar_altitude: altitude,
            polar_azimuth: azimuth,
            zero_first: zero,
            lean_north: 40.0,
            lean_east: -30.0,
            ..Truth::perfect(Kind::GermanEquatorial, 50.0)
        };
        let stars = sighted(&truth, &[(-55.0, 10.0, Branch::Direct), (25.0, 55.0, Branch::ThroughPole)]);
        let priors = Priors::usual(truth.kind, truth.latitude());
        let model = fit(Method::TwoStar, truth.kind, truth.latitude(), &priors, &stars).expect("a model");
        let mut draws = Draws::new(5);
        for _ in 0..50 {
            let target = draws.anywhere();
            for branch in [Branch::Direct, Branch::ThroughPole] {
                let dials = model.dials_for(&target, branch).expect("reachable");
                let there = truth.chain().boresight_from_dials(dials);
                // A millionth of an arcsecond: rounding of unit vectors through two chains.
                assert!(frames::separation(&there, &target).arcsec() < 1e-6);
            }
        }
    }
}

/// The star that set the zeros stands in the middle afterwards, on a mount with every error, by either branch.
#[test]
fn one_star_stands_where_it_was_sighted() {
    let truth = Truth::crooked();
    for branch in [Branch::Direct, Branch::ThroughPole] {
        let star = truth.sight(-30.0, 20.0, branch);
        let priors = Priors::usual(truth.kind, truth.latitude());
        let model = fit(Method::OneStar, truth.kind, truth.latitude(), &priors, std::slice::from_ref(&star))
            .expect("a model");
        let there =
            truth.chain().boresight_from_dials(model.dials_for(&star.direction, branch).expect("reachable"));
        assert!(frames::separation(&there, &star.direction).arcsec() < 1e-6);
        let predicted = model.predicted_error(&star.direction, branch).expect("reachable").rms();
        let far = model
            .predicted_error(&place(truth.kind, 50.0, 40.0, 70.0), Branch::ThroughPole)
            .expect("reachable");
        // At the star: centring and gears, each twice (once then, once now). Far from it the axis and the cone count.
        assert!(predicted < arcmin(3.0), "{}′", predicted.arcmin());
        assert!(far.rms() > arcmin(20.0));
    }
}

/// With wide priors and exact stars the number of steps doesn't matter; with an hour of daylight saving the widened
/// prior still leaves no pull: 15° of hour zero come back to an arcsecond.
#[test]
fn an_hour_of_daylight_saving_is_absorbed_by_the_hour_zero() {
    let truth = Truth {
        zero_first: 15.041 * 60.0,
        polar_azimuth: 30.0,
        ..Truth::perfect(Kind::GermanEquatorial, 50.0)
    };
    let priors = Priors::usual(truth.kind, truth.latitude());
    let stars = sighted(&truth, &BOTH_SIDES[..3]);
    let model = fit(Method::ManyStar, truth.kind, truth.latitude(), &priors, &stars).expect("a model");
    let target = place(truth.kind, 50.0, -20.0, 30.0);
    let there =
        truth.chain().boresight_from_dials(model.dials_for(&target, Branch::Direct).expect("reachable"));
    // 1′: the sightings' own sigma; the priors of cone and skew share a little of what three stars on one side show.
    assert!(frames::separation(&there, &target) < arcmin(1.0));
}

/// The chain is written once more in this crate, for its derivatives; it must be the chain of `kinematics`.
#[test]
fn the_chain_here_is_the_chain_of_kinematics() {
    let mut draws = Draws::new(6);
    for kind in [Kind::GermanEquatorial, Kind::ForkEquatorial, Kind::AltAzimuth] {
        for _ in 0..200 {
            let frame = Frame::new(kind, deg(draws.uniform() * 180.0 - 90.0));
            let terms = Vector7::from_fn(|_, _| draws.normal() * 0.05);
            let dials =
                AxisAngles { first: deg(draws.normal() * 100.0), second: deg(draws.normal() * 100.0) };
            let here = Prepared::new(&frame, &terms).direction(dials);
            let there = frame.chain(&terms).boresight_from_dials(dials);
            assert!((here - there).norm() < 1e-14);
        }
    }
}

/// The exact derivatives against central differences: their error falls as the square of the step, 1e-9 at a step of 1e-5.
#[test]
fn derivatives_are_those_of_the_exact_chain() {
    let mut draws = Draws::new(7);
    for kind in [Kind::GermanEquatorial, Kind::AltAzimuth] {
        for _ in 0..100 {
            let frame = Frame::new(kind, deg(50.0));
            let terms = Vector7::from_fn(|_, _| draws.normal() * 0.05);
            let dials = AxisAngles { first: deg(draws.normal() * 60.0), second: deg(draws.normal() * 40.0) };
            let columns = Prepared::new(&frame, &terms).linearised(dials).columns;
            for k in 0..7 {
                let mut step = Vector7::zeros();
                step[k] = 1e-5;
                let difference = Prepared::new(&frame, &(terms + step)).direction(dials)
                    - Prepared::new(&frame, &(terms - step)).direction(dials);
                let column: Vector3<f64> = columns.column(k).into();
                assert!((difference / 2e-5 - column).norm() < 1e-9, "{kind:?} term {k}");
            }
        }
    }
}

/// Rotation as swing and twist: there and back, for rotations of any size.
#[test]
fn every_rotation_is_a_swing_and_a_twist() {
    let mut draws = Draws::new(8);
    for kind in [Kind::GermanEquatorial, Kind::AltAzimuth] {
        for _ in 0..200 {
            let frame = Frame::new(kind, deg(draws.uniform() * 180.0 - 90.0));
            let whole = alignment::parameters::rotation(&(draws.anywhere() * (draws.uniform() * 3.0)))
                * frame.nominal;
            let terms = frame.terms_of_rotation(&whole);
            let back = frame.base(&terms) * frames::rz(-Angle::from_radians(terms[FIRST_ZERO]));
            assert!((back - whole).amax() < 1e-13);
        }
    }
}

/// The rows at zero error are the on-sky rows of the first-order table, with the swing to the east in place of azimuth.
#[test]
fn rows_of_a_perfect_mount_are_the_first_order_table() {
    let latitude = deg(50.0);
    let frame = Frame::new(Kind::GermanEquatorial, latitude);
    let prepared = Prepared::new(&frame, &Vector7::zeros());
    let mut draws = Draws::new(9);
    for _ in 0..200 {
        let (hour, declination) = (deg(draws.uniform() * 300.0 - 150.0), deg(draws.uniform() * 160.0 - 80.0));
        for branch in [Branch::Direct, Branch::ThroughPole] {
            let direction = place(Kind::GermanEquatorial, 50.0, hour.degrees(), declination.degrees());
            let dials = frame.chain(&Vector7::zeros()).dials_for(&direction, branch).expect("perfect");
            let rows = prepared.rows(dials, &frame.axis());
            let on_sky = |term: EquatorialTerm| {
                let (dh, dd) = term.row(latitude, hour, declination, branch);
                // East is against the hour angle.
                (-dh * declination.cos(), dd)
            };
            let azimuth = on_sky(EquatorialTerm::PolarAzimuth);
            let zero = on_sky(EquatorialTerm::HourZero);
            // ΔA = swing/cos φ and −sin φ of it in the hour zero.
            let east = (
                (azimuth.0 - latitude.sin() * zero.0) / latitude.cos(),
                (azimuth.1 - latitude.sin() * zero.1) / latitude.cos(),
            );
            for (index, expected) in [
                (FIRST_ZERO, zero),
                (SECOND_ZERO, on_sky(EquatorialTerm::DeclinationZero)),
                (AXIS_EAST, east),
                (AXIS_UP, on_sky(EquatorialTerm::PolarAltitude)),
                (AXIS_SKEW, on_sky(EquatorialTerm::AxisSkew)),
                (CONE, on_sky(EquatorialTerm::ConeError)),
                (FLEXURE, on_sky(EquatorialTerm::TubeFlexure)),
            ] {
                assert!((rows[(0, index)] - expected.0).abs() < 1e-12, "term {index}, east");
                assert!((rows[(1, index)] - expected.1).abs() < 1e-12, "term {index}, north");
            }
        }
    }
}

/// The same for azimuth and altitude: the lean of the base is both polar terms.
#[test]
fn rows_of_a_perfect_level_mount_are_the_first_order_table() {
    let frame = Frame::new(Kind::AltAzimuth, deg(50.0));
    let prepared = Prepared::new(&frame, &Vector7::zeros());
    let mut draws = Draws::new(10);
    for _ in 0..200 {
        let (azimuth, altitude) = (deg(draws.uniform() * 360.0), deg(draws.uniform() * 85.0));
        for branch in [Branch::Direct, Branch::ThroughPole] {
            let dials = frame
                .chain(&Vector7::zeros())
                .dials_for(&frames::direction(azimuth, altitude), branch)
                .expect("perfect");
            // About the zenith east is the sense in which azimuth grows and north is up: against tangents of azimuth the
            // sign turns, since azimuth runs the other way round than hour angle does round the north pole.
            let rows = prepared.rows(dials, &Vector3::z());
            for (index, term) in [
                (FIRST_ZERO, AltAzimuthTerm::AzimuthZero),
                (SECOND_ZERO, AltAzimuthTerm::AltitudeZero),
                (AXIS_EAST, AltAzimuthTerm::LeanEast),
                (AXIS_UP, AltAzimuthTerm::LeanNorth),
                (AXIS_SKEW, AltAzimuthTerm::AxisSkew),
                (CONE, AltAzimuthTerm::ConeError),
                (FLEXURE, AltAzimuthTerm::TubeFlexure),
            ] {
                let (da, dh) = term.row(azimuth, altitude, branch);
                assert!((rows[(0, index)] + da * altitude.cos()).abs() < 1e-12, "term {index}, sideways");
                assert!((rows[(1, index)] - dh).abs() < 1e-12, "term {index}, up");
            }
        }
    }
}

/// A gross outlier among many is out-voted or named, never believed.
#[test]
fn the_robust_fit_lets_a_moderate_outlier_pull_less() {
    let truth = Truth::crooked();
    let mut stars = sighted(&truth, &BOTH_SIDES);
    let good = fit(Method::ManyStar, truth.kind, truth.latitude(), &Priors::open(), &stars).expect("a model");
    // Four sigma off: inside what is tolerated, outside what is normal.
    let (east, _) = alignment::rows::tangents(&stars[2].direction, &Vector3::z());
    stars[2].direction = (stars[2].direction + east * arcsec(240.0).radians()).normalize();
    let priors = Priors::usual(truth.kind, truth.latitude());
    let model = fit(Method::ManyStar, truth.kind, truth.latitude(), &priors, &stars).expect("a model");
    let target = place(truth.kind, 50.0, 40.0, 30.0);
    let shift = frames::separation(
        &good.direction_for(good.dials_for(&target, Branch::ThroughPole).expect("reachable")),
        &good.direction_for(model.dials_for(&target, Branch::ThroughPole).expect("reachable")),
    );
    assert!(shift < arcsec(120.0), "{}″", shift.arcsec());
}
