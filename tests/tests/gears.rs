//! Correction of the periodic error and measurement of the play, on a real mount: guided, played, lost, kept; measured, taken up.

use tests::mount::{Mount, NIGHT, event_field, night};
use units::{Angle, AngularRate, Stream, Streams, maths};
use world::{Allowed, FaultsAllowed};

/// Amplitude of the worm's error once a turn, arcsec.
const WORM: f64 = 12.0;
/// Play of the declination axis, arcsec.
const PLAY: f64 = 120.0;
/// Seconds of a turn of a worm of 160 turns: mean sidereal day over teeth.
const TURN: f64 = 86_164.090_5 / 160.0;

/// The shared night's mount with an error of its worm and play in declination.
fn mount(index: bool) -> Mount {
    let gears = format!(
        "{NIGHT}\n[mount.hour_axis]\nteeth = 160\nworm_index = {index}\n\
         periodic_error = [{{ harmonic = 1.0, amplitude = \"{WORM} arcsec\", phase = \"40 deg\" }}]\n\
         [mount.declination_axis]\nbacklash = \"{PLAY} arcsec\"\nbacklash_variation = \"0 %\"\n"
    );
    let mut mount = Mount::new(night(&gears).world_spec().clone());
    mount.world().allow(Allowed { clock: true, faults: FaultsAllowed::All });
    mount
}

/// The true angle of the hour axis, arcsec.
fn hour(mount: &mut Mount) -> f64 {
    mount.world().truth().axes().first.arcsec()
}

/// Guides for some turns of the worm with a look every ten seconds, each of which the seeing moves by one arcsecond, one sigma.
fn guide(mount: &mut Mount, turns: f64, seeing: &mut Stream) {
    let sidereal = AngularRate::SIDEREAL.arcsec();
    let begin = hour(mount);
    let looks = (turns * TURN / 10.0) as u32 + 2;
    for look in 1..=looks {
        mount.wait(10.0);
        let miss = hour(mount) - begin - sidereal * 10.0 * f64::from(look) + seeing.normal();
        let direction = if miss < 0.0 { "west" } else { "east" };
        let long = (miss.abs() / (0.5 * sidereal)).max(0.001);
        mount.play(&[&format!("guide direction={direction} for={long:.4}s")]);
    }
    mount.wait(5.0);
}

/// How far tracking strays over a turn of the worm, arcsec: root mean square about the mean.
fn strays(mount: &mut Mount) -> f64 {
    let begin = hour(mount);
    let misses: Vec<f64> = (1..=54)
        .map(|look| {
            mount.wait(TURN / 54.0);
            hour(mount) - begin - AngularRate::SIDEREAL.arcsec() * TURN / 54.0 * f64::from(look)
        })
        .collect();
    let mean = misses.iter().sum::<f64>() / 54.0;
    (misses.iter().map(|miss| (miss - mean) * (miss - mean)).sum::<f64>() / 54.0).sqrt()
}

/// Tracks, records over so many turns and plays it.
fn trained(index: bool, turns: f64) -> Mount {
    let mut mount = mount(index);
    mount.play(&["goto hour_axis=-60deg declination_axis=20deg", "(60 s)", "track rate=sidereal"]);
    let bare = strays(&mut mount);
    // A sine's root mean square.
    assert!((bare - WORM / 2.0_f64.sqrt()).abs() < 0.05, "{bare}");
    mount.events();
    mount.play(&[&format!("record turns={turns}")]);
    guide(&mut mount, turns, &mut Streams::new(5).stream("seeing of a test", turns as u64));
    let events = mount.events();
    let ended = events.iter().find(|event| event.starts_with("* recorded")).expect("it ended");
    assert_eq!(event_field(ended, "result").as_deref(), Some("kept"), "{ended}");
    mount.play(&["playback state=on"]);
    mount
}

#[test]
fn playback_leaves_what_the_seeing_put_into_the_recording() {
    for turns in [1.0, 4.0] {
        let left = strays(&mut trained(false, turns));
        // Noise of one arcsecond in each look leaves 1/sqrt(turns) of it in a bin, somewhat less where straight lines between looks
        // smooth it (a factor of sqrt(2/3)) — and one recording is one draw from that.
        let expected = (2.0 / 3.0 / turns).sqrt();
        assert!(left > 0.6 * expected && left < 1.5 * expected, "{turns} turns: {left}, about {expected}");
    }
}

