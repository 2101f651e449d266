//! Sightings over the wire: what the mount notes of how a star was come to, and what it answers to sightings that can't be used.

mod common;

use common::{Desk, field};

fn at(desk: &mut Desk, star: &str) {
    desk.obeyed(&format!("goto name=\"{star}\""));
    desk.run(90.0);
}

fn sight(desk: &mut Desk, star: &str) -> String {
    at(desk, star);
    desk.obeyed(&format!("sight name=\"{star}\""))
}

/// Puts the tube where a star truly stands, whatever the mount believes: the dials are those of a mount beside it that was never
/// taught anything else and hence, being perfect, is right.
fn truly_at(desk: &mut Desk, star: &str) {
    let mut right = Desk::german();
    right.run(desk.now.seconds());
    at(&mut right, star);
    desk.run(90.0);
    for _ in 0..2 {
        let dials = [right.dial(0), right.dial(1)];
        desk.obeyed(&format!("goto hour_axis={:.6}deg declination_axis={:.6}deg", dials[0], dials[1]));
        let before = desk.now;
        desk.run_until("arrived", 200.0);
        right.run((desk.now - before).seconds());
    }
}

#[test]
fn the_last_turn_of_each_axis_goes_with_a_sighting() {
    let mut desk = Desk::german();
    desk.obeyed("approach final=west-north overshoot=15arcmin");
    desk.obeyed("align method=many-star");
    assert_eq!(field(&sight(&mut desk, "Regulus"), "flanks"), "alike");
    let senses = |desk: &mut Desk, entry: usize| {
        let reply = desk.obeyed(&format!("sightings entry={entry}"));
        (field(&reply, "first_axis"), field(&reply, "second_axis"))
    };
    // In the east the solution is the direct one: west and north are where both dials grow.
    assert_eq!(senses(&mut desk, 1), ("growing".into(), "growing".into()));
    at(&mut desk, "Denebola");
    // Half a minute of arc back is less than play may be: nobody knows where the wheel hangs now.
    desk.obeyed("nudge direction=south rate=2x for=1s");
    desk.run(3.0);
    assert_eq!(field(&desk.obeyed("sight name=Denebola"), "flanks"), "unknown");
    assert_eq!(senses(&mut desk, 2), ("growing".into(), "unknown".into()));
    desk.obeyed("forget entry=2");
    // Fifteen minutes of arc are more.
    desk.obeyed("nudge direction=south rate=20x for=3s");
    desk.run(5.0);
    assert_eq!(field(&desk.obeyed("sight name=Denebola anyway=yes"), "flanks"), "different");
    assert_eq!(senses(&mut desk, 2), ("growing".into(), "falling".into()));
    // Where the play is taken up it doesn't matter from which side one comes.
    desk.obeyed("take-up declination_axis=120arcsec");
    desk.obeyed("forget entry=2");
    assert_eq!(field(&desk.obeyed("sight name=Denebola anyway=yes"), "flanks"), "alike");
}

/// An eastward key turns the hour motor back, and in two seconds of tracking the wheel doesn't follow yet; in a minute it does.
#[test]
fn tracking_takes_the_play_up() {
    let mut desk = Desk::german();
    desk.obeyed("align method=one-star");
    at(&mut desk, "Regulus");
    desk.obeyed("nudge direction=east rate=20x for=1s");
    desk.run(2.0);
    desk.obeyed("sight name=Regulus");
    assert_eq!(field(&desk.obeyed("sightings entry=1"), "first_axis"), "unknown");
    desk.run(60.0);
    desk.obeyed("sight name=Regulus anyway=yes replaces=oldest");
    assert_eq!(field(&desk.obeyed("sightings entry=1"), "first_axis"), "growing");
}

#[test]
fn stars_that_fix_no_rotation_are_refused_with_the_reason() {
    let mut desk = Desk::german();
    desk.obeyed("align method=two-star");
    sight(&mut desk, "Castor");
    at(&mut desk, "Pollux");
    let reply = desk.refused("sight name=Pollux", "unfit-sighting");
    assert!(reply.contains("deg apart: choose stars between 15 and 165 deg"), "{reply}");
    at(&mut desk, "Castor");
    let reply = desk.refused("sight name=Castor", "unfit-sighting");
    assert!(reply.contains("both sightings are of Castor"), "{reply}");
    let model = desk.obeyed("model");
    assert_eq!((field(&model, "method"), field(&model, "sightings")), ("one-star".into(), "1".into()));
    assert_eq!(field(&sight(&mut desk, "Regulus"), "done"), "yes");
}

/// Aldebaran and Antares stand 169.9° apart (from their catalogue places); at the Earth's equator both are a degree up when the
/// sidereal time is 10 h 33 min.
#[test]
fn opposite_stars_are_refused() {
    let mut desk = Desk::german();
    desk.obeyed("site latitude=0deg");
    desk.obeyed("time utc=2027-03-06T23:15:09Z");
    desk.obeyed("align method=two-star");
    sight(&mut desk, "Aldebaran");
    at(&mut desk, "Antares");
    let reply = desk.refused("sight name=Antares", "unfit-sighting");
    assert!(reply.contains("169.9 deg apart") || reply.contains("169.8 deg apart"), "{reply}");
}

#[test]
fn a_star_below_the_horizon_is_refused() {
    let mut desk = Desk::german();
    desk.obeyed("align method=one-star");
    at(&mut desk, "Regulus");
    let reply = desk.refused("sight name=Vega", "below-horizon");
    assert!(reply.contains("Vega is below the level horizon"), "{reply}");
    assert_eq!(field(&desk.obeyed("sightings"), "count"), "0");
}

