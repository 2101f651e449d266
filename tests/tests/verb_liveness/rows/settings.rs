//! Verbs that show and change the mount's settings.

use super::{PER_SECOND, PRINTED_DEGREES, alt_azimuth, near, row};
use crate::Row;
use kinematics::AxisAngles;
use tests::mount::{Mount, event_field};

pub const ROWS: &[Row] = &[
    row("approach", "", approach),
    row("approach", "final", approach_final),
    row("approach", "overshoot", approach_overshoot),
    row("take-up", "", take_up),
    row("take-up", "hour_axis", take_up_hour_axis),
    row("take-up", "declination_axis", take_up_declination_axis),
    row("take-up", "azimuth_axis", take_up_azimuth_axis),
    row("take-up", "altitude_axis", take_up_altitude_axis),
    row("solution", "", solution),
    row("solution", "choice", solution_choice),
    row("meridian", "", meridian),
    row("meridian", "policy", meridian_policy),
    row("meridian", "over_run", meridian_over_run),
    row("limits", "", limits),
    row("limits", "lowest", limits_lowest),
    row("limits", "highest", limits_highest),
    row("limits", "cable_wrap", limits_cable_wrap),
    row("limits", "zenith_zone", limits_zenith_zone),
    row("horizon", "", horizon),
    row("horizon", "level", horizon_level),
    row("sun", "", sun),
    row("sun", "radius", sun_radius),
];

fn approach(mount: &mut Mount) {
    assert_eq!(mount.field("approach", "final"), "none");
    near(mount.degrees("approach", "overshoot"), 0.25, PRINTED_DEGREES);
}

/// Least and greatest that both dials come to during a go-to from home to −80°, 60°, and in which order.
fn extremes(mount: &mut Mount) -> [(f64, f64); 2] {
    mount.play(&["goto hour_axis=-80deg declination_axis=60deg"]);
    let mut extremes = [(f64::MAX, f64::MIN); 2];
    // Every 20 ms: at a turn with 2°/s² a dial is within 1/2 · 2 · 0.01² of its extreme.
    for _ in 0..1500 {
        mount.wait(0.02);
        for (dial, (least, greatest)) in ["hour_dial", "declination_dial"].iter().zip(&mut extremes) {
            let angle = mount.degrees("axes", dial);
            *least = least.min(angle);
            *greatest = greatest.max(angle);
        }
    }
    extremes
}
/// How near the sampled extreme of a dial is to the true one.
const SAMPLED: f64 = 1e-4;

/// From home both axes reach the target going west and south; where that is not wanted they go past it and return.
fn approach_final(mount: &mut Mount) {
    assert_eq!(mount.field("approach final=west-south", "final"), "west-south");
    let [hour, declination] = extremes(mount);
    near(hour.1, -80.0, SAMPLED);
    near(declination.0, 60.0, SAMPLED);
    let mut other = Mount::of_the_shared_night();
    other.play(&["approach final=east-north"]);
    let [hour, declination] = extremes(&mut other);
    near(hour.1, -80.0 + 0.25, SAMPLED);
    near(declination.0, 60.0 - 0.25, SAMPLED);
    near(other.degrees("axes", "hour_dial"), -80.0, PRINTED_DEGREES);
    near(other.degrees("axes", "declination_dial"), 60.0, PRINTED_DEGREES);
}

fn approach_overshoot(mount: &mut Mount) {
    near(mount.degrees("approach final=east-north overshoot=6arcmin", "overshoot"), 0.1, PRINTED_DEGREES);
    let [hour, declination] = extremes(mount);
    near(hour.1, -80.0 + 0.1, SAMPLED);
    near(declination.0, 60.0 - 0.1, SAMPLED);
}

fn take_up(mount: &mut Mount) {
    for key in ["hour_axis", "declination_axis"] {
        near(mount.degrees("take-up", key), 0.0, 0.0);
    }
}

/// A mount without play whose motor runs on by 150″ when it turns back stands 150″ aside from its dial.
fn taken_up(mount: &mut Mount, setting: &str, there: &str, back: &str, first: bool) {
    let of = |angles: AxisAngles| if first { angles.first } else { angles.second };
    mount.play(&[&format!("take-up {setting}=150arcsec"), there, "(90 s)"]);
    near(mount.degrees("take-up", setting) * 3600.0, 150.0, 1e-4);
    let aside = |mount: &mut Mount| {
        let dial = if setting == "hour_axis" || setting == "declination_axis" {
            mount.degrees("axes", if first { "hour_dial" } else { "declination_dial" })
        } else {
            mount.degrees("axes", if first { "azimuth_dial" } else { "altitude_dial" })
        };
        (of(mount.world().truth().axes()).degrees() - dial) * 3600.0
    };
    // The first move turns nothing back.
    near(aside(mount), 0.0, 1e-4);
    mount.play(&[back, "(90 s)"]);
    near(aside(mount).abs(), 150.0, 1e-4);
}

