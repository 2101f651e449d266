//! Go-tos: final approach, take-up, the choice of the position, sync.

mod common;

use common::{Desk, NIGHT, degrees, field, settings};
use kinematics::Kind;
use units::Angle;

/// The senses in which both dials last turned before now.
fn last_senses(desk: &Desk) -> [f64; 2] {
    [0, 1].map(|axis| {
        let path = &desk.motors.paths[axis];
        let turns = path.turning_points(units::Span::ZERO, desk.now);
        let last_rest = turns.last().copied().unwrap_or(units::Span::ZERO);
        // Just before the last change it still turned (or it turns still).
        let before = path.position(last_rest) - path.position(last_rest - units::Span::from_seconds(0.05));
        before.radians().signum()
    })
}

#[test]
fn every_way_ends_in_the_sense_that_was_asked_for() {
    for (last, west, north) in [
        ("west-north", 1.0, 1.0),
        ("west-south", 1.0, -1.0),
        ("east-north", -1.0, 1.0),
        ("east-south", -1.0, -1.0),
    ] {
        for (hour, declination) in
            [(-30.0, 20.0), (-80.0, 70.0), (-30.1, 20.1), (-29.9, 19.95), (-29.9, 19.95)]
        {
            let mut desk = Desk::german();
            desk.obeyed("goto hour_axis=-30deg declination_axis=20deg");
            desk.run_until("arrived", 200.0);
            desk.obeyed(&format!("approach final={last} overshoot=15arcmin"));
            let reply = desk.obeyed(&format!("goto hour_axis={hour}deg declination_axis={declination}deg"));
            let seconds = units::Span::from_seconds(
                field(&reply, "seconds").trim_end_matches('s').parse::<f64>().unwrap(),
            );
            let begin = desk.now;
            desk.run_until("arrived", 200.0);
            assert!((desk.now - begin - seconds).seconds() < 0.251, "one job, one end");
            assert!((desk.dial(0) - hour).abs() < 1e-9 && (desk.dial(1) - declination).abs() < 1e-9);
            let moved = [(hour, -30.0), (declination, 20.0)].map(|(to, from): (f64, f64)| to != from);
            let senses = last_senses(&desk);
            for (axis, wanted) in [west, north].into_iter().enumerate() {
                assert!(senses[axis] == wanted || !moved[axis], "{last} to {hour} {declination}: {senses:?}");
            }
        }
    }
}

#[test]
fn a_final_approach_includes_the_target_s_own_motion() {
    let mut desk = Desk::german();
    desk.obeyed("approach final=west-north overshoot=15arcmin");
    desk.obeyed("goto name=Capella");
    desk.run_until("arrived", 200.0);
    let belief = desk.controller.belief();
    let entry = sky::catalogue::Catalogue::embedded().find("Capella").unwrap();
    let seen = belief.observed(&belief.track(&entry.source), desk.now);
    let dials = kinematics::AxisAngles {
        first: Angle::from_degrees(desk.dial(0)),
        second: Angle::from_degrees(desk.dial(1)),
    };
    let off = kinematics::frames::separation(&seen, &belief.model().direction_for(dials)).arcsec();
    // At most a quarter of a second after arrival, in which refraction changes by thousandths.
    assert!(off < 0.01, "{off}");
    // Through the pole northward on the sky is downward on the dial.
    assert!(desk.dial(1) < 90.0 || last_senses(&desk)[1] < 0.0);
}

#[test]
fn the_motor_takes_up_the_play_and_the_dial_leaves_it_out() {
    let mut desk = Desk::german();
    desk.obeyed("goto hour_axis=-60deg declination_axis=40deg");
    desk.run_until("arrived", 200.0);
    desk.obeyed("take-up hour_axis=150arcsec declination_axis=180arcsec");
    desk.obeyed("goto hour_axis=-50deg declination_axis=30deg");
    desk.run_until("arrived", 200.0);
    // Both go on in the sense in which they came from home (-90, 90): nothing to take up.
    assert!((desk.dial(0) + 50.0).abs() < 1e-9 && (desk.dial(1) - 30.0).abs() < 1e-9);
    desk.obeyed("goto hour_axis=-55deg declination_axis=35deg");
    desk.run_until("arrived", 200.0);
    desk.run(5.0);
    assert!((desk.dial(0) + 55.0) * 3600.0 + 150.0 < 1e-6, "{}", desk.dial(0));
    assert!((desk.dial(1) - 35.0) * 3600.0 - 180.0 < 1e-6, "{}", desk.dial(1));
    let reply = desk.obeyed("axes");
    assert_eq!((degrees(&reply, "hour_dial"), degrees(&reply, "declination_dial")), (-55.0, 35.0));
    // And back: what was added is taken away.
    desk.obeyed("goto hour_axis=-50deg declination_axis=30deg");
    desk.run_until("arrived", 200.0);
    desk.run(5.0);
    assert!((desk.dial(0) + 50.0).abs() < 1e-9 && (desk.dial(1) - 30.0).abs() < 1e-9);
    desk.refused("take-up azimuth_axis=1arcmin", "wrong-kind");
}

