//! Moves from rest to rest, and stops.

use kinematics::profile::{stopping, stopping_from, synchronised};
use kinematics::{Limits, RestToRest};
use proptest::prelude::*;
use units::{Angle, AngularAcceleration, AngularJerk, AngularRate, Span};

/// Limits in degrees and seconds.
fn limits(rate: f64, acceleration: f64, jerk: Option<f64>) -> Limits {
    Limits {
        rate: AngularRate::from_degrees(rate),
        acceleration: AngularAcceleration::from_degrees(acceleration),
        jerk: jerk.map(AngularJerk::from_degrees),
    }
}

fn deg(value: f64) -> Angle {
    Angle::from_degrees(value)
}

/// Checks of one move: distance, rest at both ends, limits, no jump of place or rate between pieces.
fn assert_sound(profile: &RestToRest, limits: &Limits) {
    let size = profile.distance().radians().abs();
    // A few roundings of the whole distance.
    let place = 1e-14 * size;
    let pieces = profile.pieces();
    assert_eq!(pieces[0].begin, Span::ZERO);
    // Limits to 1e-12 of themselves: rounding.
    let over = 1.0 + 1e-12;
    for (index, piece) in pieces.iter().enumerate() {
        let end = pieces.get(index + 1).map_or(profile.duration(), |next| next.begin);
        for part in 0..=16 {
            let at = piece.begin.seconds() + (end - piece.begin).seconds() * f64::from(part) / 16.0;
            let at = Span::from_seconds(at);
            assert!(piece.rate(at).abs() <= limits.rate * over);
            assert!(piece.acceleration(at).abs() <= limits.acceleration * over);
            assert!(piece.rate(at).radians() * profile.distance().radians() >= -1e-14 * size);
        }
        if let Some(jerk) = limits.jerk {
            assert!(6.0 * piece.coefficients[3].abs() <= jerk.radians() * over);
        }
        let (next_place, next_rate) = match pieces.get(index + 1) {
            Some(next) => (next.position(end), next.rate(end)),
            None => (profile.distance(), AngularRate::ZERO),
        };
        assert!((piece.position(end) - next_place).radians().abs() <= place);
        // Rates to their own rounding.
        assert!((piece.rate(end) - next_rate).radians().abs() <= 1e-14 * limits.rate.radians());
    }
    if limits.jerk.is_some() {
        let last = pieces[pieces.len() - 1];
        assert!(
            last.acceleration(profile.duration()).radians().abs() <= 1e-14 * limits.acceleration.radians()
        );
    }
}

#[test]
fn each_regime_takes_the_time_of_its_formula() {
    let third = |d: f64, j: f64| 4.0 * units::maths::cbrt(d / (2.0 * j));
    let rows = [
        (90.0, limits(3.0, 2.0, None), 31.5),
        (1.0, limits(3.0, 2.0, None), 2.0 * 0.5_f64.sqrt()),
        (90.0, limits(3.0, 2.0, Some(4.0)), 32.0),
        (3.0, limits(3.0, 2.0, Some(4.0)), 3.0),
        (0.05, limits(3.0, 2.0, Some(4.0)), third(0.05, 4.0)),
        // Never at full acceleration: v < a²/j.
        (60.0, limits(1.0, 2.0, Some(1.0)), 62.0),
        (0.5, limits(1.0, 2.0, Some(1.0)), third(0.5, 1.0)),
    ];
    for (distance, limits, seconds) in rows {
        for sign in [1.0, -1.0] {
            let profile = RestToRest::new(deg(distance * sign), &limits);
            // 1e-8 s: seven phases, each rounded up to a nanosecond.
            let late = profile.seconds() - seconds;
            assert!((-1e-9..1e-8).contains(&late), "{distance}: {}", profile.seconds());
            assert_sound(&profile, &limits);
        }
    }
    // The printed figure of one of them.
    assert!((third(0.05, 4.0) - 0.7368).abs() < 5e-5);
}

#[test]
fn whole_times_stay_whole() {
    let profile = RestToRest::new(deg(90.0), &limits(3.0, 2.0, Some(4.0)));
    assert_eq!(profile.duration(), Span::from_whole_seconds(32));
}

#[test]
fn no_distance_takes_no_time() {
    let profile = RestToRest::new(Angle::ZERO, &limits(3.0, 2.0, Some(4.0)));
    assert_eq!((profile.duration(), profile.pieces().len()), (Span::ZERO, 0));
    assert_eq!(profile.state(0.0).0, Angle::ZERO);
    assert_eq!(profile.path(Span::ZERO).pieces().len(), 1);
}

#[test]
fn the_state_is_that_of_the_pieces_and_rest_outside() {
    let profile = RestToRest::new(deg(-20.0), &limits(3.0, 2.0, Some(4.0)));
    assert_eq!(profile.state(-1.0), profile.state(0.0));
    assert_eq!(profile.state(100.0).0, deg(-20.0));
    let (place, rate, acceleration) = profile.state(profile.seconds() / 2.0);
    assert!((place - deg(-10.0)).arcsec().abs() < 1e-9);
    assert!((rate.degrees() + 3.0).abs() < 1e-7 && acceleration.degrees().abs() < 1e-9);
    let path = profile.path(Span::from_whole_seconds(5));
    assert_eq!(path.position(Span::from_whole_seconds(7)), profile.state(2.0).0);
    assert_eq!(path.position(Span::from_whole_seconds(70)), deg(-20.0));
}

