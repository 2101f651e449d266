//! Nudges, guide corrections, release and the dead-man timer.

mod common;

use common::Desk;

/// The sidereal rate in arcseconds per second.
const SIDEREAL: f64 = 15.041_067;

fn tracking() -> Desk {
    let mut desk = Desk::german();
    desk.obeyed("goto hour_axis=-30deg declination_axis=20deg");
    desk.run_until("arrived", 120.0);
    desk.obeyed("track rate=sidereal");
    desk.run(1.0);
    desk
}

#[test]
fn half_a_rate_east_keeps_the_hour_motor_turning_west() {
    let mut desk = tracking();
    desk.obeyed("nudge direction=east rate=0.5x for=5s");
    for _ in 0..60 {
        desk.run(0.1);
        assert!(desk.rate(0) > 0.49 * SIDEREAL, "{}", desk.rate(0));
    }
    assert!((desk.rate(0) - SIDEREAL).abs() < 1e-3);
}

#[test]
fn two_rates_east_turn_the_hour_motor_back() {
    let mut desk = tracking();
    desk.obeyed("nudge direction=east rate=2x for=5s");
    desk.run(2.0);
    // Tracking minus twice its rate.
    assert!((desk.rate(0) + SIDEREAL).abs() < 1e-3, "{}", desk.rate(0));
}

#[test]
fn a_timed_nudge_moves_rate_times_time() {
    let mut desk = tracking();
    let begin = desk.dial(1);
    desk.obeyed("nudge direction=north rate=20x for=2s");
    desk.run(4.0);
    // What the speeding up loses the braking gives back, as both have the same limits.
    let moved = (desk.dial(1) - begin) * 3600.0;
    assert!((moved - 2.0 * 20.0 * SIDEREAL).abs() < 1e-3, "{moved}");
    assert_eq!(desk.rate(1), 0.0);
}

#[test]
fn north_is_north_on_both_sides() {
    let mut desk = Desk::german();
    desk.obeyed("goto azimuth=240deg altitude=50deg solution=through-pole");
    desk.run_until("arrived", 200.0);
    let begin = desk.dial(1);
    let dec = |desk: &mut Desk| common::degrees(&desk.obeyed("status group=pointing"), "dec");
    let declination = dec(&mut desk);
    desk.obeyed("nudge direction=north rate=100x for=2s");
    desk.run(4.0);
    assert!(desk.dial(1) < begin, "through the pole the dial falls northward");
    assert!(dec(&mut desk) > declination + 0.7, "100 x 15.04 arcsec x 2 s are 0.84 deg");
}

#[test]
fn a_held_nudge_stops_when_the_client_falls_silent() {
    let mut desk = tracking();
    let begin = desk.dial(1);
    for _ in 0..5 {
        desk.obeyed("nudge direction=south rate=full hold=0.5s");
        desk.run(0.4);
    }
    let last_line = desk.now;
    let event = desk.run_until("dead-man", 10.0);
    assert_eq!(event, "* dead-man");
    // v = 3 deg/s, a = 2 deg/s2, j = 6 deg/s3: v/a + a/j s to brake, over v²/2a + va/2j = 2.25 + 0.5 deg.
    let stopped = (desk.now - last_line).seconds();
    assert!(stopped < 0.5 + 1.5 + 1.0 / 3.0 + 0.3, "{stopped}");
    let most = 3.0 * (5.0 * 0.4 + 0.1) + 2.75;
    assert!(begin - desk.dial(1) < most, "{}", begin - desk.dial(1));
    assert!((desk.rate(0) - SIDEREAL).abs() < 1e-3, "tracking goes on");
    assert!(desk.obeyed("errors").contains("kind=dead-man"));
}

#[test]
fn release_ends_nudges_without_the_dead_man() {
    let mut desk = tracking();
    desk.obeyed("nudge direction=west rate=100x");
    desk.run(0.5);
    desk.obeyed("nudge direction=north rate=20x");
    desk.run(0.2);
    desk.obeyed("release");
    desk.run(5.0);
    assert!((desk.rate(0) - SIDEREAL).abs() < 1e-3);
    assert_eq!(desk.rate(1), 0.0);
    assert!(!desk.events.iter().any(|event| event.contains("dead-man")), "{:?}", desk.events);
    assert!(desk.obeyed("status").contains("state=tracking"));
}

