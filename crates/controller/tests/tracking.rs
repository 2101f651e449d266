//! Tracking rates, both axes, limits, the meridian.

mod common;

use common::{Desk, NIGHT, degrees, field, settings};
use kinematics::Kind;
use protocol::MeridianPolicy;
use units::Angle;

const SIDEREAL: f64 = 15.041_067;

fn at(hour: f64, declination: f64) -> Desk {
    let mut desk = Desk::german();
    desk.obeyed(&format!("goto hour_axis={hour}deg declination_axis={declination}deg"));
    desk.run_until("arrived", 200.0);
    desk
}

#[test]
fn each_rate_turns_the_hour_axis_as_its_name_says() {
    let mut desk = at(-30.0, 20.0);
    // 86 400 s of arc in 1436.46 min are 15.03697 arcsec/s (King); the mean Sun's are 15.
    for (line, rate) in [
        ("track rate=sidereal", SIDEREAL),
        ("track rate=solar", 15.0),
        ("track rate=refraction-averaged", 15.036_97),
        ("track rate=custom hour=2x declination=-3arcsec/s", 2.0 * SIDEREAL),
        ("track rate=off", 0.0),
    ] {
        desk.obeyed(line);
        desk.run(1.0);
        assert!((desk.rate(0) - rate).abs() < 2e-5, "{line}: {}", desk.rate(0));
        let declination = if line.contains("custom") { -3.0 } else { 0.0 };
        assert!((desk.rate(1) - declination).abs() < 1e-9, "{line}: {}", desk.rate(1));
    }
    desk.refused("track rate=refraction-averaged axes=both", "conflicting-keys");
}

#[test]
fn a_custom_declination_rate_is_north_on_the_sky_through_the_pole() {
    let mut desk = at(-120.0, 150.0);
    desk.obeyed("track rate=custom hour=1x declination=3arcsec/s");
    desk.run(1.0);
    assert!((desk.rate(1) + 3.0).abs() < 1e-9);
}

#[test]
fn the_lunar_rate_is_the_moon_s_own_as_seen_from_the_site() {
    let mut desk = at(-30.0, 20.0);
    desk.obeyed("track rate=lunar");
    let (hour, declination, begin) = (desk.dial(0), desk.dial(1), desk.now);
    desk.run(1800.0);
    let belief = desk.controller.belief();
    let moon = belief.track(&sky::Source::Body(sky::Body::Moon));
    let place = |now| {
        let instant = belief.instant(now);
        let direction = belief.station().airless(&moon.cirs(instant), instant);
        let (hour, declination) = sky::hour_angle_and_declination(&direction, belief.station());
        (hour.degrees(), declination.degrees())
    };
    let (then, now) = (place(begin), place(desk.now));
    assert!(((desk.dial(0) - hour) - (now.0 - then.0)).abs() * 3600.0 < 0.01);
    assert!(((desk.dial(1) - declination) - (now.1 - then.1)).abs() * 3600.0 < 0.01);
    // The Moon falls behind the stars by 33 to 40 arcmin in an hour, less the parallax's part.
    let rate = (desk.dial(0) - hour) * 2.0;
    assert!((14.2..15.0).contains(&rate), "{rate}");
}

/// The dials of both axes against the model's own answer, at instants between the knots.
#[test]
fn both_axes_follow_the_model_to_a_hundredth_of_an_arcsecond() {
    for kind in [Kind::GermanEquatorial, Kind::AltAzimuth] {
        let mut desk = Desk::new(settings(kind, NIGHT));
        desk.obeyed("track rate=off axes=both");
        desk.obeyed("goto name=Capella");
        desk.run_until("arrived", 200.0);
        let entry = sky::catalogue::Catalogue::embedded().find("Capella").unwrap();
        for step in 0..200 {
            desk.run(13.7);
            let belief = desk.controller.belief();
            let seen = belief.observed(&belief.track(&entry.source), desk.now);
            let dials = kinematics::AxisAngles {
                first: Angle::from_degrees(desk.dial(0)),
                second: Angle::from_degrees(desk.dial(1)),
            };
            let pointed = belief.model().direction_for(dials);
            let off = kinematics::frames::separation(&seen, &pointed).arcsec();
            assert!(off < 0.01, "{kind:?}, step {step}: {off} arcsec");
        }
    }
}

#[test]
fn more_questions_leave_every_bit_as_it_was() {
    let play = |step: f64| {
        let mut desk = Desk::alt_azimuth();
        desk.obeyed("goto name=Capella");
        for _ in 0..(1500.0 / step) as usize {
            desk.run(step);
            desk.obeyed("status");
        }
        (desk.dial(0).to_bits(), desk.dial(1).to_bits(), desk.controller.state_digest())
    };
    assert_eq!(play(1500.0), play(0.75));
}

