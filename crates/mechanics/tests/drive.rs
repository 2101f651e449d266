//! The gears' own errors, as seen on the axis and as pure formulas.

mod common;

use common::{after, arcsec, at_zero, degrees, ideal, limits, switch_on};
use kinematics::{AxisAngles, Kind, Path};
use mechanics::{AxisSpec, CorrectionTable, Grade, Harmonic, Mount, MountEventKind, MountSpec};
use units::{Angle, AngularRate, Share, Span, Streams, maths};

fn spec() -> MountSpec {
    ideal(Kind::GermanEquatorial, degrees(45.0))
}

fn wave(order: f64, amplitude: f64, phase: f64) -> Harmonic {
    Harmonic { order, amplitude: arcsec(amplitude), phase: degrees(phase) }
}

/// A mount whose first axis tracks at the sidereal rate from dial zero on.
fn tracking(spec: MountSpec) -> Mount {
    let mut mount = switch_on(spec, at_zero());
    mount.order(0, Path::steady(Span::ZERO, Angle::ZERO, AngularRate::SIDEREAL), after(0.0));
    mount
}

/// Axis minus dial in arcseconds.
fn error(mount: &Mount, seconds: f64) -> f64 {
    let pose = mount.pose(after(seconds));
    (pose.axes.first - pose.dials.first).arcsec()
}

#[test]
fn worm_periods() {
    // Mean sidereal day over teeth. The rate used is the star's own, 8.4 ms a day slower than the equinox's.
    for (teeth, seconds) in [(126, 683.842), (160, 538.526), (200, 430.820)] {
        let axis = AxisSpec::ideal(teeth, 3.0, limits());
        assert!((axis.worm_period(AngularRate::SIDEREAL).seconds() - seconds).abs() < 1e-3);
        let day = 86_164.090_5 / teeth as f64;
        assert!((day - seconds).abs() < 5e-4);
    }
}

#[test]
fn rate_error_of_one_sine() {
    // 30″ peak-to-peak, 180 teeth, 478.689 s: 0.19689″/s.
    let mut spec = spec();
    spec.axes[0].teeth = 180;
    spec.axes[0].worm_errors = [vec![wave(1.0, 15.0, 0.0)], vec![wave(1.0, 15.0, 0.0)]];
    let period = spec.axes[0].worm_period(AngularRate::SIDEREAL).seconds();
    assert!((period - 478.689).abs() < 1e-3);
    let mount = tracking(spec);
    let step = 0.5;
    let rates = (0..1000)
        .map(|i| (error(&mount, f64::from(i) * step + step) - error(&mount, f64::from(i) * step)) / step);
    let fastest = rates.fold(0.0, f64::max);
    // A chord of 0.5 s on a period of 479 s is short of the slope by (π·0.5/479)²/6: 2e-6 of it.
    assert!((fastest - 0.196_89).abs() < 5e-6, "{fastest}");
}

#[test]
fn worm_error_repeats_each_turn_and_is_upstream_of_the_play() {
    let mut spec = spec();
    let waves = vec![wave(1.0, 15.0, 30.0), wave(2.0, 5.0, 200.0)];
    spec.axes[0].worm_errors = [waves.clone(), waves];
    let turn = 360.0 / 160.0;
    let place = |mount: &Mount, s: f64| mount.axes(after(s)).first.degrees();
    let mount = tracking(spec.clone());
    let period = spec.axes[0].worm_period(AngularRate::SIDEREAL).seconds();
    assert!((place(&mount, 100.0 + period) - place(&mount, 100.0) - turn).abs() < 1e-9);
    // No motion of the motor, no periodic error: within the gap the axis stands.
    spec.axes[0].backlash = arcsec(500.0);
    let mut mount = tracking(spec);
    let now = after(600.0);
    let stop = Path::hold(mount.crystal().controller_time(now), mount.dial(0, now));
    mount.order(0, stop, now);
    assert_eq!(mount.axes(after(700.0)), mount.axes(after(9000.0)));
}

