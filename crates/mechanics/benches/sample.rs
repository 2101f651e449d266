//! What a question and a night cost.

use divan::{Bencher, black_box};
use kinematics::{AxisAngles, BaseErrors, Kind, Path, RestToRest, base};
use mechanics::{Grade, Mount, MountSpec, WindSpec};
use units::{Angle, AngularRate, Instant, Span, Speed, Streams};

fn main() {
    divan::main();
}

const START: Instant = Instant::from_nanoseconds(800_000_000_000_000_000);

fn spec(grade: Grade) -> MountSpec {
    let latitude = Angle::from_degrees(40.5);
    let kind = Kind::GermanEquatorial;
    grade.mount(kind, latitude, base(kind, latitude, &BaseErrors::default()), &Streams::new(7))
}

fn switched_on(grade: Grade) -> Mount {
    let home = AxisAngles { first: Angle::from_degrees(-90.0), second: Angle::from_degrees(90.0) };
    Mount::new(spec(grade), START, home).expect("grades are mounts")
}

/// Tracking, somewhat after the beginning.
fn tracking(grade: Grade) -> Mount {
    let mut mount = switched_on(grade);
    let path = Path::steady(Span::ZERO, Angle::from_degrees(-60.0), AngularRate::SIDEREAL);
    mount.order(0, path, START);
    mount.order(1, Path::hold(Span::ZERO, Angle::from_degrees(30.0)), START);
    let _ = mount.advance(START + Span::from_whole_seconds(600));
    mount
}

const GRADES: [Grade; 4] = [Grade::Worn, Grade::MidRange, Grade::Tuned, Grade::Perfect];

#[divan::bench(args = GRADES)]
fn pose_while_tracking(bencher: Bencher, grade: Grade) {
    let mount = tracking(grade);
    let mut i = 0_i64;
    bencher.bench_local(|| {
        i = (i + 7_919) % 20_000;
        black_box(mount.pose(mount.now() + Span::from_nanoseconds(i * 1_000_000)))
    });
}

/// What to compare with on the same machine at the same time.
#[divan::bench]
fn one_sine_and_cosine_of_the_library(bencher: Bencher) {
    let mut x = 0.1;
    bencher.bench_local(|| {
        x = (x + 0.618) % 6.0;
        black_box(units::maths::sincos(black_box(x)))
    });
}

/// Ten hours, 40 slews, 36 000 questions.
fn night(mut mount: Mount, samples: bool) -> f64 {
    let mut sum = 0.0;
    let limits = mount.spec().axes[0].limits;
    for target in 0..40_i32 {
        let now = START + Span::from_whole_seconds(900 * i64::from(target));
        let _ = mount.advance(now);
        let time = mount.crystal().controller_time(now);
        let ends = [-150.0 + 3.0 * f64::from(target), 20.0 + f64::from(target % 7) * 10.0];
        for (axis, to) in ends.into_iter().enumerate() {
            let from = mount.dial(axis, now);
            let way = RestToRest::new(Angle::from_degrees(to) - from, &limits);
            let rate = if axis == 0 { AngularRate::SIDEREAL } else { AngularRate::ZERO };
            mount.order(axis, Path::steady(time, from, rate).plus(time, &way), now);
        }
        for i in 0..if samples { 900 } else { 0 } {
            let at = now + Span::from_whole_seconds(i);
            let _ = mount.advance(at);
            sum += mount.pose(at).boresight.x;
        }
    }
    let _ = mount.advance(START + Span::from_whole_seconds(36_000));
    sum
}

#[divan::bench(args = GRADES, sample_count = 10)]
fn ten_hours_with_samples(bencher: Bencher, grade: Grade) {
    bencher.with_inputs(|| switched_on(grade)).bench_local_values(|mount| black_box(night(mount, true)));
}

#[divan::bench(args = GRADES, sample_count = 10)]
fn ten_hours_without_samples(bencher: Bencher, grade: Grade) {
    bencher.with_inputs(|| switched_on(grade)).bench_local_values(|mount| black_box(night(mount, false)));
}

#[divan::bench(sample_count = 10)]
fn ten_windy_hours_worn(bencher: Bencher) {
    bencher
        .with_inputs(|| {
            let mut mount = switched_on(Grade::Worn);
            let wind = WindSpec::open_field(Speed::from_metres_per_second(5.0), Angle::from_degrees(250.0));
            mount.wind(Some(wind), &Streams::new(7), 0, START);
            mount
        })
        .bench_local_values(|mount| black_box(night(mount, true)));
}
