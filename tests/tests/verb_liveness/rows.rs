//! The table: later verbs and keys only add rows.

mod asking;
mod bench;
mod gears;
mod learning;
mod moves;
mod settings;

use crate::{Row, TOPIC};
use kinematics::sides;
use kinematics::{BaseErrors, Geometry, Kind, base};
use protocol::verbs::VERBS;
use tests::mount::{Mount, NIGHT, event_field, night};
use units::{Angle, AngularRate, Length, Pressure, Share, Temperature};

const fn row(verb: &'static str, key: &'static str, holds: fn(&mut Mount)) -> Row {
    Row { verb, key, holds }
}

/// All rows.
pub fn rows() -> impl Iterator<Item = &'static Row> {
    [BASICS, moves::ROWS, learning::ROWS, gears::ROWS, settings::ROWS, asking::ROWS, bench::ROWS]
        .into_iter()
        .flatten()
}

const BASICS: &[Row] = &[
    row("identify", "", identify),
    row("version", "", version),
    row("help", "", help),
    row("help", TOPIC, help_with_a_verb),
    row("site", "", site),
    row("site", "latitude", site_latitude),
    row("site", "longitude", site_longitude),
    row("site", "height", site_height),
    row("site", "pressure", site_pressure),
    row("site", "temperature", site_temperature),
    row("site", "humidity", site_humidity),
    row("time", "", time),
    row("time", "utc", time_utc),
    row("track", "", track),
    row("track", "rate", track_rate),
    row("goto", "", goto),
    row("goto", "name", goto_name),
    row("goto", "ra", goto_ra),
    row("goto", "dec", goto_dec),
    row("goto", "azimuth", goto_azimuth),
    row("goto", "altitude", goto_altitude),
    row("goto", "hour_axis", goto_hour_axis),
    row("goto", "declination_axis", goto_declination_axis),
    row("goto", "azimuth_axis", goto_azimuth_axis),
    row("goto", "altitude_axis", goto_altitude_axis),
    row("goto", "solution", goto_solution),
    row("stop", "", stop),
    row("status", "", status),
    row("status", "group", status_group),
    row("axes", "", axes),
];

/// One sighting.
const SIGHTED: &[&str] = &["align method=one-star", "goto name=Regulus", "(60 s)", "sight name=Regulus"];

/// What is said so that a verb brings all of its reply fields; the replies to lines of that verb count.
pub fn scripts_of(verb: &str) -> Vec<Vec<&'static str>> {
    let sighted = |line| [SIGHTED, &[line]].concat();
    match verb {
        "help" => vec![vec!["help", "help goto"]],
        "goto" => vec![vec!["goto name=Regulus"]],
        "nudge" => vec![vec!["nudge direction=west rate=2x for=1s"]],
        "guide" => vec![vec!["guide direction=west for=1s"]],
        "sync" => vec![vec!["goto name=Regulus", "(60 s)", "sync name=Regulus"]],
        "questions" => vec![vec![
            "align method=one-star",
            "goto name=Castor",
            "(60 s)",
            "track rate=off",
            "time utc=2027-03-06T20:31:00Z",
            "sight name=Castor",
            "questions entry=1",
        ]],
        "verify" => vec![sighted("verify name=Regulus")],
        "moved" => vec![[SIGHTED, &["verify name=Regulus", "moved part=base"]].concat()],
        "polar-axis" => vec![sighted("polar-axis")],
        "polar-offset" => vec![sighted("polar-offset name=Procyon")],
        "polar-done" => {
            vec![[SIGHTED, &["polar-offset name=Procyon", "(60 s)", "polar-done name=Procyon"]].concat()]
        }
        "record" => vec![vec!["track rate=sidereal", "record turns=1"]],
        "measure-play" => vec![vec![
            "goto name=Regulus",
            "(60 s)",
            "nudge direction=north rate=20x for=1s",
            "(5 s)",
            "measure-play name=Regulus centring=first",
            "nudge direction=south rate=20x for=1s",
            "(5 s)",
            "measure-play name=Regulus centring=second",
        ]],
        "align" => vec![sighted("align method=resume")],
        "sight" => vec![SIGHTED.to_vec()],
        "sightings" => vec![sighted("sightings entry=1")],
        "forget" => vec![sighted("forget entry=1")],
        "keep" => vec![sighted("keep")],
        "model" => vec![vec!["model", "model term=\"cone error\""]],
        "status" => vec![vec!["status", "status group=pointing"]],
        "await" => vec![vec!["goto name=Regulus", "await job=1 within=1s"]],
        "cancel" => vec![vec!["goto name=Regulus", "cancel job=1"]],
        "errors" => vec![vec!["nudge direction=north rate=2x", "(5 s)", "errors"]],
        "fault" => vec![vec!["fault kind=stall"]],
        "faults" => vec![vec!["fault kind=stall", "faults entry=1"]],
        other => vec![vec![VERBS.iter().find(|verb| verb.name == other).expect("a verb").name]],
    }
}