#[test]
fn hour_axis_error_is_seen_multiplied_by_the_cosine_of_declination() {
    let mut with = spec();
    with.axes[0].worm_errors = [vec![wave(1.0, 15.0, 90.0)], vec![wave(1.0, 15.0, 90.0)]];
    for declination in [0.0, 40.0, -70.0] {
        let home = AxisAngles { first: Angle::ZERO, second: degrees(declination) };
        let (true_one, bent) = (switch_on(spec(), home), switch_on(with.clone(), home));
        let apart =
            kinematics::frames::separation(&true_one.boresight(after(1.0)), &bent.boresight(after(1.0)));
        assert!((apart.arcsec() - 15.0 * degrees(declination).cos()).abs() < 1e-6);
    }
}

#[test]
fn wheel_eccentricity() {
    // 8 µm on 60 mm: 27.50″, once per turn of the axis and unseen by the motor.
    let size = Angle::from_radians(8e-6 / 60e-3);
    assert!((size.arcsec() - 27.50).abs() < 0.005);
    let mut spec = spec();
    spec.axes[0].wheel.eccentricity = size;
    spec.axes[0].wheel.eccentricity_phase = degrees(20.0);
    for place in [0.0, 70.0, 250.0] {
        let home = AxisAngles { first: degrees(place), second: Angle::ZERO };
        let found = error(&switch_on(spec.clone(), home), 1.0);
        assert!((found - size.arcsec() * degrees(place + 20.0).sin()).abs() < 1e-8);
    }
}

#[test]
fn tooth_noise_repeats_after_one_turn_and_its_rate_never_jumps() {
    let mut spec = spec();
    let mut noise = Streams::new(3).stream("teeth", 0);
    spec.axes[0].wheel.teeth = (0..160).map(|_| arcsec(40.0 * noise.normal())).collect();
    let at = |place: f64| {
        let home = AxisAngles { first: degrees(place), second: Angle::ZERO };
        error(&switch_on(spec.clone(), home), 1.0)
    };
    for place in [0.3, 77.0, 200.0] {
        // A turn in degrees is added with a last bit of 6e-14°, or 2e-10″, on a slope of some ″ per degree.
        assert!((at(place) - at(place + 360.0)).abs() < 1e-8);
    }
    // At a tooth the slopes of both sides agree: differences over 1e-5° differ by the curvature alone, some 1e3″/deg²
    // times 1e-5°, while a broken slope would show as tens of ″/deg.
    let tooth = 5.0 * 360.0 / 160.0;
    let h = 1e-5;
    let (left, right) = ((at(tooth) - at(tooth - h)) / h, (at(tooth + h) - at(tooth)) / h);
    assert!((left - right).abs() < 0.1, "{left} {right}");
}

#[test]
fn resolution_follows_from_the_gears() {
    let resolution = |teeth, ratio, microsteps| {
        let axis = AxisSpec { microsteps, ..AxisSpec::ideal(teeth, ratio, limits()) };
        axis.microstep().arcsec()
    };
    // The last bit of the quotient.
    assert!((resolution(160, 3.0, 32) - 0.421_875).abs() < 1e-15);
    assert!((resolution(126, 4.0, 16) - 0.804).abs() < 5e-4);
    assert!((resolution(200, 2.0, 64) - 0.253).abs() < 5e-4);
}

#[test]
fn microsteps_quantise_the_dial_and_err_by_their_share() {
    // 5 % of a full step of 13.5″: 0.675″ at the most, repeating each four full steps.
    let mut spec = spec();
    spec.axes[0].continuous = false;
    spec.axes[0].microstep_error = Share::from_percent(5.0);
    assert!((spec.axes[0].full_step().arcsec() - 13.5).abs() < 1e-9);
    let resolution = spec.axes[0].microstep().arcsec();
    let mount = tracking(spec);
    let mut greatest = 0.0_f64;
    for i in 0..4000 {
        let seconds = f64::from(i) * 0.01;
        let dial = mount.dial(0, after(seconds)).arcsec();
        let steps = dial / resolution;
        assert!((steps - maths::rint(steps)).abs() < 1e-9);
        assert!((dial - seconds * AngularRate::SIDEREAL.arcsec()).abs() <= 0.5 * resolution + 1e-6);
        greatest = greatest.max(error(&mount, seconds).abs());
    }
    // Two waves of half the peak each: near it, never above.
    assert!(greatest <= 0.675 + 1e-9 && greatest > 0.9 * 0.675 * 0.95, "{greatest}");
}