/// Numbers that are none can't be typed: every number is digits and a unit.
#[test]
fn numbers_that_are_none_are_refused() {
    let mut desk = Desk::german();
    for line in [
        "site latitude=nandeg",
        "site longitude=NaN deg",
        "sync ra=infh dec=1deg",
        "goto hour_axis=-infdeg declination_axis=0deg",
        "take-up hour_axis=1e999arcsec",
    ] {
        let reply = desk.say(line);
        assert!(reply.starts_with("no "), "{line}: {reply}");
    }
}

/// What stood in the eyepiece, and what it was taken for: ten neighbours that people take for one another.
const MISTAKEN: [(&str, &str); 10] = [
    ("Regulus", "Denebola"),
    ("Capella", "Castor"),
    ("Rigel", "Sirius"),
    ("Procyon", "Betelgeuse"),
    ("Aldebaran", "Bellatrix"),
    ("Pollux", "Procyon"),
    ("Sirius", "Adhara"),
    ("Dubhe", "Alkaid"),
    ("Betelgeuse", "Aldebaran"),
    ("Alphard", "Regulus"),
];

#[test]
fn ten_wrong_of_twelve_never_make_a_model() {
    let mut desk = Desk::german();
    desk.obeyed("align method=many-star");
    let mut taken = 0;
    for (true_star, said) in MISTAKEN {
        truly_at(&mut desk, true_star);
        let reply = desk.say(&format!("sight name={said} anyway=yes"));
        if reply.starts_with("ok") {
            taken += 1;
            // One star alone can be anything: it is asked about.
            assert_ne!(field(&desk.obeyed("questions"), "west"), "none", "{true_star} taken for {said}");
        } else {
            assert!(reply.contains("unfit-sighting"), "{reply}");
        }
    }
    assert_eq!(taken, 1, "only the first has nothing to be held against");
    // Nor do the two that are right go with the one that isn't: nobody can tell yet which it is.
    for star in ["Alphard", "Castor"] {
        truly_at(&mut desk, star);
        let reply = desk.refused(&format!("sight name={star}"), "unfit-sighting");
        assert!(reply.contains("one of them is another star"), "{reply}");
    }
    assert_eq!(field(&desk.obeyed("model"), "method"), "one-star");
    // Without it they make one.
    desk.obeyed("forget entry=1");
    for star in ["Castor", "Denebola", "Rigel"] {
        truly_at(&mut desk, star);
        desk.obeyed(&format!("sight name={star}"));
    }
    assert_eq!(field(&desk.obeyed("model"), "method"), "many-star");
    assert_eq!(field(&desk.obeyed("questions"), "west"), "none");
}

#[test]
fn a_wrong_star_among_right_ones_is_told_by_its_name() {
    let mut desk = Desk::german();
    desk.obeyed("align method=many-star");
    for star in ["Regulus", "Castor", "Rigel", "Capella"] {
        sight(&mut desk, star);
    }
    at(&mut desk, "Procyon");
    let reply = desk.refused("sight name=\"beta CMi\"", "suspicious");
    assert!(reply.contains("and Procyon where the tube points: is it that one?"), "{reply}");
    let reply = desk.refused("sight name=\"beta CMi\" anyway=yes", "unfit-sighting");
    assert!(reply.contains("sighting 5 (") && reply.contains("agree without it"), "{reply}");
    assert_eq!(field(&desk.obeyed("sightings"), "count"), "4");
    desk.obeyed("sight name=Procyon");
}

fn without_power(desk: &mut Desk) {
    desk.controller.power_lost(desk.now);
    desk.run(2.0);
    let mut events = Vec::new();
    desk.controller.restarted(desk.now, &mut desk.motors, &mut events);
}

/// Dials from before and after a power-off have no common zero: nothing that was sighted before counts.
#[test]
fn what_was_sighted_before_a_power_off_is_gone() {
    let mut desk = Desk::german();
    desk.obeyed("align method=two-star");
    sight(&mut desk, "Regulus");
    desk.obeyed("verify name=Regulus");
    sight(&mut desk, "Castor");
    without_power(&mut desk);
    assert_eq!(field(&desk.obeyed("sightings"), "count"), "0");
    let reply = desk.refused("sight name=Castor", "no-alignment");
    assert!(reply.contains("no alignment was begun"), "{reply}");
    desk.refused("verify name=Castor", "no-alignment");
    desk.refused("moved part=base", "no-alignment");
    // Its dials begin anew wherever it stands: what was kept is about others, unless somebody puts it to its home marks.
    let reply = desk.obeyed("align method=resume");
    assert_eq!((field(&reply, "needed"), field(&reply, "at_home")), ("0".into(), "no".into()));
}

#[test]
fn a_parked_mount_takes_its_alignment_up_again() {
    let mut desk = Desk::german();
    desk.obeyed("align method=two-star");
    sight(&mut desk, "Regulus");
    sight(&mut desk, "Castor");
    desk.obeyed("park");
    desk.run(120.0);
    without_power(&mut desk);
    let reply = desk.obeyed("align method=resume");
    assert_eq!((field(&reply, "needed"), field(&reply, "taken")), ("0".into(), "0".into()));
    assert_eq!(field(&reply, "at_home"), "yes");
    desk.obeyed("unpark");
    at(&mut desk, "Denebola");
    assert_eq!(field(&desk.obeyed("verify name=Denebola"), "verdict"), "fits");
}