/// Arcseconds of sidereal turning in a second of time.
const PER_SECOND: f64 = AngularRate::SIDEREAL.arcsec();
/// Half of the last of eight decimals of a degree, twice: the rounding of a difference.
const PRINTED_DEGREES: f64 = 1.1e-8;

#[track_caller]
fn near(found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance, "{found}, expected {expected} within {tolerance}");
}

fn identify(mount: &mut Mount) {
    assert_eq!(mount.field("identify", "device"), "nightbench");
    assert_eq!(mount.field("identify", "kind"), "german-equatorial");
    assert_eq!(mount.field("identify", "language"), "1");
}

fn version(mount: &mut Mount) {
    // All packages of the workspace have one version.
    assert_eq!(mount.field("version", "version"), env!("CARGO_PKG_VERSION"));
}

fn help(mount: &mut Mount) {
    let names: Vec<&str> = VERBS.iter().map(|verb| verb.name).collect();
    assert_eq!(mount.field("help", "verbs"), names.join(","));
}

fn help_with_a_verb(mount: &mut Mount) {
    for verb in VERBS {
        let keys: Vec<&str> = verb.keys.iter().map(|key| key.name).collect();
        assert_eq!(mount.field(&format!("help {}", verb.name), "keys"), keys.join(","));
        assert_eq!(mount.field(&format!("help {}", verb.name), "purpose"), verb.purpose);
    }
}

fn site(mount: &mut Mount) {
    // What the shared night says.
    near(mount.degrees("site", "latitude"), 40.5, PRINTED_DEGREES);
    near(mount.degrees("site", "longitude"), -4.5, PRINTED_DEGREES);
    near(mount.quantity::<Length>("site", "height").metres(), 440.0, 1e-3);
    near(mount.quantity::<Pressure>("site", "pressure").hectopascals(), 965.0, 1e-3);
    near(mount.quantity::<Temperature>("site", "temperature").celsius(), 9.0, 1e-3);
    near(mount.quantity::<Share>("site", "humidity").percent(), 60.0, 1e-3);
}

/// At home the tube lies along the believed polar axis, whose altitude is the latitude.
fn site_latitude(mount: &mut Mount) {
    let before = mount.degrees("status group=pointing", "altitude");
    near(mount.degrees("site latitude=42.25deg", "latitude"), 42.25, PRINTED_DEGREES);
    near(mount.degrees("status group=pointing", "altitude") - before, 1.75, PRINTED_DEGREES);
}

/// A degree to the east is four minutes of sidereal time.
fn site_longitude(mount: &mut Mount) {
    let before = mount.degrees("time", "sidereal");
    near(mount.degrees("site longitude=-3.5deg", "longitude"), -3.5, PRINTED_DEGREES);
    // Sidereal time is printed to a millisecond: 0.015″.
    near(mount.degrees("time", "sidereal") - before, 1.0, 1e-5);
}

/// The Moon, seen from 5000 m higher, stands lower by up to 5000 m over its distance of 370 000 km: 2.8″ at most.
fn site_height(mount: &mut Mount) {
    let sent_to_the_moon = |mount: &mut Mount| {
        mount.ask("time utc=2027-03-20T21:00:00Z");
        assert!(mount.field("goto name=Moon", "job") != "none");
        mount.settle();
        mount.degrees("status group=pointing", "altitude")
    };
    near(mount.quantity::<Length>("site height=440m", "height").metres(), 440.0, 1e-3);
    let low = sent_to_the_moon(mount);
    let mut other = Mount::of_the_shared_night();
    near(other.quantity::<Length>("site height=5440m", "height").metres(), 5440.0, 1e-3);
    let high = sent_to_the_moon(&mut other);
    let expected = -5000.0 / 3.7e8 * 206_265.0 * Angle::from_degrees(low).cos();
    // The Moon's distance from the observer is 356 000 to 413 000 km: 12 %.
    near((high - low) * 3600.0, expected, 0.12 * expected.abs());
}