#[test]
fn correction_keeps_this_much_of_an_incommensurate_stage() {
    // |sin(πρK)/(K sin πρ)| for ρ = 1.37, K = 4: 0.2719.
    let (rho, turns, bins) = (1.37, 4, 512);
    let kept = (maths::sin(maths::PI * rho * 4.0) / (4.0 * maths::sin(maths::PI * rho))).abs();
    assert!((kept - 0.2719).abs() < 5e-5);
    // The stage's own turn means have a trend, which the recording takes off too: it alters a single phase by some
    // tenths, and the quadratic mean over all phases by less than an eighth.
    let mut power = 0.0;
    let phases = 72;
    for i in 0..phases {
        let phase = maths::TAU * f64::from(i) / f64::from(phases);
        let mut quiet = Streams::new(1).stream("noise", 0);
        let table = CorrectionTable::record(bins, turns, Angle::ZERO, &mut quiet, |w| {
            maths::sin(maths::TAU * rho * w + phase)
        })
        .expect("enough bins");
        power += table.bins().map(|bin| bin.radians() * bin.radians()).sum::<f64>() / bins as f64;
    }
    let amplitude = (2.0 * power / f64::from(phases)).sqrt();
    assert!((amplitude / kept - 1.0).abs() < 0.12, "{amplitude} {kept}");
}

/// Root mean square of what is left of a wave of order k after a table of `bins` is played back `late` turns late.
fn left_over(bins: usize, order: f64, late: f64) -> f64 {
    let mut quiet = Streams::new(1).stream("noise", 0);
    let wave = |w: f64| maths::sin(maths::TAU * order * w);
    let table = CorrectionTable::record(bins, 2, Angle::ZERO, &mut quiet, wave).expect("enough bins");
    let n = 20_000;
    let sum = (0..n).map(|i| {
        let w = f64::from(i) / f64::from(n);
        let rest = wave(w) + table.at(w - late).radians();
        rest * rest
    });
    (2.0 * sum.sum::<f64>() / f64::from(n)).sqrt()
}

#[test]
fn a_phase_error_leaves_twice_the_sine_of_its_half() {
    // 10″ and 20°: 3.473″. Straight lines between 1024 middles are good to (π/1024)²/2: 5e-6.
    let expected = 2.0 * degrees(10.0).sin();
    assert!((10.0 * expected - 3.473).abs() < 5e-4);
    let left = left_over(1024, 1.0, 20.0 / 360.0);
    assert!((left / expected - 1.0).abs() < 1e-4, "{left}");
}

#[test]
fn playback_between_bin_middles_leaves_little() {
    // Stepwise playback of bin averages leaves √(1 − sinc²(k/N)) of a wave, 5.7 % for k/N = 1/32; straight lines between
    // the middles leave of the order (πk/N)²/2, 0.5 %.
    let sinc = |x: f64| maths::sin(maths::PI * x) / (maths::PI * x);
    let stepwise = (1.0 - sinc(1.0_f64 / 32.0) * sinc(1.0_f64 / 32.0)).sqrt();
    assert!((stepwise - 0.0567).abs() < 1e-4);
    assert!(left_over(512, 16.0, 0.0) < 0.005);
}

#[test]
fn measurement_noise_leaves_sigma_over_root_k_per_bin() {
    let bins = 512;
    let mut stream = Streams::new(11).stream("noise", 0);
    for turns in [1, 4, 9] {
        let table =
            CorrectionTable::record(bins, turns, arcsec(2.0), &mut stream, |_| 0.0).expect("enough bins");
        let rms = (table.bins().map(|bin| bin.arcsec() * bin.arcsec()).sum::<f64>() / bins as f64).sqrt();
        // 512 draws: 3 % standard error, three of them.
        assert!((rms / (2.0 / (turns as f64).sqrt()) - 1.0).abs() < 0.1, "{turns}: {rms}");
    }
}

