//! The truth beside each term of the model is what a perfect alignment finds, whatever was set up or entered wrongly.

use bench::{ModelBelief, Outcome, prepare};
use units::Angle;

fn night(latitude: &str, kind: &str, more: &str) -> Outcome {
    let file = format!(
        "format = 1\n[night]\nbegin = 2027-03-06T20:30:00+01:00\nlength = \"3 h\"\nseed = 7\n[site]\nlatitude = \"{latitude}\"\n\
         longitude = \"-4.5 deg\"\n[mount]\nkind = \"{kind}\"\ngrade = \"perfect\"\n[mount.geometry]\n\
         cone_error = \"4 arcmin\"\naxis_skew = \"-3 arcmin\"\ntube_flexure = \"1 arcmin\"\n{more}"
    );
    let plan = scenario::read(&file).expect("a good scenario");
    prepare(&plan).expect("a night that can be played").measure()
}

fn model(outcome: &Outcome) -> &ModelBelief {
    outcome.model.as_ref().expect("an alignment")
}

fn term(outcome: &Outcome, name: &str) -> (Angle, Angle) {
    let model = model(outcome);
    let open = model.not_determined.iter().map(|open| &open.belief);
    let found = model.terms.iter().chain(open).find(|term| term.name == name);
    found.map_or_else(|| panic!("{name}: {model:?}"), |term| (term.value, term.truth))
}

const TWELVE_STARS: &str = "[alignment]\nmethod = \"many-star\"\nrefine = 9\n";

/// Twelve exact sightings on both sides against priors of the usual size: what the priors draw towards them is below an
/// arcsecond but for the least determined terms, which a centring taken for 5 arcmin leaves to the priors by some per cent.
#[test]
fn exact_stars_find_the_truth_in_either_hemisphere_with_a_wrong_clock() {
    for (latitude, setup) in [
        ("40.5 deg", "polar_altitude_error = \"0.5 deg\"\npolar_azimuth_error = \"-0.7 deg\"\n"),
        ("-33 deg", "polar_altitude_error = \"-0.4 deg\"\npolar_azimuth_error = \"0.6 deg\"\n"),
    ] {
        let setup = format!(
            "[setup]\n{setup}lean_north = \"0.1 deg\"\nlean_east = \"-0.2 deg\"\nhome_hour_error = \"0.3 deg\"\n\
             home_declination_error = \"-0.2 deg\"\nentered = {{ clock_error = \"90 s\" }}\n{TWELVE_STARS}"
        );
        let outcome = night(latitude, "german-equatorial", &setup);
        for name in ["polar axis altitude", "polar axis azimuth", "hour zero", "declination zero"] {
            let (value, truth) = term(&outcome, name);
            let off = (value - truth).abs();
            assert!(truth.abs() > Angle::from_arcmin(5.0), "{latitude}: {name} {truth:?}");
            assert!(off < truth.abs() * 0.12, "{latitude}: {name} {} {}", value.arcsec(), truth.arcsec());
        }
    }
}

/// Without lean or polar error the hour zero is the home mark and the clock: 90 s of a fast clock are 22.5616 arcmin, which
/// the mount's sky is ahead by (15.041 arcsec per second of time).
#[test]
fn a_fast_clock_is_part_of_the_hour_zero() {
    let setup = |clock: &str| {
        let more = format!(
            "[setup]\nhome_hour_error = \"0.3 deg\"\nentered = {{ clock_error = \"{clock}\" }}\n{TWELVE_STARS}"
        );
        term(&night("40.5 deg", "german-equatorial", &more), "hour zero").1
    };
    assert!((setup("0 s") - Angle::from_degrees(0.3)).abs() < Angle::from_arcsec(0.01));
    // 0.01 arcsec: the equation of the equinoxes moves by less in 90 s.
    let both = Angle::from_degrees(0.3) + Angle::from_arcsec(90.0 * 15.041_067);
    assert!((setup("90 s") - both).abs() < Angle::from_arcsec(0.01), "{}", setup("90 s").arcsec());
}

#[test]
fn an_alt_azimuth_mount_has_lean_and_zeros() {
    let more = format!(
        "[setup]\nlean_north = \"0.2 deg\"\nlean_east = \"-0.3 deg\"\nhome_azimuth_error = \"2 deg\"\n\
         home_altitude_error = \"0.25 deg\"\n{TWELVE_STARS}"
    );
    let outcome = night("40.5 deg", "alt-azimuth", &more);
    for (name, degrees) in
        [("base lean north", 0.2), ("base lean east", -0.3), ("azimuth zero", 2.0), ("altitude zero", 0.25)]
    {
        let (value, truth) = term(&outcome, name);
        // Two leans are not one swing: they differ by a product of both, 0.0005 deg.
        assert!((truth.degrees() - degrees).abs() < 0.0012, "{name}: {}", truth.degrees());
        assert!(
            (value - truth).abs() < Angle::from_arcmin(3.0),
            "{name}: {} {}",
            value.arcmin(),
            truth.arcmin()
        );
    }
}

#[test]
fn what_two_stars_leave_open_has_a_reason_and_a_deciding_star() {
    let outcome = night("40.5 deg", "german-equatorial", "[alignment]\nmethod = \"two-star\"\n");
    let open = &model(&outcome).not_determined;
    let cone = open.iter().find(|open| open.belief.name == "cone error").expect("a rotation leaves it out");
    assert!(cone.reason.contains("this method leaves it"), "{}", cone.reason);
    assert_eq!(cone.deciding, None);
    assert_eq!(cone.belief.truth, Angle::from_arcmin(4.0));
    let outcome = night(
        "40.5 deg",
        "german-equatorial",
        "[alignment]\nmethod = \"many-star\"\nstars = [\"Regulus\", \"Procyon\", \"Pollux\"]\n",
    );
    let open = &model(&outcome).not_determined;
    let cone = open.iter().find(|open| open.belief.name == "cone error").expect("one side of the pier");
    assert!(cone.reason.contains("side of the pier"), "{}", cone.reason);
    let (star, sigma) = cone.deciding.as_ref().expect("a star on the other side");
    assert!(!star.is_empty() && Some(*sigma) < cone.belief.sigma);
}

/// A perfect mount that was aligned expects what its priors and centrings leave, and misses by far less.
#[test]
fn each_target_has_its_predicted_circle() {
    let outcome =
        night("40.5 deg", "german-equatorial", &format!("{TWELVE_STARS}[[observe]]\ntarget = \"M 42\"\n"));
    let look = outcome.gotos[0].look.as_ref().expect("a look");
    let circle = look.predicted.expect("within reach");
    assert!(circle.p68 < circle.p95 && look.miss < circle.p95, "{circle:?} {:?}", look.miss);
    // With both directions alike a circle of 95 % is 1.62 times that of 68 %: the roots of ln 0.05 and ln 0.32.
    assert!((1.5..2.2).contains(&(circle.p95 / circle.p68)), "{circle:?}");
}