/// Declination of a direction at 30° in the south under some air. Refraction lifts along the meridian there, so that the
/// declination is less by just as much.
fn southern_declination(mount: &mut Mount, air: &str) -> f64 {
    mount.ask(air);
    mount.degrees("status group=pointing", "dec")
}

fn look_south(mount: &mut Mount) {
    mount.ask("goto azimuth=180deg altitude=30deg");
    mount.settle();
}

/// Refraction at an altitude of 30° over `site` with that setting, arcseconds.
fn southern_refraction(mount: &mut Mount, setting: &str) -> f64 {
    let without = southern_declination(mount, "site pressure=0hPa");
    let with = southern_declination(mount, &format!("site pressure=1000hPa {setting}"));
    (without - with) * 3600.0
}

fn site_pressure(mount: &mut Mount) {
    look_south(mount);
    let airless = southern_declination(mount, "site pressure=0hPa");
    let half = southern_declination(mount, "site pressure=500hPa");
    let whole = southern_declination(mount, "site pressure=1000hPa");
    // Refraction goes with pressure; its second constant departs from that by a thousandth.
    near((airless - half) / (airless - whole), 0.5, 0.002);
    // 58.3″ · tan z at 1010 hPa and 10 °C (Explanatory Supplement to the Astronomical Almanac, from memory), to 1 %.
    near((airless - whole) * 3600.0, 58.3 * 1.732 * 1000.0 / 1010.0 * 283.15 / 282.15, 1.2);
}

fn site_temperature(mount: &mut Mount) {
    look_south(mount);
    let cold = southern_refraction(mount, "temperature=-10degC humidity=0%");
    let warm = southern_refraction(mount, "temperature=20degC humidity=0%");
    // Density of dry air at one pressure goes with 1/T; the height of the air adds a thousandth.
    near(warm / cold, 263.15 / 293.15, 0.003);
}

fn site_humidity(mount: &mut Mount) {
    look_south(mount);
    let dry = southern_refraction(mount, "temperature=20degC humidity=0%");
    let wet = southern_refraction(mount, "temperature=20degC humidity=100%");
    // n − 1 ∝ 79.0 p − 11.3 e, with 23.4 hPa of vapour in saturated air of 20 °C (both from memory), to a tenth.
    near(1.0 - wet / dry, 11.3 / 79.0 * 23.4 / 1000.0, 3.5e-4);
}

fn time(mount: &mut Mount) {
    assert_eq!(mount.field("time", "utc"), "2027-03-06T19:30:00.000Z");
    let before = mount.degrees("time", "sidereal");
    mount.wait(100.0);
    assert_eq!(mount.field("time", "utc"), "2027-03-06T19:31:40.000Z");
    near((mount.degrees("time", "sidereal") - before) * 3600.0, 100.0 * PER_SECOND, 0.03);
}

/// A clock that is put on by a minute turns the mount's sky: fixed dials mean a right ascension that is greater.
fn time_utc(mount: &mut Mount) {
    look_south(mount);
    let now = mount.field("time", "utc");
    let before = mount.degrees("status group=pointing", "ra");
    let minute: u32 = now[14..16].parse().expect("minutes");
    let later = format!("{}{:02}{}", &now[..14], minute + 1, &now[16..]);
    assert_eq!(mount.field(&format!("time utc={later}"), "utc"), later);
    let grown = (mount.degrees("status group=pointing", "ra") - before) * 3600.0;
    // The clock is printed, and was set, to a millisecond: 0.015″; right ascension of J2000.0 grows by precession's slope.
    near(grown, 60.0 * PER_SECOND, 0.003 * 60.0 * PER_SECOND);
}

fn track(mount: &mut Mount) {
    assert_eq!(mount.field("track", "rate"), "off");
    mount.ask("track rate=sidereal");
    assert_eq!(mount.field("track", "rate"), "sidereal");
}

