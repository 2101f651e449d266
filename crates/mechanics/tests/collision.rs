//! Capsules: distances, clearance, and the check of a whole way.

mod common;

use common::{START, after, degrees, level_base};
use kinematics::{AxisAngles, Geometry, Kind, Path, RestToRest};
use mechanics::{Body, Capsule, Grade, Mount, MountEventKind, StallCause};
use units::{Angle, AngularRate, Length, Span, Streams};

fn distance(a: Capsule, b: Capsule) -> f64 {
    a.distance(&b).metres()
}

#[test]
fn distances_of_capsules() {
    let x = Capsule::new([-1.0, 0.0, 0.0], [1.0, 0.0, 0.0], 0.1);
    // Parallel, crossing at a height, end to end, a point beside the middle, a point beyond an end, touching.
    assert!((distance(x, Capsule::new([-1.0, 1.0, 0.0], [1.0, 1.0, 0.0], 0.2)) - 0.7).abs() < 1e-15);
    assert!((distance(x, Capsule::new([0.3, -1.0, 0.5], [0.3, 1.0, 0.5], 0.1)) - 0.3).abs() < 1e-15);
    assert!((distance(x, Capsule::new([2.0, 0.0, 0.0], [3.0, 0.0, 0.0], 0.1)) - 0.8).abs() < 1e-15);
    assert!((distance(x, Capsule::new([0.2, 0.4, 0.3], [0.2, 0.4, 0.3], 0.0)) - 0.4).abs() < 1e-15);
    assert!((distance(x, Capsule::new([1.3, 0.4, 0.0], [1.3, 0.4, 0.0], 0.0)) - 0.4).abs() < 1e-15);
    assert!(distance(x, Capsule::new([0.0, 0.0, 0.2], [0.0, 0.0, 1.0], 0.1)).abs() < 1e-15);
}

#[test]
fn distance_is_the_least_of_all_pairs_of_points() {
    // Against a dense search: 200 points on each segment leave at most half a step (1 cm of 2 m) along each.
    let mut draws = Streams::new(5).stream("capsules", 0);
    let mut point = || [0; 3].map(|_| draws.between(-1.0, 1.0));
    for _ in 0..50 {
        let (a, b) = (Capsule::new(point(), point(), 0.05), Capsule::new(point(), point(), 0.02));
        let on = |c: &Capsule, i: i32| c.from + (c.to - c.from) * (f64::from(i) / 200.0);
        let mut least = f64::INFINITY;
        for i in 0..=200 {
            for j in 0..=200 {
                least = least.min((on(&a, i) - on(&b, j)).norm());
            }
        }
        let found = distance(a, b) + 0.07;
        assert!(found <= least + 1e-12 && found > least - 0.02, "{found} {least}");
    }
}

/// A beam that turns with the first axis, and a post beside it.
fn beam_and_post(post_at: f64) -> (Body, Geometry) {
    let (s, c) = degrees(post_at).sin_cos();
    // On an azimuth mount at angle zero the base's x axis points north; angles grow towards the east.
    let body = Body {
        fixed: vec![Capsule::new([s, c, -1.0], [s, c, 1.0], 0.05)],
        on_first: vec![Capsule::new([0.0, 0.0, 0.0], [1.5, 0.0, 0.0], 0.05)],
        on_second: Vec::new(),
    };
    (body, Geometry::ideal(Kind::AltAzimuth, level_base(Kind::AltAzimuth, degrees(45.0))))
}

#[test]
fn the_way_is_checked_not_its_ends() {
    // A beam turning from 0° to 180° at 3°/s meets a post at 90° when its axis is 0.1 m off: asin(0.1/1) = 5.74° before.
    let (body, geometry) = beam_and_post(90.0);
    let axes = |t: Span| AxisAngles { first: degrees(3.0 * t.seconds()), second: Angle::ZERO };
    assert!(body.clearance(&geometry, axes(Span::ZERO)).metres() > 0.5);
    let way = (Span::ZERO, Span::from_whole_seconds(60));
    assert!(body.clearance(&geometry, axes(way.1)).metres() > 0.5);
    let rates = [AngularRate::from_degrees(3.0), AngularRate::ZERO];
    let hit = body.first_contact(&geometry, way, rates, Length::ZERO, axes).expect("it meets the post");
    let expected = (90.0 - units::maths::asin(0.1).to_degrees()) / 3.0;
    // Found to a millisecond.
    assert!(hit.seconds() >= expected - 1e-6 && hit.seconds() < expected + 2e-3, "{hit:?} {expected}");
    // With a margin of 5 cm it is found earlier; behind the post there is nothing.
    let margin = Length::from_millimetres(50.0);
    assert!(body.first_contact(&geometry, way, rates, margin, axes).expect("too near") < hit);
    let beyond = |t: Span| AxisAngles { first: degrees(100.0 + t.seconds()), second: Angle::ZERO };
    assert_eq!(body.first_contact(&geometry, way, rates, Length::ZERO, beyond), None);
}

