//! Motion as cubics of time: reading it, adding it up, cutting it, and where it turns.

use kinematics::{Cubic, Limits, Path, RestToRest};
use proptest::prelude::*;
use units::{Angle, AngularAcceleration, AngularJerk, AngularRate, Span};

fn seconds(value: f64) -> Span {
    Span::from_seconds(value)
}

fn limits() -> Limits {
    Limits {
        rate: AngularRate::from_degrees(3.0),
        acceleration: AngularAcceleration::from_degrees(2.0),
        jerk: Some(AngularJerk::from_degrees(6.0)),
    }
}

fn deg(value: f64) -> Angle {
    Angle::from_degrees(value)
}

#[test]
fn a_cubic_turns_where_its_rate_changes_sign() {
    let turns = |coefficients: [f64; 4], duration: f64| {
        Cubic { begin: Span::ZERO, coefficients }.turning_points(duration).collect::<Vec<f64>>()
    };
    // Rate (t − 1)(t − 3).
    assert_eq!(turns([0.0, 3.0, -2.0, 1.0 / 3.0], 10.0), [1.0, 3.0]);
    assert_eq!(turns([0.0, 3.0, -2.0, 1.0 / 3.0], 2.0), [1.0]);
    assert_eq!(turns([5.0, -4.0, 2.0, 0.0], 10.0), [1.0]);
    // Touching zero, or never there, is no turn.
    assert!(turns([0.0, 1.0, -1.0, 1.0 / 3.0], 10.0).is_empty());
    assert!(turns([0.0, 1.0, 0.0, 0.0], 10.0).is_empty());
    assert!(turns([1.0, 0.0, 0.0, 0.0], 10.0).is_empty());
    // Roots of very different size keep their digits: rate (t − 1e-6)(t − 1e3).
    let far = turns([0.0, 1e-3, -(1e3 + 1e-6) / 2.0, 1.0 / 3.0], 1e4);
    assert!((far[0] / 1e-6 - 1.0).abs() < 1e-14 && (far[1] / 1e3 - 1.0).abs() < 1e-14);
}

#[test]
fn a_hermite_piece_meets_both_ends() {
    let (begin, duration) = (seconds(100.0), seconds(30.0));
    let start = (deg(10.0), AngularRate::from_arcsec(15.0));
    let end = (deg(10.2), AngularRate::from_arcsec(40.0));
    let piece = Cubic::hermite(begin, duration, start, end);
    assert_eq!((piece.position(begin), piece.rate(begin)), start);
    let last = begin + duration;
    assert!((piece.position(last) - end.0).arcsec().abs() < 1e-9);
    assert!((piece.rate(last) - end.1).arcsec().abs() < 1e-9);
}

#[test]
fn a_path_rests_before_it_begins_and_runs_on_after_it_ends() {
    let path = Path::steady(seconds(10.0), deg(1.0), AngularRate::from_degrees(0.5));
    assert_eq!((path.position(seconds(3.0)), path.rate(seconds(3.0))), (deg(1.0), AngularRate::ZERO));
    assert!((path.position(seconds(14.0)).degrees() - 3.0).abs() < 1e-12);
    assert_eq!(path.rate(seconds(10.0)).degrees(), 0.5);
    assert_eq!(path.end_of_last_finite_piece(), seconds(10.0));
    assert_eq!(path.piece_at(seconds(3.0)).begin, seconds(10.0));
}

#[test]
fn a_slew_against_tracking_turns_twice_and_with_it_never() {
    let track = Path::steady(Span::ZERO, Angle::ZERO, AngularRate::SIDEREAL);
    let to = seconds(600.0);
    let at = seconds(100.0);
    let with = track.plus(at, &RestToRest::new(deg(20.0), &limits()));
    // The start of tracking is a change from rest, and the only one.
    assert_eq!(with.turning_points(seconds(-1.0), to), [Span::ZERO]);
    assert!(with.turning_points(Span::ZERO, to).is_empty());
    let slew = RestToRest::new(deg(-20.0), &limits());
    let against = track.plus(at, &slew);
    let turns = against.turning_points(Span::ZERO, to);
    assert_eq!(turns.len(), 2);
    for turn in &turns {
        // Within a nanosecond of the closed-form root: the rate there is what a nanosecond of acceleration makes.
        assert!(against.rate(*turn).degrees().abs() < 2e-9);
    }
    // Ramp of the jerk: −j t²/2 + ω = 0, and the same before the end.
    let ramp = (2.0 * AngularRate::SIDEREAL.degrees() / 6.0).sqrt();
    assert!(((turns[0] - at).seconds() - ramp).abs() < 2e-9);
    assert!(((at + slew.duration() - turns[1]).seconds() - ramp).abs() < 2e-9);
    // Arrival is exact: the target's own motion and the whole distance.
    let end = at + slew.duration();
    let expected = AngularRate::SIDEREAL.degrees() * end.seconds() - 20.0;
    assert!((against.position(end).degrees() - expected).abs() * 3600.0 < 1e-9);
}

#[test]
fn a_move_from_rest_changes_sense_at_its_ends_only() {
    for limits in [limits(), Limits { jerk: None, ..limits() }] {
        for distance in [20.0, -1.0, 1e-3, -77.123_456_789] {
            let profile = RestToRest::new(deg(distance), &limits);
            let at = seconds(12.345_678_9);
            let path = Path::hold(Span::ZERO, deg(4.0)).plus(at, &profile);
            let turns = path.turning_points(Span::ZERO, seconds(1000.0));
            assert_eq!(turns, [at, at + profile.duration()], "{distance}");
        }
    }
}