#[test]
fn a_table_of_one_flank_is_wrong_on_the_other() {
    let mut spec = spec();
    spec.axes[0].worm_errors = [vec![wave(1.0, 10.0, 0.0)], vec![wave(1.0, 10.0, 90.0)]];
    let flank = |w: f64| arcsec(10.0).radians() * maths::sin(maths::TAU * w);
    let bins: Vec<Angle> =
        (0..512).map(|i| Angle::from_radians(-flank((f64::from(i) + 0.5) / 512.0))).collect();
    spec.axes[0].correction = Some(CorrectionTable::from_bins(&bins).expect("enough bins"));
    spec.axes[0].backlash = arcsec(200.0);
    let peak = |sense: f64| {
        let mut mount = switch_on(spec.clone(), at_zero());
        let rate = AngularRate::SIDEREAL * sense;
        mount.order(0, Path::steady(Span::ZERO, Angle::ZERO, rate), after(0.0));
        let values = (0..540).map(|i| error(&mount, 60.0 + f64::from(i)));
        let (low, high) = values.fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(v), h.max(v)));
        high - low
    };
    // On the recorded flank nearly nothing is left; on the other 2·10″·√2.
    assert!(peak(1.0) < 0.1, "{}", peak(1.0));
    assert!((peak(-1.0) - 20.0 * 2.0_f64.sqrt()).abs() < 0.1, "{}", peak(-1.0));
}

#[test]
fn a_correction_is_lost_with_the_power_unless_there_is_an_index_mark() {
    for index_mark in [true, false] {
        let mut spec = spec();
        let waves = vec![wave(1.0, 10.0, 0.0)];
        spec.axes[0].worm_errors = [waves.clone(), waves];
        spec.axes[0].index_mark = index_mark;
        let bins: Vec<Angle> =
            (0..512).map(|i| arcsec(-10.0 * maths::sin(maths::TAU * (f64::from(i) + 0.5) / 512.0))).collect();
        spec.axes[0].correction = Some(CorrectionTable::from_bins(&bins).expect("enough bins"));
        let mut mount = tracking(spec);
        mount.brown_out(Span::from_seconds(0.1), after(100.0));
        let begin = after(101.0);
        let time = mount.crystal().controller_time(begin);
        let _ = mount.advance(begin);
        mount.order(0, Path::steady(time, Angle::ZERO, AngularRate::SIDEREAL), begin);
        let values = (0..540).map(|i| error(&mount, 101.0 + f64::from(i)));
        let (low, high) = values.fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(v), h.max(v)));
        if index_mark {
            assert!(high - low < 0.1, "{}", high - low);
        } else {
            assert!((high - low - 20.0).abs() < 0.1, "{}", high - low);
        }
        assert_eq!(mount.correction_plays(0, after(101.0)), index_mark.then_some(true));
    }
}

/// A mount that tracks with a worm error of 10″, and the table that takes it away, so many times over.
fn worm_and_table(times: f64, index_mark: bool) -> (Mount, CorrectionTable) {
    let mut spec = spec();
    let waves = vec![wave(1.0, 10.0, 0.0)];
    spec.axes[0].worm_errors = [waves.clone(), waves];
    spec.axes[0].index_mark = index_mark;
    let bin = |i: i32| arcsec(-10.0 * times * maths::sin(maths::TAU * (f64::from(i) + 0.5) / 512.0));
    let table = CorrectionTable::from_bins(&(0..512).map(bin).collect::<Vec<_>>()).expect("enough bins");
    (tracking(spec), table)
}

/// Range of the error over a turn of the worm from that second on, arcsec.
fn range(mount: &Mount, from: u32) -> f64 {
    let values = (0..540).map(|i| error(mount, f64::from(from + i)));
    let (low, high) = values.fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(v), h.max(v)));
    high - low
}