fn track_rate(mount: &mut Mount) {
    let dial = |mount: &mut Mount| mount.degrees("axes", "hour_dial");
    assert_eq!(mount.field("track rate=sidereal", "rate"), "sidereal");
    let before = dial(mount);
    mount.wait(100.0);
    near(dial(mount) - before, 100.0 * PER_SECOND / 3600.0, PRINTED_DEGREES);
    assert_eq!(mount.field("track rate=off", "rate"), "off");
    let stopped = dial(mount);
    mount.wait(100.0);
    assert_eq!(dial(mount), stopped);
}

/// The job has a number, a duration that comes true, and an event at its end.
fn goto(mount: &mut Mount) {
    let reply = mount.ask("goto name=Regulus");
    assert_eq!(reply.get("job"), Some("1"));
    let seconds: f64 =
        reply.get("seconds").and_then(|text| text.strip_suffix('s')?.parse().ok()).expect("seconds");
    mount.wait(seconds - 0.01);
    assert!(mount.events().is_empty());
    assert_eq!(mount.field("status", "state"), "slewing");
    mount.wait(0.02);
    let events = mount.events();
    assert_eq!(events.len(), 1, "{events:?}");
    assert_eq!(event_field(&events[0], "job").as_deref(), Some("1"));
    assert_eq!(mount.field("status", "state"), "tracking");
    assert_eq!(mount.field("goto name=Castor", "job"), "2");
}

/// Where the mount believes to point after a go-to, in degrees.
fn believed(mount: &mut Mount, line: &str, field: &str) -> f64 {
    mount.ask(line);
    mount.settle();
    mount.degrees("status group=pointing", field)
}

fn goto_name(mount: &mut Mount) {
    // Regulus: 10h08m22.3s, +11°58′02″ (J2000.0, Hipparcos catalogue, from memory); its proper motion moves it by 7″.
    near(believed(mount, "goto name=Regulus", "ra"), 152.0930, 0.003);
    near(mount.degrees("status group=pointing", "dec"), 11.9672, 0.003);
}

fn goto_ra(mount: &mut Mount) {
    // The mount's whole chain back from the dials gives what went in, to a milliarcsecond or so.
    near(believed(mount, "goto ra=8h40m dec=20deg", "ra"), 130.0, 1e-6);
    near(believed(mount, "goto ra=131deg dec=20deg", "ra"), 131.0, 1e-6);
}

fn goto_dec(mount: &mut Mount) {
    near(believed(mount, "goto ra=8h40m dec=20deg", "dec"), 20.0, 1e-6);
    near(believed(mount, "goto ra=8h40m dec=-5d30m", "dec"), -5.5, 1e-6);
}

fn goto_azimuth(mount: &mut Mount) {
    near(believed(mount, "goto azimuth=150deg altitude=40deg", "azimuth"), 150.0, PRINTED_DEGREES);
    near(believed(mount, "goto azimuth=151deg altitude=40deg", "azimuth"), 151.0, PRINTED_DEGREES);
    assert_eq!(mount.field("status", "state"), "resting");
}

fn goto_altitude(mount: &mut Mount) {
    near(believed(mount, "goto azimuth=150deg altitude=40deg", "altitude"), 40.0, PRINTED_DEGREES);
    near(believed(mount, "goto azimuth=150deg altitude=41deg", "altitude"), 41.0, PRINTED_DEGREES);
}

fn goto_hour_axis(mount: &mut Mount) {
    mount.ask("goto hour_axis=-30deg declination_axis=10deg");
    mount.settle();
    near(mount.degrees("axes", "hour_dial"), -30.0, PRINTED_DEGREES);
}

fn goto_declination_axis(mount: &mut Mount) {
    mount.ask("goto hour_axis=-30deg declination_axis=10deg");
    mount.settle();
    near(mount.degrees("axes", "declination_dial"), 10.0, PRINTED_DEGREES);
}

/// The shared night's mount, were it built with a vertical and a level axis.
pub fn alt_azimuth() -> Mount {
    let mut spec = night(NIGHT).world_spec().clone();
    let latitude = spec.site.latitude();
    let kind = Kind::AltAzimuth;
    spec.mount.geometry = Geometry::ideal(kind, base(kind, latitude, &BaseErrors::default()));
    spec.settings.kind = kind;
    spec.settings.home = sides::home(kind, latitude);
    Mount::new(spec)
}