#[test]
fn a_slew_that_meets_the_post_stops_there_and_may_lead_away() {
    let (body, geometry) = beam_and_post(90.0);
    let mut spec = common::ideal(Kind::AltAzimuth, degrees(45.0));
    spec.geometry = geometry;
    spec.body = Some(body);
    let mut mount = common::switch_on(spec, common::at_zero());
    let slew = |mount: &mut Mount, way: f64, now: f64| {
        let at = after(now);
        let _ = mount.advance(at);
        let time = mount.crystal().controller_time(at);
        let profile = RestToRest::new(degrees(way), &common::limits());
        let path = Path::hold(time, mount.dial(0, at)).plus(time, &profile);
        mount.order(0, path, at);
    };
    slew(&mut mount, 170.0, 0.0);
    let events = mount.advance(after(100.0));
    assert!(
        matches!(events[0].kind, MountEventKind::Stalled { axis: 0, cause: StallCause::Collision }),
        "{events:?}"
    );
    let expected = 90.0 - units::maths::asin(0.1).to_degrees();
    let standing = mount.axes(after(100.0)).first.degrees();
    assert!((standing - expected).abs() < 0.01, "{standing}");
    assert!((mount.dial(0, after(100.0)).degrees() - 170.0).abs() < 1e-9);
    slew(&mut mount, -30.0, 101.0);
    let events = mount.advance(after(200.0));
    assert!(
        events.iter().any(|event| matches!(event.kind, MountEventKind::Caught { axis: 0, .. })),
        "{events:?}"
    );
    assert!((mount.axes(after(200.0)).first.degrees() - standing + 30.0).abs() < 0.01);
}

#[test]
fn small_steps_meet_the_post_where_one_slew_does_and_a_kicked_tripod_brings_it_nearer() {
    // What was seen of the room at one step is taken for the next ones: none of them may go too far by it.
    let met = |kick: Option<f64>, step: f64| {
        let (body, geometry) = beam_and_post(90.0);
        let mut spec = common::ideal(Kind::AltAzimuth, degrees(45.0));
        spec.geometry = geometry;
        spec.body = Some(body);
        let mut mount = common::switch_on(spec, common::at_zero());
        let mut at = 0.0;
        for step_number in 1..=200 {
            if let Some(east) = kick.filter(|_| step_number == 3) {
                mount.tripod_kick(Angle::ZERO, degrees(east), after(at));
            }
            let begun = after(at);
            let time = mount.crystal().controller_time(begun);
            let profile = RestToRest::new(degrees(step), &common::limits());
            mount.order(0, Path::hold(time, mount.dial(0, begun)).plus(time, &profile), begun);
            at += 100.0;
            let collided =
                |kind| matches!(kind, MountEventKind::Stalled { cause: StallCause::Collision, .. });
            if mount.advance(after(at)).iter().any(|event| collided(event.kind)) {
                return mount.axes(after(at)).first.degrees();
            }
        }
        panic!("the beam never met the post in steps of {step} degrees");
    };
    let expected = 90.0 - units::maths::asin(0.1).to_degrees();
    for step in [0.7, 3.0, 25.0] {
        // Contacts are found to a millisecond, in which a slew goes a hundredth of a degree at most.
        let way = met(None, step);
        assert!((way - expected).abs() < 0.01, "{way} in steps of {step}");
        // The azimuth is counted from a base that was turned 20 degrees towards the post meanwhile.
        let way = met(Some(20.0), step);
        assert!((way - (expected - 20.0)).abs() < 0.01, "{way} in steps of {step} after a kick");
    }
}

#[test]
fn default_bodies_stand_clear_at_home_and_meet_their_pier_far_past_the_meridian() {
    for latitude in [-66.0, -35.0, 0.0, 12.0, 50.0, 78.0, 90.0] {
        let kind = Kind::GermanEquatorial;
        let latitude = degrees(latitude);
        let spec = Grade::MidRange.mount(kind, latitude, level_base(kind, latitude), &Streams::new(1));
        let home = kinematics::home(kind, latitude);
        assert!(Mount::new(spec.clone(), START, home).is_ok(), "{latitude:?}");
        let body = spec.body.expect("a grade has a body");
        // Pointing along the meridian from either side, nothing meets at 30° of altitude.
        let toward = if latitude < Angle::ZERO { -1.0 } else { 1.0 };
        let declination = latitude - degrees(60.0 * toward);
        let axes = AxisAngles { first: Angle::ZERO, second: declination };
        assert!(body.clearance(&spec.geometry, axes).metres() > 0.0, "{latitude:?}");
    }
    // The tube swung far under its mount does meet something.
    let kind = Kind::GermanEquatorial;
    let spec = Grade::MidRange.mount(kind, degrees(45.0), level_base(kind, degrees(45.0)), &Streams::new(1));
    let body = spec.body.expect("a grade has a body");
    let worst = (0..360)
        .map(|i| {
            let axes = AxisAngles { first: degrees(90.0), second: degrees(f64::from(i)) };
            body.clearance(&spec.geometry, axes).metres()
        })
        .fold(f64::INFINITY, f64::min);
    assert!(worst < 0.0, "{worst}");
}
