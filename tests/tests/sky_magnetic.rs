//! Magnetic declination against a hundred published values of the World Magnetic Model 2025.
//!
//! `fixtures/reference/wmm2025_test_values.csv`: the rows of 2025 of `test/values.csv` in the npm package geomagnetism 0.2.0
//! (Apache-2.0); see the README beside it.

mod sky_support;

use sky::magnetic::{MagneticCaution, magnetic_field};
use sky_support::{Worst, apart, instant, rows};
use units::{Angle, Length, Span};

// The values are printed to 0.01°, so that half of that is rounding; the model inside reckons in single precision (1e-5° at
// these sizes) and by whole days, which is another 1e-4° at the quickest changes.
const PRINTED_DEG: f64 = 0.005 + 0.0003;

#[test]
fn a_hundred_published_values_are_met_to_their_printed_digits() {
    let (mut declination, mut inclination, mut horizontal) =
        (Worst::default(), Worst::default(), Worst::default());
    let rows = rows("wmm2025_test_values.csv");
    assert_eq!(rows.len(), 100);
    for row in &rows {
        let year = row.number("year");
        // The values are for the begin of a year or its middle; the model counts days.
        let begin = instant(&format!("{}-01-01T00:00:00Z", year.floor()));
        let at = begin + Span::from_seconds((year - year.floor()) * 365.0 * 86_400.0);
        let height = Length::from_metres(row.number("height_km") * 1000.0);
        let field = magnetic_field(row.degrees("lat_deg"), row.degrees("lon_east_deg"), height, at)
            .unwrap_or_else(|error| panic!("{error}"));
        let case = format!("{} {} {}", row.text("year"), row.text("lat_deg"), row.text("lon_east_deg"));
        let degrees = |arcsec: f64| arcsec / 3600.0;
        declination.take(degrees(apart(field.declination, row.degrees("decl_deg"))), &case);
        inclination.take(degrees(apart(field.inclination, row.degrees("incl_deg"))), &case);
        horizontal.take((field.horizontal_nanotesla - row.number("h_nt")).abs(), &case);
        let weak = row.number("h_nt") < 6000.0;
        assert_eq!(!field.cautions.is_empty(), weak, "{case}: {:?}", field.cautions);
        assert!(field.declination_sigma > Angle::ZERO);
    }
    declination.check("declination, degrees", PRINTED_DEG);
    inclination.check("inclination, degrees", PRINTED_DEG);
    // Single precision on fields of 50 000 nT.
    horizontal.check("horizontal field, nanotesla", 0.3);
}

#[test]
fn the_year_after_the_models_end_is_a_caution_and_not_an_answer_in_silence() {
    let at = instant("2030-01-01T00:00:00Z");
    let field = magnetic_field(Angle::ZERO, Angle::ZERO, Length::ZERO, at).expect("a place on Earth");
    assert_eq!(field.cautions, [MagneticCaution::OutsideYears { year: 2030 }]);
}
