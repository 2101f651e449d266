//! Whatever the text: an answer, never a panic; whatever the plan: its canonical form reads back.

mod common;

use common::{each, fixtures, text_of};
use proptest::prelude::*;
use scenario::{Plan, read, read_bytes};
use units::{Angle, Length, Span};

fn nights() -> Vec<String> {
    let mut all = Vec::new();
    each("good", "toml", |_, text| all.push(text.to_owned()));
    each("bad", "toml", |_, text| all.push(text.to_owned()));
    all
}

fn answer(bytes: &[u8]) {
    if let Err(complaints) = read_bytes(bytes) {
        assert!(!complaints.is_empty());
        let source = std::str::from_utf8(bytes).unwrap_or_default();
        for complaint in complaints {
            assert!(!complaint.render("night.toml", source).is_empty());
        }
    }
}

fn school_field() -> Plan {
    read(&text_of(&fixtures("good").join("school_field.toml"))).unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(256) })]

    #[test]
    fn no_text_panics(text in "\\PC{0,200}") {
        answer(text.as_bytes());
    }

    #[test]
    fn no_bytes_panic(bytes in proptest::collection::vec(any::<u8>(), 0..200)) {
        answer(&bytes);
    }

    /// A night with a piece cut out, put elsewhere, or overwritten: nearer to what people do than noise.
    #[test]
    fn no_damaged_night_panics(
        which in any::<prop::sample::Index>(),
        from in any::<prop::sample::Index>(),
        length in 0usize..40,
        to in any::<prop::sample::Index>(),
        put in "(\\[|\\]|\\{|=|\"|\n|[ -~]){0,6}",
    ) {
        let nights = nights();
        let mut bytes = which.get(&nights).as_bytes().to_vec();
        if !bytes.is_empty() {
            let at = from.index(bytes.len());
            let end = (at + length).min(bytes.len());
            let piece: Vec<u8> = bytes.drain(at..end).collect();
            let place = to.index(bytes.len() + 1);
            bytes.splice(place..place, piece.into_iter().chain(put.bytes()));
        }
        answer(&bytes);
    }

    /// Values of any bits survive the canonical form.
    #[test]
    fn a_changed_plan_reads_back(
        latitude in -90.0..90.0f64,
        backlash in 0.0..3600.0f64,
        seconds in 60.0..36_000.0f64,
        clock in -3600.0..3600.0f64,
        height in -400.0..5000.0f64,
        humidity in 0.0..1.0f64,
        harmonic in 0.1..10.0f64,
        name in "[^\\p{C}]{1,20}",
    ) {
        let mut plan = school_field();
        plan.site.latitude = Angle::from_degrees(latitude);
        plan.site.height = Some(Length::from_metres(height));
        plan.site.humidity = Some(humidity);
        plan.observe[0].dwell = Some(Span::from_seconds(seconds));
        plan.setup.entered.clock_error = Some(Span::from_seconds(clock));
        plan.night.title = Some(name).filter(|name| !name.trim().is_empty());
        if let Some(axis) = &mut plan.mount.hour_axis {
            axis.backlash = Some(Angle::from_arcsec(backlash));
            if let Some(terms) = &mut axis.periodic_error {
                terms[0].harmonic = harmonic;
            }
        }
        let canonical = plan.canonical_toml();
        let again = match read(&canonical) {
            Ok(again) => again,
            Err(complaints) => panic!("{}", common::rendered("canonical", &canonical, &complaints)),
        };
        prop_assert_eq!(&plan, &again);
        prop_assert_eq!(plan.digest(), again.digest());
    }
}
