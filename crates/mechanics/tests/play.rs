//! Play: the operator's laws and worked sequences, as observed on a whole mount.

mod common;

use common::{after, arcsec, at_zero, degrees, ideal, switch_on, zigzag};
use kinematics::{Kind, Path};
use mechanics::{Mount, MountSpec, WindSpec};
use units::{Angle, AngularRate, Length, Share, Span, Speed, Streams, Torque};

/// Numbers of some hundred arcseconds in binary: the last bits of 1e-3 rad are 2e-19 rad, or 4e-14″; a path adds some.
const EXACT: f64 = 1e-9;

fn with_play(gap: f64) -> MountSpec {
    let mut spec = ideal(Kind::GermanEquatorial, degrees(45.0));
    spec.axes[0].backlash = arcsec(gap);
    spec
}

fn first(mount: &Mount, seconds: f64) -> f64 {
    mount.axes(after(seconds)).first.arcsec()
}

/// Where the axis stands after each leg of a zigzag.
fn answers(gap: f64, positions: &[f64], leg: f64) -> Vec<f64> {
    let mut mount = switch_on(with_play(gap), at_zero());
    mount.order(0, zigzag(positions, leg), after(0.0));
    (0..positions.len()).map(|i| first(&mount, leg * i as f64)).collect()
}

fn assert_near(found: &[f64], expected: &[f64]) {
    assert_eq!(found.len(), expected.len());
    for (f, e) in found.iter().zip(expected) {
        assert!((f - e).abs() < EXACT, "{found:?} instead of {expected:?}");
    }
}

#[test]
fn worked_sequences() {
    assert_near(&answers(4.0, &[0.0, 10.0, -5.0, 3.0], 1.0), &[0.0, 8.0, -3.0, 1.0]);
    assert_near(
        &answers(90.0, &[0.0, 200.0, 50.0, 120.0, -80.0, 20.0, 300.0], 1.0),
        &[0.0, 155.0, 95.0, 95.0, -35.0, -25.0, 255.0],
    );
}

#[test]
fn identity_without_a_gap() {
    assert_near(&answers(0.0, &[0.0, 7.0, -3.0, 2.0], 1.0), &[0.0, 7.0, -3.0, 2.0]);
}

#[test]
fn rate_independence() {
    let positions = [0.0, 200.0, 50.0, 120.0, -80.0, 20.0, 300.0];
    assert_near(&answers(90.0, &positions, 0.37), &answers(90.0, &positions, 41.0));
}

#[test]
fn semigroup_dense_sampling_equals_extrema_only() {
    // The same way told in many small pieces.
    let positions = [0.0, 200.0, 50.0, 120.0, -80.0];
    let mut dense = vec![0.0];
    for pair in positions.windows(2) {
        dense.extend((1..=10).map(|i| pair[0] + (pair[1] - pair[0]) * f64::from(i) / 10.0));
    }
    let coarse = answers(90.0, &positions, 1.0);
    let fine = answers(90.0, &dense, 0.1);
    assert_near(&fine.iter().copied().step_by(10).collect::<Vec<_>>(), &coarse);
}

#[test]
fn one_lipschitz_in_the_sup_norm() {
    // Two inputs that differ by at most 5″ everywhere give outputs that differ by at most 5″.
    let one = answers(60.0, &[0.0, 100.0, 20.0, 80.0, -40.0], 1.0);
    let other = answers(60.0, &[0.0, 104.0, 15.0, 84.0, -45.0], 1.0);
    for (a, b) in one.iter().zip(&other) {
        assert!((a - b).abs() <= 5.0 + EXACT);
    }
}

#[test]
fn unchanged_by_cycles_smaller_than_the_gap() {
    let found = answers(90.0, &[0.0, 100.0, 20.0, 99.0, 11.0, 100.0], 1.0);
    for place in &found[1..] {
        assert!((place - 55.0).abs() < EXACT, "{found:?}");
    }
}

#[test]
fn cycling_encloses_gap_times_free_travel_and_dissipates() {
    // Amplitude 100, gap 60: area 60·(200 − 60); the loop is run through in the sense that dissipates (output lags).
    let mut mount = switch_on(with_play(60.0), at_zero());
    mount.order(0, zigzag(&[0.0, 100.0, -100.0, 100.0, -100.0], 10.0), after(0.0));
    // One whole cycle from +100 back to +100, by the trapezoid rule on straight pieces with corners at whole steps.
    let steps = 2000;
    let mut area = 0.0;
    for i in 0..steps {
        let at = |i: i32| 10.0 + 20.0 * f64::from(i) / f64::from(steps);
        let x = |t: f64| mount.dial(0, after(t)).arcsec();
        let (t0, t1) = (at(i), at(i + 1));
        area += 0.5 * (x(t0) + x(t1)) * (first(&mount, t1) - first(&mount, t0));
    }
    // The corners of the answer fall on steps (3 s and 13 s of 10 ms): only rounding is left.
    assert!((area - 60.0 * 140.0).abs() < 1e-3, "{area}");
}