#[test]
fn a_nudge_back_takes_up_the_play_too() {
    let mut desk = Desk::german();
    desk.obeyed("goto hour_axis=-60deg declination_axis=40deg");
    desk.run_until("arrived", 200.0);
    desk.obeyed("take-up declination_axis=180arcsec");
    let before = desk.dial(1);
    desk.obeyed("nudge direction=north rate=20x for=2s");
    desk.run(5.0);
    let moved = (desk.dial(1) - before) * 3600.0;
    // From home it came downward: 40 sidereal seconds northward, and the play.
    assert!((moved - 40.0 * 15.041_067 - 180.0).abs() < 1e-3, "{moved}");
}

#[test]
fn the_rule_of_the_solution_is_kept() {
    // At the meridian both positions can be had: 5 deg west of it, within the over-run of 10 deg.
    let target = "goto azimuth=186.4deg altitude=60deg";
    for (choice, direct) in [
        ("by-hour-angle", false),
        ("longest-track", false),
        ("shortest-slew", true),
        ("direct", true),
        ("through-pole", false),
    ] {
        let mut desk = Desk::german();
        desk.obeyed("goto hour_axis=-5deg declination_axis=20deg");
        desk.run_until("arrived", 200.0);
        desk.obeyed(&format!("solution choice={choice}"));
        let reply = desk.obeyed(target);
        assert_eq!(field(&reply, "solution") == "direct", direct, "{choice}: {reply}");
    }
    // A go-to may ask for the other one.
    let mut desk = Desk::german();
    desk.obeyed("solution choice=direct");
    let reply = desk.obeyed(&format!("{target} solution=through-pole"));
    assert_eq!(field(&reply, "solution"), "through-pole");
}

#[test]
fn after_a_sync_the_mount_believes_to_point_there() {
    for kind in [Kind::GermanEquatorial, Kind::AltAzimuth] {
        let mut desk = Desk::new(settings(kind, NIGHT));
        desk.obeyed("goto name=Capella");
        desk.run_until("arrived", 200.0);
        // Centred by hand: a little up and to one side.
        let (one, other) = if kind == Kind::AltAzimuth { ("up", "left") } else { ("north", "east") };
        desk.obeyed(&format!("nudge direction={one} rate=20x for=5s"));
        desk.obeyed(&format!("nudge direction={other} rate=20x for=3s"));
        desk.run(10.0);
        let reply = desk.obeyed("sync name=Capella");
        // 300 s of arc of sidereal time are 1504 arcsec.
        assert!((degrees(&reply, "second_shift").abs() * 3600.0 - 1504.1).abs() < 40.0, "{reply}");
        let before = (desk.dial(0), desk.dial(1));
        let pointing = desk.obeyed("status group=pointing");
        let entry = sky::catalogue::Catalogue::embedded().find("Capella").unwrap();
        let seen =
            desk.controller.belief().observed(&desk.controller.belief().track(&entry.source), desk.now);
        let (azimuth, altitude) = kinematics::frames::horizontal(&seen);
        assert!((degrees(&pointing, "altitude") - altitude.degrees()).abs() * 3600.0 < 0.01, "{pointing}");
        assert!((degrees(&pointing, "azimuth") - azimuth.degrees()).abs() * 3600.0 < 0.05, "{pointing}");
        desk.obeyed("goto name=Capella");
        desk.run_until("arrived", 200.0);
        // It is there already: only the stars have moved on.
        assert!((desk.dial(0) - before.0).abs() < 0.01 && (desk.dial(1) - before.1).abs() < 0.01);
    }
    let mut desk = Desk::german();
    desk.refused("sync name=Nowhere", "unknown-target");
    desk.refused("sync ra=0h dec=-80deg", "below-horizon");
    desk.refused("sync ra=0h dec=89.9deg", "unreachable");
}