#[test]
fn half_and_double_a_correction_show() {
    for (times, left) in [(0.0, 20.0), (0.5, 10.0), (1.0, 0.0), (2.0, 20.0)] {
        let (mut mount, table) = worm_and_table(times, false);
        mount.load_correction(0, table, after(10.0)).expect("it is not steep");
        // What a drive has it doesn't play unasked.
        assert!((range(&mount, 10) - 20.0).abs() < 0.1);
        mount.play_correction(0, true, after(20.0));
        // Straight lines between 512 bins of a wave of 10″, and a look a second: well below a tenth.
        assert!((range(&mount, 20) - left).abs() < 0.1, "{times}: {}", range(&mount, 20));
        // Whoever measures is told the same without waiting for it: a wave's range is √8 times the root of its mean square.
        let told = mount.periodic_error(0, true, after(20.0));
        assert!((told.peak_to_peak.arcsec() - left).abs() < 0.1, "{times}: {told:?}");
        assert!((told.rms.arcsec() * 8.0_f64.sqrt() - left).abs() < 0.1, "{times}: {told:?}");
        let bare = mount.periodic_error(0, false, after(20.0));
        assert!((bare.peak_to_peak.arcsec() - 20.0).abs() < 0.01, "{bare:?}");
        assert_eq!(mount.correction_plays(0, after(20.0)), Some(true));
        mount.play_correction(0, false, after(600.0));
        assert!((range(&mount, 600) - 20.0).abs() < 0.1);
    }
}

/// Loses about so many arcseconds of steps at a second; how many it were.
fn lose(mount: &mut Mount, about: f64, second: f64) -> f64 {
    mount.lose_steps(0, arcsec(about), after(second));
    let lost = mount.advance(after(second)).into_iter().find_map(|event| match event.kind {
        MountEventKind::Caught { lost, .. } => Some(lost.arcsec()),
        _ => None,
    });
    lost.expect("it was told")
}

#[test]
fn lost_steps_shift_a_correction_without_an_index_mark() {
    let turn = 360.0 * 3600.0 / 160.0;
    for index_mark in [true, false] {
        let (mut mount, _) = worm_and_table(1.0, index_mark);
        // By the count at which the table comes the worm stands so much farther back.
        let shift = lose(&mut mount, 675.0, 5.0) / turn;
        let bin = |i: i32| arcsec(-10.0 * maths::sin(maths::TAU * ((f64::from(i) + 0.5) / 512.0 - shift)));
        let table = CorrectionTable::from_bins(&(0..512).map(bin).collect::<Vec<_>>()).expect("enough bins");
        mount.load_correction(0, table, after(10.0)).expect("it is not steep");
        mount.play_correction(0, true, after(10.0));
        assert!(range(&mount, 10) < 0.1, "{}", range(&mount, 10));
        let phase = 360.0 * lose(&mut mount, 1350.0, 600.0) / turn;
        // A phase error χ leaves a wave of 2a sin(χ/2).
        let expected = if index_mark { 0.0 } else { 40.0 * degrees(phase / 2.0).sin() };
        assert!((range(&mount, 600) - expected).abs() < 0.1, "{index_mark}: {}", range(&mount, 600));
        let told = mount.periodic_error(0, true, after(600.0)).peak_to_peak.arcsec();
        assert!((told - expected).abs() < 0.1, "{index_mark}: {told}");
    }
}

#[test]
fn grades_have_their_peak_to_peak_and_slopes() {
    let base = common::level_base(Kind::GermanEquatorial, degrees(50.0));
    for (grade, expected) in [(Grade::Worn, 90.0), (Grade::MidRange, 30.0), (Grade::Tuned, 8.0)] {
        let spec = grade.mount(Kind::GermanEquatorial, degrees(50.0), base, &Streams::new(7));
        let mut only = common::ideal(Kind::GermanEquatorial, degrees(50.0));
        only.axes[0].teeth = spec.axes[0].teeth;
        only.axes[0].worm_errors = [spec.axes[0].worm_errors[0].clone(), spec.axes[0].worm_errors[0].clone()];
        let mount = tracking(only.clone());
        let period = only.axes[0].worm_period(AngularRate::SIDEREAL).seconds();
        let values = (0..720).map(|i| error(&mount, period * f64::from(i) / 720.0));
        let (low, high) = values.fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(v), h.max(v)));
        assert!((high - low - expected).abs() < 1e-3 * expected, "{grade:?} {}", high - low);
        assert!(
            Mount::new(spec, common::START, AxisAngles { first: degrees(-90.0), second: degrees(90.0) })
                .is_ok()
        );
    }
}