#[test]
fn corrections_of_both_axes_overlap() {
    let mut desk = tracking();
    let (hour, declination, begin) = (desk.dial(0), desk.dial(1), desk.now);
    desk.obeyed("guide-rate rate=0.5x");
    desk.obeyed("guide direction=west for=2s");
    desk.run(0.5);
    desk.obeyed("guide direction=south for=1s");
    desk.run(5.0);
    let tracked = SIDEREAL * (desk.now - begin).seconds();
    assert!(((desk.dial(0) - hour) * 3600.0 - tracked - SIDEREAL).abs() < 1e-3);
    assert!(((desk.dial(1) - declination) * 3600.0 + 0.5 * SIDEREAL).abs() < 1e-3);
}

#[test]
fn nudges_wait_for_jobs_and_jobs_for_nudges() {
    let mut desk = tracking();
    desk.obeyed("nudge direction=west rate=20x for=3s");
    desk.refused("goto hour_axis=-40deg declination_axis=20deg", "busy");
    desk.refused("guide direction=west for=1s", "busy");
    desk.run(5.0);
    desk.obeyed("goto hour_axis=-40deg declination_axis=20deg");
    desk.refused("nudge direction=west rate=20x for=3s", "busy");
    desk.refused("track rate=solar", "busy");
    desk.refused("nudge direction=up rate=20x for=3s", "busy");
    desk.run_until("arrived", 60.0);
    desk.refused("nudge direction=up rate=20x for=3s", "wrong-kind");
}

#[test]
fn no_rate_is_beyond_the_limits_of_the_drive() {
    let mut desk = tracking();
    desk.obeyed("nudge direction=west rate=full for=5s");
    for _ in 0..400 {
        desk.run(0.02);
        let (rate, acceleration) =
            (desk.rate(0).abs(), desk.motors.paths[0].acceleration(desk.now).degrees().abs());
        assert!(rate <= 3.0 * 3600.0 + 1e-3, "{rate}");
        assert!(acceleration <= 2.0 + 1e-6, "{acceleration}");
    }
}

#[test]
fn stop_stops_a_nudge_within_its_braking_distance() {
    let mut desk = tracking();
    desk.obeyed("nudge direction=north rate=full for=9s");
    desk.run(4.0);
    let begin = desk.dial(1);
    desk.obeyed("stop");
    desk.run_until("stopped", 5.0);
    let moved = desk.dial(1) - begin;
    // v²/2a = 2.25 deg, and va/2j = 0.5 deg for the jerk limit.
    assert!(moved > 2.0 && moved <= 2.75 + 1e-6, "{moved}");
    assert_eq!((desk.rate(0), desk.rate(1)), (0.0, 0.0));
}

#[test]
fn an_alt_azimuth_mount_goes_up_and_north() {
    let mut desk = Desk::alt_azimuth();
    desk.obeyed("goto azimuth=180deg altitude=40deg");
    desk.run_until("arrived", 200.0);
    desk.obeyed("nudge direction=up rate=100x for=2s");
    desk.run(4.0);
    assert!((desk.dial(1) - 40.0 - 200.0 * SIDEREAL / 3600.0).abs() < 1e-6);
    desk.obeyed("goto azimuth=90deg altitude=40deg");
    desk.run_until("arrived", 200.0);
    let before = desk.obeyed("status group=pointing");
    desk.obeyed("nudge direction=north rate=20x for=2s");
    desk.run(4.0);
    let after = desk.obeyed("status group=pointing");
    let moved = common::degrees(&after, "dec") - common::degrees(&before, "dec");
    // The slopes are frozen where it began; 10 arcmin away they are off by less than a hundredth.
    assert!((moved * 3600.0 - 40.0 * SIDEREAL).abs() < 6.0, "{moved}");
}