fn goto_azimuth_axis(_: &mut Mount) {
    let mut mount = alt_azimuth();
    mount.ask("goto azimuth_axis=75deg altitude_axis=25deg");
    mount.settle();
    near(mount.degrees("axes", "azimuth_dial"), 75.0, PRINTED_DEGREES);
    near(mount.degrees("status group=pointing", "azimuth"), 75.0, PRINTED_DEGREES);
}

fn goto_altitude_axis(_: &mut Mount) {
    let mut mount = alt_azimuth();
    mount.ask("goto azimuth_axis=75deg altitude_axis=25deg");
    mount.settle();
    near(mount.degrees("axes", "altitude_dial"), 25.0, PRINTED_DEGREES);
    near(mount.degrees("status group=pointing", "altitude"), 25.0, PRINTED_DEGREES);
}

/// The two solutions of one direction: the hour axis half a turn apart, the declination axis mirrored at 90°.
fn goto_solution(mount: &mut Mount) {
    let dials = |mount: &mut Mount, solution: &str| {
        // Near the meridian both are within the over-run.
        let line = format!("goto azimuth=175deg altitude=40deg solution={solution}");
        let said = mount.field(&line, "solution");
        mount.settle();
        (said, mount.degrees("axes", "hour_dial"), mount.degrees("axes", "declination_dial"))
    };
    let direct = dials(mount, "direct");
    let through = dials(mount, "through-pole");
    let auto = dials(mount, "auto");
    assert_eq!((direct.0.as_str(), through.0.as_str()), ("direct", "through-pole"));
    near(direct.1 - through.1, 180.0, 2.0 * PRINTED_DEGREES);
    near(direct.2 + through.2, 180.0, 2.0 * PRINTED_DEGREES);
    // East of the meridian the rule takes the direct one.
    assert_eq!(auto, direct);
}

/// From full rate v a drive brakes in v/a + a/j.
fn stop(mount: &mut Mount) {
    mount.ask("goto hour_axis=-10deg declination_axis=10deg");
    mount.wait(10.0);
    let reply = mount.ask("stop");
    assert_eq!(reply.get("job"), Some("1"));
    let seconds: f64 =
        reply.get("seconds").and_then(|text| text.strip_suffix('s')?.parse().ok()).expect("seconds");
    // The mid-range drive: 3°/s, 2°/s², 6°/s³; printed to a millisecond.
    near(seconds, 3.0 / 2.0 + 2.0 / 6.0, 6e-4);
    assert_eq!(mount.field("status", "state"), "stopping");
    let events = mount.settle();
    assert_eq!(events.len(), 1, "{events:?}");
    assert!(events[0].starts_with("* stopped job=1"), "{events:?}");
    assert_eq!(mount.field("status", "state"), "resting");
    let rest = mount.degrees("axes", "hour_dial");
    mount.wait(60.0);
    assert_eq!(mount.degrees("axes", "hour_dial"), rest);
}

fn status(mount: &mut Mount) {
    assert_eq!(mount.field("status", "state"), "resting");
    assert_eq!(mount.field("status", "job"), "none");
    assert_eq!(mount.field("status", "rate"), "off");
    // A German mount's home: weights down, the tube along the polar axis.
    near(mount.degrees("status", "hour_dial"), -90.0, PRINTED_DEGREES);
    near(mount.degrees("status", "declination_dial"), 90.0, PRINTED_DEGREES);
    mount.ask("goto name=Regulus");
    assert_eq!(mount.field("status", "state"), "slewing");
    assert_eq!(mount.field("status", "job"), "1");
    mount.wait(1.5);
    assert_eq!(mount.field("status", "utc"), "2027-03-06T19:30:01.500Z");
}

fn status_group(mount: &mut Mount) {
    assert!(mount.ask("status group=motion").get("azimuth").is_none());
    assert!(mount.ask("status group=pointing").get("hour_dial").is_none());
    // At home the tube lies along the polar axis.
    near(mount.degrees("status group=pointing", "altitude"), 40.5, PRINTED_DEGREES);
}

fn axes(mount: &mut Mount) {
    mount.ask("goto name=Regulus");
    mount.wait(5.0);
    for dial in ["hour_dial", "declination_dial"] {
        assert_eq!(mount.field("axes", dial), mount.field("status", dial));
    }
    let before = mount.degrees("axes", "declination_dial");
    mount.wait(1.0);
    // Both axes are in full slew, at 3°/s.
    near(mount.degrees("axes", "declination_dial") - before, -3.0, PRINTED_DEGREES);
}