#[test]
fn a_correction_outlives_the_power_and_lost_steps_with_an_index_alone() {
    let bare = WORM / 2.0_f64.sqrt();
    for index in [true, false] {
        let mut mount = trained(index, 2.0);
        let lag = |mount: &mut Mount| mount.degrees("axes", "hour_dial") * 3600.0 - hour(mount);
        let before = lag(&mut mount);
        mount.play(&["fault kind=stall axis=hour for=60s", "(90 s)"]);
        let lost = lag(&mut mount) - before;
        // A minute of the stars' turning, and what the rotor needs to catch again; the correction comes and goes by less than its range.
        assert!((lost - 60.0 * AngularRate::SIDEREAL.arcsec()).abs() < 80.0, "{lost}");
        let left = strays(&mut mount);
        // By the count the correction comes early, and a wave of 2a sin(χ/2) is left; the noise of the recording adds to it, and the
        // loss is known to within the correction's range, a hundredth of a turn.
        let expected = if index { 0.6 } else { 2.0 * bare * maths::sin(maths::TAU / 2.0 * lost / 8100.0) };
        assert!(
            (left - expected).abs() < if index { 0.6 } else { 1.0 },
            "lost steps, {index}: {left}, {expected}"
        );
        mount.play(&["fault kind=brown-out for=2s", "(5 s)", "track rate=sidereal"]);
        let left = strays(&mut mount);
        let expected = if index { 0.6 } else { bare };
        assert!((left - expected).abs() < if index { 0.6 } else { 0.05 }, "power, {index}: {left}");
        assert_eq!(mount.field("playback", "recorded"), if index { "yes" } else { "no" });
    }
}

/// True declination angle minus its dial, arcsec.
fn behind(mount: &mut Mount) -> f64 {
    let dial = Angle::from_degrees(mount.degrees("axes", "declination_dial"));
    (mount.world().truth().axes().second - dial).arcsec()
}

/// What a reversal in declination leaves of the play where the take-up is too short, right, or too long: the worked values of a gap of
/// 120″ with 90″ and 150″ taken up.
#[test]
fn a_take_up_that_is_too_short_or_too_long_shows() {
    for (set, left) in [(0.0, 120.0), (90.0, 30.0), (120.0, 0.0), (150.0, -30.0)] {
        let mut mount = mount(false);
        mount.play(&[
            &format!("take-up declination_axis={set}arcsec"),
            "goto hour_axis=-60deg declination_axis=30deg",
            "(60 s)",
            "goto hour_axis=-60deg declination_axis=20deg",
            "(60 s)",
        ]);
        let before = behind(&mut mount);
        mount.play(&["goto hour_axis=-60deg declination_axis=25deg", "(60 s)"]);
        // The tube hangs behind its dial by what was not taken up; printed dials round to 0.00004″.
        assert!((before - behind(&mut mount) - left).abs() < 0.01, "{set}: {}", before - behind(&mut mount));
    }
}

/// A person with perfect eyes centres one star from both sides: the play that is measured is the play that is there, and once it is
/// taken up none is left.
#[test]
fn the_play_is_measured_and_taken_up() {
    let mut mount = mount(false);
    let tube = |mount: &mut Mount| mount.world().truth().axes().second.arcsec();
    mount.play(&["goto name=Regulus", "(60 s)", "nudge direction=north rate=20x for=20s", "(25 s)"]);
    mount.play(&["measure-play name=Regulus centring=first"]);
    let first = tube(&mut mount);
    mount.play(&["nudge direction=north rate=20x for=20s", "(25 s)"]);
    // Back by as much as the tube is away, and by the play, which the person crosses without knowing of it.
    let back = (tube(&mut mount) - first + PLAY) / (20.0 * AngularRate::SIDEREAL.arcsec());
    mount.play(&[&format!("nudge direction=south rate=20x for={back:.5}s"), "(25 s)"]);
    // The nudge is given to 0.01 ms: 0.003″.
    assert!((tube(&mut mount) - first).abs() < 0.02, "{}", tube(&mut mount) - first);
    let measured = mount.degrees("measure-play name=Regulus centring=second set=yes", "declination_axis");
    // The star moves by refraction against the dials for a minute: some 0.3″.
    assert!((measured * 3600.0 - PLAY).abs() < 1.0, "{}", measured * 3600.0);
    let before = behind(&mut mount);
    mount.play(&["nudge direction=north rate=20x for=20s", "(25 s)"]);
    assert!((before - behind(&mut mount)).abs() < 1.0, "{}", before - behind(&mut mount));
}