#[test]
fn both_axes_end_together_within_their_limits() {
    let (quick, slow) = (limits(3.0, 2.0, Some(4.0)), limits(1.5, 1.0, None));
    let first = RestToRest::new(deg(-40.0), &quick);
    let second = RestToRest::new(deg(35.0), &slow);
    let (a, b) = synchronised(&first, &second);
    assert_eq!(a.duration(), b.duration());
    assert_eq!(b, second);
    assert_sound(&a, &quick);
    assert_sound(&b, &slow);
    // By s the rate, s² the acceleration: to a nanosecond's share.
    let s = a.seconds() / first.seconds();
    let peak = |p: &RestToRest| p.state(p.seconds() / 2.0).1;
    assert!((peak(&first) / peak(&a) / s - 1.0).abs() < 1e-8);
    let onset = |p: &RestToRest| p.pieces()[0].coefficients[3];
    assert!((onset(&first) / onset(&a) / (s * s * s) - 1.0).abs() < 1e-7);
    // Nobody is hurried.
    assert_eq!(first.stretched(Span::from_whole_seconds(1)), first);
}

#[test]
fn a_stop_takes_the_way_of_its_formula() {
    let way = |v: f64, limits: &Limits| {
        let path = stopping(AngularRate::from_degrees(v), limits);
        let end = path.end_of_last_finite_piece();
        (path.position(end).degrees(), end.seconds())
    };
    // v²/2a in v/a; va/2j more in a/j more; v√(v/j) in 2√(v/j) where full acceleration isn't reached.
    let rows = [
        (limits(3.0, 2.0, None), 2.25, 1.5),
        (limits(3.0, 2.0, Some(4.0)), 2.25 + 0.75, 2.0),
        (limits(3.0, 4.0, Some(3.0)), 3.0, 2.0),
    ];
    for (limits, distance, seconds) in rows {
        for sign in [1.0, -1.0] {
            let (d, t) = way(3.0 * sign, &limits);
            // A nanosecond's share of 3°/s.
            assert!((d - distance * sign).abs() < 1e-8, "{d}");
            assert!((t - seconds).abs() < 1e-8, "{t}");
        }
    }
    assert_eq!(way(0.0, &limits(3.0, 2.0, Some(4.0))), (0.0, 0.0));
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(2000) })]

    #[test]
    fn every_move_covers_its_distance_and_keeps_its_limits(
        log_distance in -4.0..2.5, rate in 0.01..6.0, acceleration in 0.1..6.0, jerk in prop::option::of(0.1..40.0), longer in 1.0..3.0,
        back in any::<bool>(),
    ) {
        let limits = limits(rate, acceleration, jerk);
        let distance = units::maths::pow(10.0, log_distance) * if back { -1.0 } else { 1.0 };
        let profile = RestToRest::new(deg(distance), &limits);
        assert_sound(&profile, &limits);
        let stretched = profile.stretched(Span::from_seconds(profile.seconds() * longer));
        prop_assert_eq!(stretched.duration(), Span::from_seconds(profile.seconds() * longer).max(profile.duration()));
        assert_sound(&stretched, &limits);
    }

    #[test]
    fn every_stop_begins_as_it_moves_and_ends_in_rest(
        rate in -6.0..6.0, share in -1.0..1.0, acceleration in 0.1..6.0, jerk in prop::option::of(0.1..40.0),
    ) {
        let limits = limits(6.0, acceleration, jerk);
        let (v, a) = (AngularRate::from_degrees(rate), AngularAcceleration::from_degrees(share * acceleration));
        let path = stopping_from(v, a, &limits);
        // 1e-8 °/s: what a nanosecond of the acceleration changes, and rounding.
        let near = |x: f64, y: f64| (x - y).abs() < 1e-8;
        prop_assert!(near(path.rate(Span::ZERO).degrees(), rate));
        prop_assert_eq!(path.position(Span::ZERO), Angle::ZERO);
        if jerk.is_some() && path.pieces()[0].coefficients[3] != 0.0 {
            prop_assert!(near(path.acceleration(Span::ZERO).degrees(), share * acceleration));
        }
        for pair in path.pieces().windows(2) {
            let at = pair[1].begin;
            prop_assert!(near(pair[0].rate(at).degrees(), pair[1].rate(at).degrees()));
            prop_assert!(near(pair[0].position(at).degrees(), pair[1].position(at).degrees()));
            if jerk.is_some() {
                // 1e-6 °/s²: a nanosecond of the jerk, or the peak made to fit.
                let (x, y) = (pair[0].acceleration(at).degrees(), pair[1].acceleration(at).degrees());
                prop_assert!((x - y).abs() < 1e-6, "{} {}", x, y);
            }
            prop_assert!(pair[0].acceleration(at).abs() <= limits.acceleration * (1.0 + 1e-7));
            if let Some(jerk) = limits.jerk {
                let found = 6.0 * pair[0].coefficients[3].abs();
                // Phases of a millisecond and more keep the limit to a nanosecond's share of them.
                let long = at - pair[0].begin > Span::from_nanoseconds(1_000_000);
                prop_assert!(!long || found <= jerk.radians() * (1.0 + 1e-4));
            }
        }
    }
}
