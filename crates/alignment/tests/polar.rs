//! Adjusting the polar axis: by the bolts, and by drift.

mod common;

use alignment::drift::{
    Drift, Watched, altitude_from_side_star, axis_from_drift, azimuth_from_meridian_star, drift_of_axis,
    drift_of_refraction, watching_time,
};
use alignment::parameters::{AXIS_SKEW, CONE, FIRST_ZERO, FLEXURE, Frame, SECOND_ZERO, Vector7};
use alignment::polar::{
    LEAST_BOLT_SHARE, PolarError, bolt_columns, bolt_share, bolt_turns, bolts_to_centre, left_by_centring,
    turned_by_bolts,
};
use alignment::{Method, Model, Priors, fit};
use common::{Draws, Truth, arcmin, arcsec, deg, place};
use kinematics::{AxisAngles, BaseErrors, Branch, Chain, Geometry, Kind, base, frames};
use nalgebra::Matrix2;
use units::{Angle, AngularRate};

fn exact_model(truth: &Truth) -> Model {
    let stars: Vec<_> =
        [(-60.0, 5.0), (-35.0, 50.0), (-15.0, -10.0), (20.0, 60.0), (40.0, 0.0), (65.0, 35.0)]
            .iter()
            .map(|&(h, d)| {
                let d = if truth.latitude < 0.0 { -d } else { d };
                truth.sight(h, d, if h < 0.0 { Branch::Direct } else { Branch::ThroughPole })
            })
            .collect();
    fit(Method::ManyStar, truth.kind, truth.latitude(), &Priors::open(), &stars).expect("a model")
}

/// A case computed beforehand with another program of ours: Δa = 25′, ΔA = −40′, φ = 50°, star at (−5°, 15°): it stands +34.900′ in azimuth and +24.735′ in altitude
/// from the boresight, 31.959′ on the sky.
#[test]
fn the_bolt_case() {
    let truth =
        Truth { polar_altitude: 25.0, polar_azimuth: -40.0, ..Truth::perfect(Kind::GermanEquatorial, 50.0) };
    let model = exact_model(&truth);
    let star = place(truth.kind, 50.0, -5.0, 15.0);
    let dials = model.dials_for_bolts(&star, Branch::Direct).expect("a good place");
    let boresight = truth.chain().boresight_from_dials(dials);
    let (star_azimuth, star_altitude) = frames::horizontal(&star);
    let (azimuth, altitude) = frames::horizontal(&boresight);
    // 0.001′: the printed digits.
    assert!(((star_azimuth - azimuth).wrapped_signed().arcmin() - 34.900).abs() < 1e-3);
    assert!(((star_altitude - altitude).arcmin() - 24.735).abs() < 1e-3);
    assert!((frames::separation(&star, &boresight).arcmin() - 31.959).abs() < 1e-3);

    let (up, east) = bolts_to_centre(truth.latitude(), &boresight, &star).expect("a good place");
    // To first order minus the errors. The turns don't commute and the base's own axes are tilted by them: 40′·25′ is 0.3′.
    assert!((up.arcmin() + 25.0).abs() < 0.4, "{}", up.arcmin());
    assert!((east.arcmin() - 40.0).abs() < 0.6, "{}", east.arcmin());
    assert!(frames::separation(&turned_by_bolts(&boresight, up, east), &star).arcsec() < 1e-6);
}

/// Two passes of centring with the bolts bring even a large error down to what the second order leaves: arcseconds.
#[test]
fn passes_of_the_bolt_routine_converge_in_both_hemispheres() {
    for latitude in [50.0, -33.0] {
        let mut truth = Truth { latitude, polar_altitude: 60.0, polar_azimuth: -90.0, ..Truth::crooked() };
        let mut left = Vec::new();
        for _ in 0..3 {
            let model = exact_model(&truth);
            left.push(model.polar_axis().expect("equatorial").distance);
            let star = place(truth.kind, latitude, -8.0, if latitude < 0.0 { -5.0 } else { 15.0 });
            let dials = model.dials_for_bolts(&star, Branch::Direct).expect("a good place");
            let boresight = truth.chain().boresight_from_dials(dials);
            let (up, east) = bolts_to_centre(truth.latitude(), &boresight, &star).expect("a good place");
            // The bolts of a level base turn exactly these two angles.
            truth.polar_altitude += up.arcmin();
            truth.polar_azimuth += east.arcmin();
        }
        assert!(left[0] > deg(1.0));
        assert!(left[1] < arcmin(3.0), "{}′", left[1].arcmin());
        assert!(left[2] < arcsec(2.0), "{}″", left[2].arcsec());
    }
}