fn take_up_hour_axis(mount: &mut Mount) {
    let [there, back] = [-40, -60].map(|hour| format!("goto hour_axis={hour}deg declination_axis=90deg"));
    taken_up(mount, "hour_axis", &there, &back, true);
}

fn take_up_declination_axis(mount: &mut Mount) {
    let [there, back] =
        [40, 60].map(|declination| format!("goto hour_axis=-90deg declination_axis={declination}deg"));
    taken_up(mount, "declination_axis", &there, &back, false);
}

fn take_up_azimuth_axis(_: &mut Mount) {
    let [there, back] = [70, 40].map(|azimuth| format!("goto azimuth_axis={azimuth}deg altitude_axis=0deg"));
    taken_up(&mut alt_azimuth(), "azimuth_axis", &there, &back, true);
}

fn take_up_altitude_axis(_: &mut Mount) {
    let [there, back] =
        [70, 40].map(|altitude| format!("goto azimuth_axis=0deg altitude_axis={altitude}deg"));
    taken_up(&mut alt_azimuth(), "altitude_axis", &there, &back, false);
}

fn solution(mount: &mut Mount) {
    assert_eq!(mount.field("solution", "choice"), "by-hour-angle");
}

/// Ten degrees west of south: through the pole by the usual rule.
fn solution_choice(mount: &mut Mount) {
    const WEST: &str = "goto azimuth=190deg altitude=50deg";
    for (choice, expected) in
        [("by-hour-angle", "through-pole"), ("direct", "direct"), ("through-pole", "through-pole")]
    {
        assert_eq!(mount.field(&format!("solution choice={choice}"), "choice"), choice);
        assert_eq!(mount.field(WEST, "solution"), expected);
        mount.settle();
    }
    // What is west of the meridian can be tracked the longer through the pole.
    mount.play(&["solution choice=longest-track"]);
    assert_eq!(mount.field("goto azimuth=183deg altitude=50deg", "solution"), "through-pole");
    mount.settle();
    // Near the pole in the west, from a direct position: the other one is half a turn away.
    mount.play(&["solution choice=direct", "goto azimuth=183deg altitude=50deg", "(90 s)"]);
    mount.play(&["solution choice=shortest-slew"]);
    assert_eq!(mount.field("goto azimuth=184deg altitude=50deg", "solution"), "direct");
}

fn meridian(mount: &mut Mount) {
    assert_eq!(mount.field("meridian", "policy"), "stop");
    near(mount.degrees("meridian", "over_run"), 10.0, PRINTED_DEGREES);
}

/// Tracks from a quarter of a degree before the meridian; returns when what event came, seconds and lines.
fn past_the_meridian(mount: &mut Mount, setting: &str) -> Vec<(f64, String)> {
    mount.play(&["goto hour_axis=-0.25deg declination_axis=10deg", "(90 s)", setting]);
    mount.events();
    mount.play(&["track rate=sidereal"]);
    let begin = mount.world().now();
    let mut told = Vec::new();
    for _ in 0..2 {
        let events = mount.settle();
        let seconds = (mount.world().now() - begin).seconds();
        told.extend(events.into_iter().map(|event| (seconds, event)));
    }
    told
}
/// How long the sky takes to turn by so many degrees.
fn turning(degrees: f64) -> f64 {
    degrees * 3600.0 / PER_SECOND
}

fn meridian_policy(mount: &mut Mount) {
    let told = past_the_meridian(mount, "meridian policy=stop over_run=0.5deg");
    assert!(told[0].1.starts_with("* limit"), "{told:?}");
    // Braking from a sidereal rate takes 0.05 s.
    near(told[0].0, turning(0.75), 0.1);
    assert_eq!(mount.field("status", "state"), "resting");
    let mut other = Mount::of_the_shared_night();
    let told = past_the_meridian(&mut other, "meridian policy=warn over_run=0.5deg");
    assert!(told[0].1.starts_with("* warn"), "{told:?}");
    near(told[0].0, turning(0.25), 0.1);
    assert!(told[1].1.starts_with("* limit"), "{told:?}");
    near(told[1].0, turning(0.75), 0.1);
    let mut other = Mount::of_the_shared_night();
    let told = past_the_meridian(&mut other, "meridian policy=flip over_run=0.5deg");
    assert!(told[0].1.starts_with("* flip"), "{told:?}");
    near(told[0].0, turning(0.75), 0.1);
    assert_eq!(event_field(&told[1].1, "target").as_deref(), Some("flip"));
    // Half a turn of the hour axis away, and tracking.
    near(other.degrees("axes", "hour_dial"), 0.5 - 180.0, 0.5);
    assert_eq!(other.field("status", "state"), "tracking");
}