#[test]
fn an_alt_azimuth_mount_follows_from_where_a_nudge_left_it() {
    let mut desk = Desk::alt_azimuth();
    desk.obeyed("goto name=Capella");
    desk.run_until("arrived", 200.0);
    desk.obeyed("nudge direction=right rate=100x for=10s");
    desk.run(15.0);
    let before = desk.obeyed("status group=pointing");
    desk.run(1800.0);
    let after = desk.obeyed("status group=pointing");
    // The same place among the stars half an hour later: 0.1″ for the aberration that a fixed place leaves out.
    for key in ["ra", "dec"] {
        let drift = (degrees(&after, key) - degrees(&before, key)) * 3600.0;
        assert!(drift.abs() < 0.1, "{key}: {drift}");
    }
}

#[test]
fn tracking_ends_at_the_end_of_the_hours() {
    let mut desk = at(9.5, 20.0);
    desk.obeyed("track rate=sidereal");
    let event = desk.run_until("limit", 200.0);
    assert_eq!(event, "* limit at=hour");
    // Half a degree at the sidereal rate is 119.67 s; braking from v within a jerk j takes v√(v/j) = 0.396″ more.
    assert!((desk.dial(0) - 10.0) * 3600.0 < 0.4, "{}", desk.dial(0));
    desk.run(1.0);
    assert_eq!(desk.rate(0), 0.0);
    assert!(desk.obeyed("status").contains("state=resting"));
}

#[test]
fn the_meridian_is_told_of_and_flipped_at() {
    let mut desk = at(-0.25, 20.0);
    desk.obeyed("meridian policy=warn over_run=5deg");
    desk.obeyed("track rate=sidereal");
    let event = desk.run_until("warn", 200.0);
    // 5 deg are 1196.7 s.
    assert_eq!(event, "* warn minutes=19.9min");
    desk.obeyed("meridian policy=flip over_run=1deg");
    desk.obeyed("track rate=sidereal");
    let before = desk.obeyed("status group=pointing");
    let event = desk.run_until("flip", 400.0);
    assert_eq!(event, "* flip job=2");
    desk.run_until("arrived", 400.0);
    assert!(desk.dial(0) < -170.0 && desk.dial(1) > 90.0, "{} {}", desk.dial(0), desk.dial(1));
    let after = desk.obeyed("status group=pointing");
    assert!((desk.rate(0) - SIDEREAL).abs() < 1e-3);
    for key in ["ra", "dec"] {
        // It tracks at a steady rate; refraction alone carries it off by seconds of arc in ten minutes.
        assert!((degrees(&after, key) - degrees(&before, key)).abs() * 3600.0 < 10.0, "{before} {after}");
    }
}

#[test]
fn the_zenith_and_the_horizon_end_tracking() {
    let mut desk = Desk::alt_azimuth();
    desk.refused("goto azimuth=10deg altitude=89deg", "beyond-limit");
    desk.obeyed("goto azimuth=95deg altitude=86deg");
    desk.run_until("arrived", 200.0);
    desk.obeyed("limits highest=90deg zenith_zone=3deg");
    desk.obeyed("track rate=sidereal");
    let event = desk.run_until("limit", 3000.0);
    assert_eq!(event, "* limit at=zenith");
    let mut desk = Desk::alt_azimuth();
    desk.obeyed("goto azimuth=270deg altitude=2deg");
    desk.run_until("arrived", 200.0);
    desk.obeyed("track rate=sidereal");
    desk.obeyed("limits lowest=1deg");
    assert_eq!(desk.run_until("limit", 3000.0), "* limit at=lowest");
    assert!((desk.dial(1) - 1.0).abs() < 0.001, "{}", desk.dial(1));
}

#[test]
fn an_alt_azimuth_mount_takes_the_nearer_turn_within_its_cable() {
    let mut desk = Desk::alt_azimuth();
    for (azimuth, dial) in [(170.0, 170.0), (200.0, 200.0), (260.0, 260.0), (300.0, -60.0), (280.0, -80.0)] {
        desk.obeyed(&format!("goto azimuth={azimuth}deg altitude=40deg"));
        desk.run_until("arrived", 300.0);
        assert!((desk.dial(0) - dial).abs() < 1e-9, "{azimuth}: {}", desk.dial(0));
    }
}

#[test]
fn a_clock_that_jumps_moves_nothing_while_tracking() {
    let mut desk = Desk::alt_azimuth();
    desk.obeyed("goto name=Capella");
    desk.run_until("arrived", 200.0);
    let before = desk.dial(0);
    let now = desk.now;
    desk.controller.clock_jump(units::Span::from_whole_seconds(3600), now, &mut desk.motors);
    assert!((desk.dial(0) - before).abs() * 3600.0 < 0.02);
    assert!(field(&desk.obeyed("time"), "utc").as_str() > "2027-03-06T21:30");
    desk.run(60.0);
}

#[test]
fn policies_belong_to_german_mounts() {
    let mut desk = Desk::new(settings(Kind::ForkEquatorial, NIGHT));
    desk.refused("meridian policy=flip", "wrong-kind");
    desk.refused("solution choice=direct", "wrong-kind");
    desk.refused("goto name=Capella solution=through-pole", "wrong-kind");
    assert_eq!(desk.controller.settings().meridian, MeridianPolicy::Stop);
}