/// |determinant| = |North component| = |cos h cos A|; impossible due east and west and at the zenith.
#[test]
fn bolts_act_by_the_north_component_of_the_star() {
    let mut draws = Draws::new(60);
    for _ in 0..200 {
        let star = draws.anywhere();
        let (azimuth, altitude) = frames::horizontal(&star);
        let (east, north) = alignment::rows::tangents(&star, &nalgebra::Vector3::z());
        let (up, over) = bolt_columns(&star);
        let determinant =
            Matrix2::new(east.dot(&up), east.dot(&over), north.dot(&up), north.dot(&over)).determinant();
        assert!((determinant.abs() - star.y.abs()).abs() < 1e-12);
        assert!((bolt_share(&star) - (altitude.cos() * azimuth.cos()).abs()).abs() < 1e-12);
    }
    let model = exact_model(&Truth::crooked());
    for (azimuth, altitude) in [(90.0, 30.0), (270.0, 50.0), (180.0, 89.0)] {
        let star = frames::direction(deg(azimuth), deg(altitude));
        let refused = model.dials_for_bolts(&star, Branch::Direct).expect_err("a bad place");
        assert!(matches!(refused, PolarError::BadPlace { share } if share < LEAST_BOLT_SHARE), "{refused}");
        assert!(bolts_to_centre(deg(50.0), &star, &star).is_err());
    }
    let level = Model::unaligned(Kind::AltAzimuth, deg(50.0));
    assert_eq!(level.polar_axis(), Err(PolarError::NoPolarAxis));
}

/// What centring leaves, against a Monte Carlo of the routine on a mount that is otherwise known exactly.
#[test]
fn centring_leaves_what_is_promised() {
    let star = place(Kind::GermanEquatorial, 50.0, -5.0, 15.0);
    let centring = arcmin(2.0);
    let (altitude, azimuth) = left_by_centring(&star, centring).expect("a good place");
    let mut draws = Draws::new(61);
    let (mut up2, mut east2) = (0.0, 0.0);
    const TRIALS: usize = 4000;
    for _ in 0..TRIALS {
        let seen = draws.blurred(&star, centring);
        let (up, east) = bolts_to_centre(deg(50.0), &seen, &star).expect("a good place");
        up2 += up.radians() * up.radians() / TRIALS as f64;
        east2 += east.radians() * east.radians() / TRIALS as f64;
    }
    // A standard deviation from 4000 trials scatters by 1.1 %.
    assert!((up2.sqrt() / altitude.radians() - 1.0).abs() < 0.04);
    assert!((east2.sqrt() / azimuth.radians() - 1.0).abs() < 0.04);
    assert!((bolt_turns(arcmin(40.0), deg(1.0)) - 40.0 / 60.0).abs() < 1e-12);
}

/// After the bolts the model expects the axis at the pole, and a re-sighted star confirms it.
#[test]
fn re_sighting_after_the_bolts() {
    let truth = Truth::crooked();
    let model = exact_model(&truth);
    let star = place(truth.kind, 50.0, -5.0, 15.0);
    let dials = model.dials_for_bolts(&star, Branch::Direct).expect("a good place");
    let boresight = truth.chain().boresight_from_dials(dials);
    let (up, east) = bolts_to_centre(truth.latitude(), &boresight, &star).expect("a good place");
    // Locking shifts the axis by a few arcminutes more.
    let adjusted = Truth {
        polar_altitude: truth.polar_altitude + up.arcmin() + 3.0,
        polar_azimuth: truth.polar_azimuth + east.arcmin() - 4.0,
        ..truth
    };
    let priors = model.after_bolts(&star, Branch::Direct, arcmin(1.0), arcmin(5.0)).expect("a good place");
    let stars = [adjusted.sight(-5.0, 15.0, Branch::Direct), adjusted.sight(-60.0, 30.0, Branch::Direct)];
    let again = fit(Method::ManyStar, truth.kind, truth.latitude(), &priors, &stars).expect("a model");
    let axis = again.polar_axis().expect("equatorial");
    let true_axis = Truth { ..adjusted };
    assert!(
        (axis.altitude.arcmin() - true_axis.polar_altitude).abs() < 3.0 * axis.altitude_sigma.arcmin() + 0.1
    );
    assert!(
        (axis.azimuth.arcmin() - true_axis.polar_azimuth).abs() < 3.0 * axis.azimuth_sigma.arcmin() + 0.1
    );
    assert!(axis.distance < arcmin(8.0));
    let before = model.terms();
    let after = again.terms();
    let zero =
        |terms: &[alignment::Term]| terms.iter().find(|term| term.name == "hour zero").expect("there").value;
    // The hour zero in the narrow sense is the mount's own and stays; to second order in 40′ and 25′.
    assert!((zero(&before) - zero(&after)).abs() < arcmin(2.0));
}