fn meridian_over_run(mount: &mut Mount) {
    near(mount.degrees("meridian over_run=1deg", "over_run"), 1.0, PRINTED_DEGREES);
    let told = past_the_meridian(mount, "meridian over_run=1deg");
    near(told[0].0, turning(1.25), 0.1);
}

fn limits(mount: &mut Mount) {
    near(mount.degrees("limits", "lowest"), -5.0, PRINTED_DEGREES);
    near(mount.degrees("limits", "highest"), 90.0, PRINTED_DEGREES);
    near(alt_azimuth().degrees("limits", "cable_wrap"), 270.0, PRINTED_DEGREES);
    near(alt_azimuth().degrees("limits", "zenith_zone"), 2.0, PRINTED_DEGREES);
}

/// A line that is refused by a setting, and obeyed a degree inside of it.
fn bounded(mount: &mut Mount, setting: &str, outside: &str, inside: &str) {
    mount.play(&[setting]);
    assert_eq!(mount.refused(outside), "beyond-limit", "{setting}: {outside}");
    mount.play(&[inside]);
}

fn limits_lowest(mount: &mut Mount) {
    let [outside, inside] = ["9.5", "10.5"].map(|height| format!("goto azimuth=180deg altitude={height}deg"));
    bounded(mount, "limits lowest=10deg", &outside, &inside);
}

fn limits_highest(mount: &mut Mount) {
    let [outside, inside] =
        ["60.5", "59.5"].map(|height| format!("goto azimuth=180deg altitude={height}deg"));
    bounded(mount, "limits highest=60deg", &outside, &inside);
}

fn limits_cable_wrap(_: &mut Mount) {
    let [outside, inside] =
        ["200.5", "199.5"].map(|azimuth| format!("goto azimuth_axis={azimuth}deg altitude_axis=20deg"));
    bounded(&mut alt_azimuth(), "limits cable_wrap=200deg", &outside, &inside);
}

fn limits_zenith_zone(_: &mut Mount) {
    let [outside, inside] = ["85.5", "84.5"].map(|height| format!("goto azimuth=20deg altitude={height}deg"));
    bounded(&mut alt_azimuth(), "limits zenith_zone=5deg", &outside, &inside);
}

fn horizon(mount: &mut Mount) {
    // The shared night has a level skyline at the horizon itself.
    near(mount.degrees("horizon", "lowest"), 0.0, 0.0);
    near(mount.degrees("horizon", "highest"), 0.0, 0.0);
    assert_eq!(mount.field("horizon", "corners"), "1");
}

fn horizon_level(mount: &mut Mount) {
    near(mount.degrees("horizon level=15deg", "highest"), 15.0, PRINTED_DEGREES);
    let reply = mount.ask("goto azimuth=200deg altitude=14deg");
    let sentence = reply.outcome.expect_err("it is below the skyline").2;
    assert!(sentence.contains("1.0 deg below"), "{sentence}");
    mount.play(&["goto azimuth=200deg altitude=15.1deg"]);
}

/// The Sun's separation is that of two directions: from the home position, the pole, it is 90° − declination.
fn sun(mount: &mut Mount) {
    near(mount.degrees("sun", "radius"), 20.0, PRINTED_DEGREES);
    assert_eq!(mount.field("sun", "up"), "no");
    assert_eq!(mount.field("sun", "override"), "no");
    // Declination −5°26′ on 6 March 2027, 19:30 UTC: 23.44° · sin of the 14.0° of longitude to the equinox (from memory).
    near(mount.degrees("sun", "separation"), 90.0 + 5.45, 0.3);
    mount.play(&["time utc=2027-03-07T12:00:00Z"]);
    assert_eq!(mount.field("sun", "up"), "yes");
}

/// By day, aligned: where it may go depends on the radius.
fn sun_radius(mount: &mut Mount) {
    mount.play(&["goto hour_axis=-90deg declination_axis=30deg", "(60 s)"]);
    let [ra, dec] = ["ra", "dec"].map(|key| mount.field("status group=pointing", key));
    mount.play(&[&format!("sync ra={ra} dec={dec}"), "time utc=2027-03-07T12:00:00Z"]);
    // The Sun's hour angle is some −7°, its declination −5°: this is 22° south of it.
    let line = "goto hour_axis=-7.5deg declination_axis=-27deg";
    near(mount.degrees("sun radius=25deg", "radius"), 25.0, PRINTED_DEGREES);
    assert_eq!(mount.refused(line), "near-sun");
    mount.play(&["sun radius=20deg", line, "(60 s)"]);
    near(mount.degrees("sun", "separation"), 22.0, 1.0);
}
