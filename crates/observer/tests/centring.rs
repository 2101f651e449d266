//! Centring where stars drift, and searching, on a mount on paper: how it ends, over all that may be met.

mod fake;

use fake::Fake;
use observer::{
    Account, AlignmentIntent, Care, Entered, Evening, Handset, Method, Person, SightingEnding, View, observe,
};
use units::{Angle, AngularAcceleration, AngularRate, Share, Span, Streams, maths};

/// One star, sighted once after a go-to, with a mount of that full rate (degrees a second) and acceleration.
fn sight(person: Person, seed: u64, full: f64, acceleration: f64, fake: &mut Fake) -> Account {
    fake.full_rate = AngularRate::from_degrees(full).radians();
    fake.acceleration = AngularAcceleration::from_degrees(acceleration).radians();
    let evening = Evening {
        person,
        handset: Handset {
            alt_azimuth: false,
            full_rate: AngularRate::from_degrees(full),
            acceleration: AngularAcceleration::from_degrees(acceleration),
            jerk: None,
            view: View::Mirrored,
            latitude: Angle::from_degrees(50.0),
            entered: Entered::default(),
        },
        alignment: Some(AlignmentIntent {
            method: Method::OneStar,
            estimator: None,
            stars: vec!["Regulus".to_owned()],
            refine: 0,
        }),
        polar: None,
        recording: None,
        play: None,
        later: Vec::new(),
        intents: Vec::new(),
        streams: Streams::new(seed),
    };
    observe(&evening, fake)
}

/// A person of a care who wants every star in the very middle, so that where it ends says how the hand works.
fn exacting(care: Care) -> Person {
    Person {
        finder_centring: Angle::ZERO,
        eyepiece_centring: Share::ZERO,
        focus_shift: Angle::ZERO,
        ..Person::of(care)
    }
}

/// What a polar axis off by `degrees` makes a star drift by at the most, in a direction on the sky, radians a second.
fn drift(degrees: f64, direction: f64) -> [f64; 2] {
    let rate = AngularRate::SIDEREAL.radians() * maths::sin(degrees.to_radians());
    let (sin, cos) = maths::sincos(direction.to_radians());
    [rate * cos, rate * sin]
}

const CARES: [Care; 4] = [Care::Hurried, Care::Usual, Care::Careful, Care::Perfect];

/// Every drift, field and declination with every care.
fn met(mut each: impl FnMut(Care, u64, &str, Fake)) {
    let mut seed = 0;
    for care in CARES {
        for polar in [0.0, 0.5, 2.0, 4.0, 6.0, 8.0] {
            for direction in 0..8 {
                for (field, slowing) in [(10.0, 1.0), (25.0, 0.87), (50.0, 0.5), (90.0, 0.2)] {
                    seed += 1;
                    let mut fake = Fake::new().with_star("Regulus", Angle::ZERO, Angle::ZERO);
                    fake.drift = drift(polar, 45.0 * f64::from(direction) + 10.0);
                    fake.eyepiece = Angle::from_arcmin(field);
                    fake.slowing = slowing;
                    // In the eyepiece, in the finder, and beyond it.
                    let off = [0.2 * field, 80.0, 250.0][seed as usize % 3];
                    fake.error = [off, -0.7 * off].map(|arcmin| Angle::from_arcmin(arcmin).radians());
                    let words = format!(
                        "{care:?}, {polar} deg, direction {direction}, field {field}', cosine {slowing}"
                    );
                    each(care, seed, &words, fake);
                }
            }
        }
    }
}

#[test]
fn a_drifting_star_is_centred_within_the_tolerance() {
    met(|care, seed, words, mut fake| {
        let account = sight(exacting(care), seed, 3.0, 2.0, &mut fake);
        assert_eq!(account.sightings[0].ending, SightingEnding::Taken, "{words}");
        // Twice the tolerance along each axis: half of what a quarter of a second at 2x goes, or a quarter of an arcsecond.
        let tolerance = if care == Care::Perfect { 0.25 } else { 0.5 * 0.25 * 2.0 * 15.0411 };
        for off in fake.accepted[0].off {
            let off = Angle::from_radians(off).arcsec();
            assert!(off.abs() <= 2.0 * tolerance + 1e-6, "{words}: {off} arcsec");
        }
    });
}