#[test]
fn two_plays_in_series_are_one_of_their_sum() {
    // The answer of a play of 30 given to one of 50, by two mounts.
    let positions = [0.0, 200.0, 50.0, 120.0, -80.0, 20.0];
    let middle = answers(30.0, &positions, 1.0);
    assert_near(&answers(50.0, &middle, 1.0), &answers(80.0, &positions, 1.0));
}

#[test]
fn angular_gap_from_circumferential_backlash() {
    let of = |mm: f64, radius: f64| Angle::from_radians(mm / radius).arcsec();
    assert!((of(0.05, 50.0) - 206.26).abs() < 0.01);
    assert!((of(0.03, 45.0) - 137.51).abs() < 0.01);
}

#[test]
fn load_decides_the_flank() {
    // x = [0,1,2,1,0], g = 2, torque [5,5,0,0,−5], friction 1: y = [1,2,2,2,−1]. The load is a steady wind on the level
    // tube of an azimuth mount that points north: from the west it pushes the azimuth up. No damping: the limit of a
    // crossing without time.
    let mut spec = ideal(Kind::AltAzimuth, degrees(45.0));
    spec.axes[0].backlash = arcsec(2.0);
    spec.axes[0].friction = Torque::from_newton_metres(1.0);
    let mut mount = switch_on(spec, at_zero());
    let streams = Streams::new(1);
    let mut found = Vec::new();
    for (i, (x, torque)) in
        [(0.0, 5.0), (1.0, 5.0), (2.0, 0.0), (1.0, 0.0), (0.0, -5.0)].into_iter().enumerate()
    {
        let at = after(10.0 * i as f64);
        mount.wind(steady_wind(torque), &streams, 0, at);
        let time = mount.crystal().controller_time(at);
        mount.order(0, Path::hold(time, arcsec(x)), at);
        found.push(mount.axes(at + Span::from_whole_seconds(1)).first.arcsec());
    }
    assert_near(&found, &[1.0, 2.0, 2.0, 2.0, -1.0]);
}

/// A wind without gusts whose torque on the azimuth of a level tube pointing north is this, in N·m.
fn steady_wind(torque: f64) -> Option<WindSpec> {
    let speed = Speed::from_metres_per_second(5.0);
    let from = degrees(if torque > 0.0 { 270.0 } else { 90.0 });
    let wind = WindSpec { gusts: None, ..WindSpec::open_field(speed, from) };
    let lever = Length::from_metres(torque.abs() / wind.force(5.0));
    (torque != 0.0).then_some(WindSpec { lever, ..wind })
}

#[test]
fn tracking_after_a_reversal_waits_gap_over_rate() {
    // 120″ at 15.041067″/s: 7.978 s. The way back of 200″ has laid the wheel against the other flank.
    let mut mount = switch_on(with_play(120.0), at_zero());
    let begin = Span::from_seconds(2.0);
    let tracking = Path::steady(begin, arcsec(300.0), AngularRate::SIDEREAL);
    mount.order(0, zigzag(&[0.0, 500.0, 300.0], 1.0).spliced(begin, &tracking), after(0.0));
    let still = first(&mount, 2.0);
    assert!((still - 360.0).abs() < EXACT, "{still}");
    assert_eq!(first(&mount, 2.0 + 7.978), still);
    assert!(first(&mount, 2.0 + 7.9785) > still);
}

/// Takes up all play by a way forth of 500″, then orders a reversal with a fast extra move and tracking on.
fn after_compensated_reversal(extra: f64) -> Mount {
    let mut mount = switch_on(with_play(120.0), at_zero());
    let begin = Span::from_seconds(2.0);
    // Tracking back: the extra move is finished within 10 ms.
    let jump = Span::from_seconds(2.01);
    let tracking = Path::steady(jump, arcsec(500.0 - extra), -AngularRate::SIDEREAL);
    let there = zigzag(&[0.0, 500.0, 500.0], 1.0).spliced(begin, &zigzag_at(begin, 500.0, 500.0 - extra));
    mount.order(0, there.spliced(jump, &tracking), after(0.0));
    mount
}

fn zigzag_at(begin: Span, from: f64, to: f64) -> Path {
    zigzag(&[from, to], 0.01).shifted(begin, Angle::ZERO)
}

#[test]
fn compensation_too_small_waits_for_the_rest() {
    // g = 120″, B = 90: 30″ left, 1.995 s at the sidereal rate.
    let mount = after_compensated_reversal(90.0);
    assert!((first(&mount, 2.0) - 440.0).abs() < EXACT);
    assert_eq!(first(&mount, 2.01 + 1.994), first(&mount, 2.0));
    assert!(first(&mount, 2.01 + 1.996) < first(&mount, 2.0));
}

#[test]
fn compensation_too_large_jumps() {
    // B = 150: a jump of 30″.
    let mount = after_compensated_reversal(150.0);
    assert!((first(&mount, 2.0) - first(&mount, 2.01) - 30.0).abs() < EXACT);
}