#[test]
fn there_and_back_again_turns_in_between() {
    let there = RestToRest::new(deg(5.0), &limits());
    let back = RestToRest::new(deg(-5.0), &limits());
    let start = seconds(1.0);
    let middle = start + there.duration();
    let path = Path::hold(Span::ZERO, Angle::ZERO).plus(start, &there).plus(middle, &back);
    let end = middle + back.duration();
    assert_eq!(path.turning_points(Span::ZERO, seconds(100.0)), [start, middle, end]);
    // A corner without rest in between as well.
    let rate = AngularRate::from_degrees(1.0);
    let corner =
        Path::steady(Span::ZERO, Angle::ZERO, rate).spliced(start, &Path::steady(start, deg(1.0), -rate));
    assert_eq!(corner.turning_points(Span::ZERO, seconds(100.0)), [start]);
    assert_eq!(corner.position(seconds(1.5)), deg(0.5));
}

#[test]
fn a_stop_in_the_middle_of_a_slew_is_smooth_and_final() {
    let track = Path::steady(Span::ZERO, Angle::ZERO, AngularRate::SIDEREAL);
    let slew = track.plus(seconds(10.0), &RestToRest::new(deg(-60.0), &limits()));
    for at in [5.0, 10.2, 11.0, 15.0, 30.4, 31.6] {
        let at = seconds(at);
        let stopped = slew.brought_to_rest(at, &limits());
        assert_eq!(stopped.position(at), slew.position(at));
        // A nanosecond's share.
        assert!((stopped.rate(at) - slew.rate(at)).degrees().abs() < 1e-8);
        let end = stopped.end_of_last_finite_piece();
        assert!(end - at < seconds(3.0));
        assert_eq!(stopped.rate(end), AngularRate::ZERO);
        assert_eq!(stopped.position(end), stopped.position(end + Span::DAY));
        // What lies before the stop is untouched.
        assert_eq!(stopped.position(at - seconds(1.0)), slew.position(at - seconds(1.0)));
    }
}

#[test]
fn what_is_over_can_be_forgotten() {
    let path = Path::hold(Span::ZERO, Angle::ZERO).plus(seconds(10.0), &RestToRest::new(deg(5.0), &limits()));
    let later = path.forgotten_before(seconds(11.0));
    assert!(later.pieces().len() < path.pieces().len());
    for at in [11.0, 12.0, 100.0] {
        assert_eq!(later.position(seconds(at)), path.position(seconds(at)));
    }
}

#[test]
#[should_panic(expected = "one after another")]
fn pieces_out_of_order_are_a_bug() {
    let piece = Cubic::hold(Span::ZERO, Angle::ZERO);
    let _ = Path::from_pieces(vec![piece, piece]);
}

/// A path of several moves on top of a steady rate.
fn busy_path() -> impl Strategy<Value = Path> {
    let moves = prop::collection::vec((0.0..100.0, -20.0..20.0), 0..4);
    (-1.0..1.0, moves).prop_map(|(rate, moves)| {
        let steady = Path::steady(Span::ZERO, Angle::ZERO, AngularRate::from_degrees(rate));
        moves.into_iter().fold(steady, |path, (at, distance)| {
            path.plus(seconds(at), &RestToRest::new(deg(distance), &limits()))
        })
    })
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn between_turning_points_the_motion_is_monotone(path in busy_path()) {
        let (from, to) = (Span::ZERO, seconds(200.0));
        let mut stops = vec![from];
        stops.extend(path.turning_points(from, to));
        stops.push(to);
        prop_assert!(stops.windows(2).all(|pair| pair[0] <= pair[1]));
        for pair in stops.windows(2) {
            let (a, b) = (path.position(pair[0]), path.position(pair[1]));
            let (low, high) = (a.min(b), a.max(b));
            for part in 1..32 {
                let share = f64::from(part) / 32.0;
                let at = pair[0] + seconds((pair[1] - pair[0]).seconds() * share);
                let place = path.position(at);
                // 1e-9″: rounding, and the nanosecond by which a turn is late.
                prop_assert!((low - place).arcsec() < 1e-9 && (place - high).arcsec() < 1e-9);
            }
        }
    }

    #[test]
    fn windows_that_meet_find_what_the_whole_finds(path in busy_path(), cut in 0.0..200.0) {
        let (from, to, cut) = (Span::ZERO, seconds(200.0), seconds(cut));
        let mut parts = path.turning_points(from, cut);
        parts.extend(path.turning_points(cut, to));
        let whole = path.turning_points(from, to);
        prop_assert_eq!(&parts, &whole);
        // A cut at a turn itself neither loses nor repeats it.
        for turn in &whole {
            let mut parts = path.turning_points(from, *turn);
            parts.extend(path.turning_points(*turn, to));
            prop_assert_eq!(&parts, &whole);
        }
    }

    #[test]
    fn a_sum_is_the_sum(one in busy_path(), other in busy_path(), at in -10.0..200.0) {
        let at = seconds(at);
        let sum = one.sum(&other);
        let expected = one.position(at) + other.position(at);
        // Rounding of a few hundred degrees.
        prop_assert!((sum.position(at) - expected).arcsec().abs() < 1e-7);
        prop_assert!((sum.rate(at) - one.rate(at) - other.rate(at)).arcsec().abs() < 1e-7);
    }
}