#[test]
fn presses_along_an_axis_never_take_a_star_further_and_further() {
    met(|care, seed, words, mut fake| {
        let drift = maths::hypot(fake.drift[0], fake.drift[1]);
        // What may be left when the star was near: what it drifts by in a look of two seconds and a press of up to two more, and the
        // shortest press with its scatter.
        let floor = 4.0 * drift + Angle::from_arcsec(12.0).radians();
        sight(exacting(care), seed, 3.0, 2.0, &mut fake);
        // What the finder doesn't show is looked for, not centred.
        let centred: Vec<(usize, f64)> = fake
            .pressed
            .iter()
            .skip_while(|(_, [west, north])| {
                maths::hypot(*west, *north) >= Angle::from_degrees(3.0).radians()
            })
            .map(|(axis, place)| (*axis, place[*axis].abs()))
            .collect();
        for run in centred.chunk_by(|one, other| one.0 == other.0) {
            for (index, (axis, before)) in run.iter().enumerate() {
                let furthest = run[index..].iter().map(|(_, later)| *later).fold(0.0, f64::max);
                let bound = before.max(floor) * 1.000_001;
                assert!(furthest <= bound, "{words}, axis {axis}: {run:?}");
            }
        }
        assert!(fake.pressed.len() < 120, "{words}: {} presses", fake.pressed.len());
    });
}

#[test]
fn people_sight_drifting_stars_through_play() {
    for care in [Care::Hurried, Care::Usual, Care::Careful] {
        for gap in [20.0, 150.0, 500.0] {
            for direction in 0..8_u32 {
                let mut fake = Fake::new().with_star("Regulus", Angle::ZERO, Angle::ZERO);
                fake.drift = drift(8.0, 45.0 * f64::from(direction));
                fake.gap = [gap, gap].map(|arcsec| Angle::from_arcsec(arcsec).radians());
                fake.error = [12.0, -9.0].map(|arcmin| Angle::from_arcmin(arcmin).radians());
                let account = sight(Person::of(care), u64::from(direction), 3.0, 2.0, &mut fake);
                let ending = &account.sightings[0].ending;
                let words = format!("{care:?}, {gap} arcsec of play, direction {direction}");
                assert_eq!(*ending, SightingEnding::Taken, "{words}");
            }
        }
    }
}

#[test]
fn a_search_in_the_finder_finds_every_star_within_its_reach() {
    // Mounts whose full rate is too fast for a stop, just right for it, and slower than the fastest key.
    for (full, acceleration) in [(3.0, 2.0), (1.5, 6.0), (0.3, 0.2)] {
        for care in CARES {
            // 2.7 fields of six degrees along each axis, less what the presses go wrong by: a twentieth of a field.
            let steps = 11;
            let reach = 2.65 * 6.0;
            for west in -steps..=steps {
                for north in -steps..=steps {
                    let mut fake = Fake::new().with_star("Regulus", Angle::ZERO, Angle::ZERO);
                    let degrees = [west, north].map(|number| reach * f64::from(number) / f64::from(steps));
                    fake.error = degrees.map(f64::to_radians);
                    let seed = (1000 + 100 * west + north) as u64;
                    let account = sight(exacting(care), seed, full, acceleration, &mut fake);
                    let ending = &account.sightings[0].ending;
                    assert_eq!(
                        *ending,
                        SightingEnding::Taken,
                        "{care:?}, full {full} deg/s, off by {degrees:?}"
                    );
                }
            }
        }
    }
}

#[test]
fn nobody_lets_go_of_a_key_before_the_tube_is_at_its_rate() {
    let mut fake = Fake::new().with_star("Regulus", Angle::ZERO, Angle::ZERO);
    fake.error = [2.5_f64.to_radians(), 0.0];
    fake.end = Span::from_whole_seconds(3600);
    // Three degrees a second are reached after a second and a half, in which the tube would go too far by half.
    sight(exacting(Care::Perfect), 1, 3.0, 2.0, &mut fake);
    assert!(fake.lines.iter().any(|line| line.contains("rate=100x")), "{:?}", fake.lines);
    assert!(!fake.lines.iter().any(|line| line.contains("rate=full")), "{:?}", fake.lines);
    // Four presses bring it within a quarter of an arcsecond: one for each key that is fast enough.
    assert!(fake.pressed.len() <= 6, "{:?}", fake.lines);
}
