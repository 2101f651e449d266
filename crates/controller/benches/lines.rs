//! What a line costs, from its text to its reply.

use controller::{Axis, Controller, CorrectionOrder, Motors, Settings};
use divan::{Bencher, black_box};
use kinematics::path::Path;
use kinematics::{Kind, Limits};
use protocol::Frame;
use sky::{Air, Geocentre, Site};
use std::sync::Arc;
use units::{
    Angle, AngularAcceleration, AngularJerk, AngularRate, Instant, Length, Pressure, Share, Span, Temperature,
};

fn main() {
    divan::main();
}

/// Motors that only remember.
struct Still([Path; 2], Span);

impl Motors for Still {
    fn dial(&mut self, axis: Axis) -> Angle {
        self.0[axis.index()].position(self.1)
    }

    fn order(&mut self, axis: Axis, path: Path) {
        self.0[axis.index()] = path;
    }

    fn correct(&mut self, _: Axis, _: CorrectionOrder) {}
}

fn computer() -> (Controller, Still) {
    let site = Site::new(Angle::from_degrees(45.0), Angle::from_degrees(5.0), Length::from_metres(300.0))
        .expect("a site");
    let (pressure, temperature) = (Pressure::from_hectopascals(980.0), Temperature::from_celsius(10.0));
    let air = Air::new(pressure, temperature, Share::from_fraction(0.5), 0.55).expect("air");
    let limits = Limits {
        rate: AngularRate::from_degrees(3.0),
        acceleration: AngularAcceleration::from_degrees(2.0),
        jerk: Some(AngularJerk::from_degrees(6.0)),
    };
    // 2027-03-06, in the evening in Europe.
    let clock = Instant::J2000_TAI + Span::DAY * 9926 + Span::from_whole_seconds(9 * 3600);
    let settings = Settings::new(Kind::GermanEquatorial, site, air, clock, [limits, limits]);
    let paths = [Path::hold(Span::ZERO, settings.home.first), Path::hold(Span::ZERO, settings.home.second)];
    let geocentre = Arc::new(Geocentre::new(clock, clock + Span::DAY));
    (Controller::new(settings, geocentre), Still(paths, Span::ZERO))
}

fn line(bencher: Bencher, text: &str) {
    let (controller, motors) = computer();
    let frame = Frame::Line(text.to_owned());
    bencher.with_inputs(|| (controller.clone(), String::with_capacity(256))).bench_local_values(
        |(mut controller, mut reply)| {
            let mut motors = Still(motors.0.clone(), motors.1);
            controller.answer(black_box(&frame), Span::from_whole_seconds(60), &mut motors, &mut reply);
            (controller, reply)
        },
    );
}

#[divan::bench]
fn status(bencher: Bencher) {
    let (mut controller, mut motors) = computer();
    let frame = Frame::Line("status".to_owned());
    let mut reply = String::with_capacity(256);
    bencher.bench_local(|| {
        reply.clear();
        controller.answer(black_box(&frame), Span::from_whole_seconds(60), &mut motors, &mut reply);
        reply.len()
    });
}

#[divan::bench]
fn goto_coordinates(bencher: Bencher) {
    line(bencher, "goto ra=8h40m dec=20deg");
}

#[divan::bench]
fn goto_coordinates_with_final_approach(bencher: Bencher) {
    let (mut controller, mut motors) = computer();
    let approach = Frame::Line("approach final=west-north".to_owned());
    controller.answer(&approach, Span::ZERO, &mut motors, &mut String::new());
    let frame = Frame::Line("goto ra=8h40m dec=20deg".to_owned());
    bencher.with_inputs(|| (controller.clone(), String::with_capacity(256))).bench_local_values(
        |(mut controller, mut reply)| {
            let mut motors = Still(motors.0.clone(), motors.1);
            controller.answer(black_box(&frame), Span::from_whole_seconds(60), &mut motors, &mut reply);
            (controller, reply)
        },
    );
}

#[divan::bench]
fn goto_axes(bencher: Bencher) {
    line(bencher, "goto hour_axis=-30deg declination_axis=20deg");
}

#[divan::bench]
fn nudge(bencher: Bencher) {
    line(bencher, "nudge direction=south rate=20x for=2s");
}

#[divan::bench]
fn track_both_axes(bencher: Bencher) {
    let (mut controller, mut motors) = computer();
    let goto = Frame::Line("goto hour_axis=-30deg declination_axis=20deg".to_owned());
    controller.answer(&goto, Span::ZERO, &mut motors, &mut String::new());
    motors.1 = Span::from_whole_seconds(60);
    controller.wake(motors.1, &mut motors, &mut Vec::new());
    let frame = Frame::Line("track rate=sidereal axes=both".to_owned());
    bencher.with_inputs(|| (controller.clone(), String::with_capacity(256))).bench_local_values(
        |(mut controller, mut reply)| {
            let mut motors = Still(motors.0.clone(), motors.1);
            controller.answer(black_box(&frame), Span::from_whole_seconds(60), &mut motors, &mut reply);
            (controller, reply)
        },
    );
}