/// The uncertainty after the bolts, against draws: truths scattered about a model, the star centred with the bolts, the bolts
/// locked. d² over seven terms averages 7, and the terms that the bolts don't touch keep their spread.
#[test]
fn what_is_known_after_the_bolts_is_what_is_promised() {
    let kind = Kind::GermanEquatorial;
    for latitude in [50.0, -30.0] {
        let frame = Frame::new(kind, deg(latitude));
        let north = if latitude < 0.0 { -1.0 } else { 1.0 };
        let truth = Truth::perfect(kind, latitude);
        let stars = [(-50.0, 10.0), (-20.0, 40.0), (30.0, 5.0)].map(|(h, d)| {
            truth.sight(h, d * north, if h < 0.0 { Branch::Direct } else { Branch::ThroughPole })
        });
        let priors = Priors::usual(kind, deg(latitude));
        let model = fit(Method::ManyStar, kind, deg(latitude), &priors, &stars).expect("a model");
        let star = place(kind, latitude, -5.0, 15.0);
        let (centring, locking) = (arcmin(1.0), arcmin(2.0));
        let promised = model.after_bolts(&star, Branch::Direct, centring, locking).expect("a good place");
        let inverse = promised.covariance.try_inverse().expect("a covariance");
        let dials = model.dials_for_bolts(&star, Branch::Direct).expect("a good place");
        let root = model.covariance().cholesky().expect("a covariance").l();
        let mut draws = Draws::new(62);
        const TRIALS: usize = 2000;
        let mut mean = 0.0;
        for _ in 0..TRIALS {
            let before = model.parameters() + root * Vector7::from_fn(|_, _| draws.normal());
            let seen = draws.blurred(&frame.chain(&before).boresight_from_dials(dials), centring);
            let (up, east) = bolts_to_centre(deg(latitude), &seen, &star).expect("a good place");
            let (up, east) = (up + locking * draws.normal(), east + locking * draws.normal());
            let whole = frames::rz(-east)
                * frames::rx(up)
                * frame.base(&before)
                * frames::rz(-Angle::from_radians(before[FIRST_ZERO]));
            let mut after = frame.terms_of_rotation(&whole);
            for kept in [SECOND_ZERO, AXIS_SKEW, CONE, FLEXURE] {
                after[kept] = before[kept];
            }
            let off = after - promised.mean;
            mean += (off.transpose() * inverse * off)[(0, 0)] / TRIALS as f64;
        }
        // Standard error √(14/2000) = 0.084; three of those.
        assert!((mean - 7.0).abs() < 0.25, "{latitude}: {mean}");
    }
}

fn axis_pointing(latitude: f64, altitude: Angle, azimuth: Angle) -> Chain {
    let errors = BaseErrors { polar_altitude: altitude, polar_azimuth: azimuth, ..BaseErrors::default() };
    Chain::new(Geometry::ideal(Kind::GermanEquatorial, base(Kind::GermanEquatorial, deg(latitude), &errors)))
}

/// The exact drift of a star in the field of a mount turning at ω, by differencing over a second either side.
fn exact_drift(latitude: f64, hour: f64, declination: f64, altitude: Angle, azimuth: Angle) -> Drift {
    let chain = axis_pointing(latitude, altitude, azimuth);
    let start = chain
        .dials_for(&place(Kind::GermanEquatorial, latitude, hour, declination), Branch::Direct)
        .expect("reachable");
    let seconds = 1.0;
    let turn = Angle::from_radians(AngularRate::SIDEREAL.radians() * seconds);
    let pole = frames::direction(Angle::ZERO, deg(latitude));
    let miss = |turn: Angle| {
        let star = place(Kind::GermanEquatorial, latitude, hour + turn.degrees(), declination);
        let there = chain.boresight(AxisAngles { first: start.first + turn, ..start });
        frames::tangent_offset(&there, &star, &pole)
    };
    let (after, before) = (miss(turn), miss(-turn));
    let rate = |a: Angle, b: Angle| AngularRate::from_radians((a - b).radians() / (2.0 * seconds));
    Drift { east: rate(after.0, before.0), north: rate(after.1, before.1) }
}

fn arcsec_per_hour(rate: AngularRate) -> f64 {
    rate.arcsec() * 3600.0
}