#[test]
fn an_east_nudge_reverses_the_hour_axis_only_above_the_sidereal_rate() {
    // Net rate ω(1 − k): at 0.5× nothing waits, at 2× the gap is crossed first.
    let nudged = |k: f64| {
        let mut mount = switch_on(with_play(120.0), at_zero());
        let begin = Span::from_seconds(60.0);
        let rate = AngularRate::SIDEREAL;
        let nudge = Path::steady(begin, Angle::from_radians(rate.radians() * 60.0), rate * (1.0 - k));
        mount.order(0, Path::steady(Span::ZERO, Angle::ZERO, rate).spliced(begin, &nudge), after(0.0));
        first(&mount, 61.0) - first(&mount, 60.0)
    };
    assert!((nudged(0.5) - 0.5 * 15.041_067).abs() < 1e-6);
    assert_eq!(nudged(2.0), 0.0);
}

#[test]
fn sightings_ended_in_opposite_senses_disagree_by_the_gap() {
    // The same dial from both sides: methods that measure play by centring one star twice see g.
    let from_below = answers(150.0, &[0.0, 1000.0], 1.0)[1];
    let from_above = answers(150.0, &[0.0, 2000.0, 1000.0], 1.0)[2];
    assert!((from_above - from_below - 150.0).abs() < EXACT);
}

#[test]
fn rapid_alternate_moves_span_twice_the_amplitude_less_the_gap() {
    let found = answers(120.0, &[0.0, 300.0, -300.0, 300.0, -300.0], 0.5);
    assert!((found[3] - found[4] - (2.0 * 300.0 - 120.0)).abs() < EXACT);
}

#[test]
fn a_last_nudge_takes_the_play_up_only_if_it_exceeds_the_gap() {
    // 150″ at 20× needs 0.5 s, at 2× 5 s.
    for (k, seconds) in [(20.0, 0.498_6), (2.0, 4.986)] {
        let needed = 150.0 / (k * AngularRate::SIDEREAL.arcsec());
        assert!((needed - seconds).abs() < 1e-3);
        let end = |time: f64| {
            let way = k * AngularRate::SIDEREAL.arcsec() * time;
            answers(150.0, &[0.0, -500.0, -500.0 + way], time)[2] + 500.0
        };
        let lying = end(needed * 0.99);
        assert!((lying - 75.0).abs() < EXACT, "the wheel lies where it was");
        assert!(end(needed * 1.01) > 75.5);
    }
}

#[test]
fn a_gap_that_varies_round_the_wheel_moves_both_flanks() {
    // gap = 100″·(1 + 0.4 cos(y − 30°)): from both sides at one dial the axis differs by the gap that is there.
    let mut spec = with_play(100.0);
    spec.axes[0].backlash_variation = Share::from_fraction(0.4);
    spec.axes[0].backlash_phase = degrees(30.0);
    for place in [0.0, 30.0, 120.0, 210.0] {
        let mut mount = switch_on(spec.clone(), at_zero());
        let x = place * 3600.0;
        mount.order(0, zigzag(&[0.0, x - 1000.0, x, x + 1000.0, x], 5.0), after(0.0));
        let found = first(&mount, 20.0) - first(&mount, 10.0);
        let expected = 100.0 * (1.0 + 0.4 * degrees(place - 30.0).cos());
        // The two flanks' own places differ by the gap, over which it varies by 0.4·100″·(100″ in rad) = 0.02″.
        assert!((found - expected).abs() < 0.03, "{place}: {found} {expected}");
    }
}

#[test]
fn in_declination_every_change_of_direction_has_play() {
    // Where the hour axis at half the sidereal rate only slows down, a declination axis turns back at any rate.
    let mut spec = ideal(Kind::GermanEquatorial, degrees(45.0));
    spec.axes[1].backlash = arcsec(120.0);
    let mut mount = switch_on(spec, at_zero());
    let rate = AngularRate::SIDEREAL * 0.5;
    let turn = Span::from_seconds(60.0);
    let there = Path::steady(Span::ZERO, Angle::ZERO, rate);
    let back = Path::steady(turn, there.position(turn), -rate);
    mount.order(1, there.spliced(turn, &back), after(0.0));
    let second = |seconds: f64| mount.axes(after(seconds)).second;
    // 120″ at 7.52″/s: 15.96 s of standing still.
    assert_eq!(second(60.0), second(75.9));
    assert!(second(76.0) < second(60.0));
}

#[test]
fn play_of_the_grades_fits_their_pitch_radii() {
    // 360″ on 40 mm, 150″ on 50 mm, 30″ on 70 mm: 0.070, 0.036 and 0.010 mm at the pitch radius.
    for (play, radius, expected) in [(360.0, 40.0, 0.070), (150.0, 50.0, 0.036), (30.0, 70.0, 0.010)] {
        assert!((arcsec(play).radians() * radius - expected).abs() < 5e-4);
    }
}