/// Known values: an axis east of the pole, the meridian star drifts south at 11.14″/h per arcminute; axis too high, the
/// eastern star drifts north at 15.75″/h.
#[test]
fn drift_values() {
    let south = drift_of_axis(deg(45.0), Angle::ZERO, Angle::ZERO, Angle::ZERO, arcmin(1.0));
    assert!((south.north.arcsec() + 0.003_093_8).abs() < 5e-8);
    assert!((arcsec_per_hour(south.north) + 11.14).abs() < 5e-3);
    let north = drift_of_axis(deg(45.0), deg(-90.0), Angle::ZERO, arcmin(1.0), Angle::ZERO);
    assert!((north.north.arcsec() - 0.004_375_3).abs() < 5e-8);
    assert!((arcsec_per_hour(north.north) - 15.75).abs() < 5e-3);
    let both = drift_of_axis(deg(50.0), deg(30.0), deg(20.0), arcmin(2.0), arcmin(-3.0));
    assert!((arcsec_per_hour(both.east) + 14.525).abs() < 5e-4, "{}", arcsec_per_hour(both.east));
    assert!((arcsec_per_hour(both.north) - 10.553).abs() < 5e-4, "{}", arcsec_per_hour(both.north));
}

/// Exact minus first order quarters when the errors halve.
#[test]
fn drift_is_the_chains_own_to_first_order() {
    let gap = |scale: f64| {
        let (altitude, azimuth) = (arcmin(120.0) * scale, arcmin(-180.0) * scale);
        let exact = exact_drift(50.0, 30.0, 20.0, altitude, azimuth);
        let formula = drift_of_axis(deg(50.0), deg(30.0), deg(20.0), altitude, azimuth);
        units::maths::hypot((exact.east - formula.east).arcsec(), (exact.north - formula.north).arcsec())
    };
    let ratio = gap(1.0) / gap(0.5);
    assert!((ratio - 4.0).abs() < 0.2, "{ratio}");
}

/// Two stars give the axis back; watching times 7.6 min (2″) and 19 min (5″) for 1′.
#[test]
fn the_drift_method_gives_the_axis_back() {
    let latitude = deg(50.0);
    let (altitude, azimuth) = (arcmin(6.0), arcmin(-9.0));
    let meridian = exact_drift(50.0, 0.0, 0.0, altitude, azimuth);
    let eastern = exact_drift(50.0, -85.0, 10.0, altitude, azimuth);
    // 0.1′: second order of arcminutes, and an eastern star that isn't quite at six hours.
    assert!((azimuth_from_meridian_star(latitude, meridian.north) - azimuth).abs() < arcmin(0.1));
    let rough = altitude_from_side_star(deg(-85.0), eastern.north);
    assert!((rough - altitude).abs() < arcmin(1.0), "{}′", rough.arcmin());
    let sigma = AngularRate::from_arcsec(1.0 / 600.0);
    let watched = |hour: f64, declination: f64, drift: Drift| Watched {
        hour: deg(hour),
        declination: deg(declination),
        drift,
        sigma,
        with_east: false,
    };
    let stars = [watched(0.0, 0.0, meridian), watched(-85.0, 10.0, eastern)];
    let [(up, up_sigma), (east, east_sigma)] = axis_from_drift(latitude, &stars).expect("both show");
    assert!((up - altitude).abs() < arcmin(0.1), "{}′", up.arcmin());
    assert!((east - azimuth).abs() < arcmin(0.1), "{}′", east.arcmin());
    assert!(up_sigma > Angle::ZERO && east_sigma > up_sigma);
    assert_eq!(axis_from_drift(latitude, &stars[..1]), Err(PolarError::BadStars));
    // The formula gives 7.64 and 19.1 minutes; printed 7.6 and 19.
    assert!((watching_time(arcmin(1.0), arcsec(2.0)).minutes() - 7.6).abs() < 0.05);
    assert!((watching_time(arcmin(1.0), arcsec(5.0)).minutes() - 19.0).abs() < 0.15);
}

/// Refraction bends the drift: below 20° it is worth arcminutes of axis, and taking it off restores the answer.
#[test]
fn refraction_drifts_too_and_can_be_taken_off() {
    let station = sky::Station::new(
        sky::Site::new(deg(50.0), deg(9.0), units::Length::from_metres(200.0)).expect("a site"),
        sky::Air::standard(units::Length::from_metres(200.0)),
        units::Span::ZERO,
    );
    let drift = |hour: f64, declination: f64| {
        drift_of_refraction(deg(50.0), deg(hour), deg(declination), |airless| station.refract(airless))
    };
    let none = drift_of_refraction(deg(50.0), deg(-60.0), deg(10.0), |airless| *airless);
    assert!(none.north.arcsec().abs() < 1e-9 && none.east.arcsec().abs() < 1e-9);
    // On the meridian altitude stands still: no north drift; the lift slows the star's way across.
    assert!(arcsec_per_hour(drift(0.0, 0.0).north).abs() < 0.05);
    let low = drift(-72.0, 10.0).north;
    let high = drift(-40.0, 10.0).north;
    assert!(low.abs() > high.abs());
    // What it would be taken for.
    let mistaken = altitude_from_side_star(deg(-72.0), low);
    assert!(mistaken.abs() > arcmin(0.3), "{}′", mistaken.arcmin());
}
