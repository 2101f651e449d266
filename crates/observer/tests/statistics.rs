//! The errors of the person, many times over, against what is stated of them. Seeds are fixed. A sample deviation of N
//! normal draws has the relative error 1/√(2N), a share the error √(p(1−p)/N); bounds are four of these.

mod fake;

use fake::Fake;
use observer::seat::Jolt;
use observer::{
    AlignmentIntent, Approach, Care, Entered, Evening, Handset, Method, Person, Purpose, SightingEnding,
    View, jolts, observe,
};
use sky::catalogue::Catalogue;
use units::{Angle, AngularAcceleration, AngularJerk, AngularRate, Share, Span, Streams};

const HANDSET: Handset = Handset {
    alt_azimuth: false,
    full_rate: AngularRate::from_degrees(3.0),
    acceleration: AngularAcceleration::from_degrees(2.0),
    jerk: Some(AngularJerk::from_degrees(6.0)),
    view: View::Mirrored,
    latitude: Angle::from_degrees(50.0),
    entered: Entered { clock_fast: Span::ZERO, latitude: None, longitude: None },
};

/// As many sightings of one star as asked for, each after a go-to that misses by `error`.
fn sightings(person: Person, star: &str, count: usize, fake: &mut Fake) -> observer::Account {
    fake.end = Span::from_whole_seconds(1_000_000_000);
    let alignment = AlignmentIntent {
        method: Method::OneStar,
        estimator: None,
        stars: vec![star.to_owned(); count],
        refine: count - 1,
    };
    let evening = Evening {
        person,
        handset: HANDSET,
        alignment: Some(alignment),
        polar: None,
        recording: None,
        play: None,
        later: Vec::new(),
        intents: Vec::new(),
        streams: Streams::new(20_270_306),
    };
    observe(&evening, fake)
}

fn at(west: f64, north: f64) -> [f64; 2] {
    [Angle::from_arcmin(west).radians(), Angle::from_arcmin(north).radians()]
}

fn moments(values: &[f64]) -> (f64, f64) {
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    (mean, (values.iter().map(|value| (value - mean) * (value - mean)).sum::<f64>() / (n - 1.0)).sqrt())
}

#[test]
fn centring_errors_have_their_stated_spread() {
    const COUNT: usize = 2000;
    for (care, sigma_arcsec) in [(Care::Usual, 180.0), (Care::Careful, 30.0)] {
        let mut fake = Fake::new().with_star("Regulus", Angle::ZERO, Angle::ZERO);
        fake.error = at(9.0, -7.0);
        fake.gap = [Angle::from_arcsec(150.0).radians(), Angle::from_arcsec(180.0).radians()];
        let person = Person { focus_shift: Angle::ZERO, ..Person::of(care) };
        let account = sightings(person, "Regulus", COUNT, &mut fake);
        assert_eq!(fake.accepted.len(), COUNT, "{:?}", account.sightings.last());
        for axis in 0..2 {
            let off: Vec<f64> =
                fake.accepted.iter().map(|one| Angle::from_radians(one.off[axis]).arcsec()).collect();
            let (mean, deviation) = moments(&off);
            // The hand stops within a fifth of a sigma of where the eye wants the star, and from the side that it comes from:
            // up to 0.2 of mean and 3 % of spread beside the draws.
            let n = COUNT as f64;
            assert!(mean.abs() / sigma_arcsec < 4.0 / n.sqrt() + 0.2, "{care:?} axis {axis}: mean {mean}");
            let ratio = deviation / sigma_arcsec;
            assert!((ratio - 1.0).abs() < 4.0 / (2.0 * n).sqrt() + 0.03, "{care:?} axis {axis}: {ratio}");
        }
    }
}

#[test]
fn the_final_approach_is_kept_as_often_as_stated() {
    const COUNT: usize = 1500;
    for (care, kept) in [(Care::Usual, 0.75), (Care::Careful, 0.97)] {
        let mut fake = Fake::new().with_star("Regulus", Angle::ZERO, Angle::ZERO);
        // The tube stands west and north of the star: a hand that forgets ends in the east and the south.
        fake.error = at(10.0, 10.0);
        let approach = Some(Approach { first: 1.0, second: 1.0 });
        let person = Person { approach, focus_shift: Angle::ZERO, ..Person::of(care) };
        sightings(person, "Regulus", COUNT, &mut fake);
        let right = fake.accepted.iter().filter(|one| one.senses == [1.0, 1.0]).count();
        let share = right as f64 / COUNT as f64;
        let error = (kept * (1.0 - kept) / COUNT as f64).sqrt();
        // A hand that overshoots ends in the other sense by chance: both axes at once in a few of a hundred.
        assert!((share - kept).abs() < 4.0 * error + 0.03, "{care:?}: {share}");
    }
}

#[test]
fn a_neighbour_is_centred_as_often_as_stated() {
    const COUNT: usize = 1200;
    let catalogue = Catalogue::embedded();
    let place = |name: &str| match catalogue.find(name).unwrap().source {
        sky::Source::Star(star) => sky::icrs_at(&star, units::Instant::J2000_TAI),
        sky::Source::Body(_) => unreachable!("a star"),
    };
    let middle = place("Alnilam");
    // A flat chart round the middle of Orion's belt.
    let mut fake = Fake::new();
    for star in catalogue.stars_to(3.0) {
        let (ra, dec) = place(&star.name);
        let (west, north) = ((middle.0 - ra).wrapped_signed() * dec.cos(), dec - middle.1);
        if west.degrees().abs() < 12.0 && north.degrees().abs() < 12.0 {
            fake = fake.with_star(&star.name, west, north);
        }
    }
    for (off_degrees, expected) in [(1.0, 0.2), (2.0, 0.36)] {
        fake.error = [Angle::from_degrees(off_degrees).radians(), 0.0];
        fake.accepted.clear();
        let person = Person {
            wrong_star: Share::from_fraction(0.2),
            focus_shift: Angle::ZERO,
            ..Person::of(Care::Usual)
        };
        sightings(person, "Alnilam", COUNT, &mut fake);
        assert_eq!(fake.accepted.len(), COUNT);
        let wrong =
            fake.accepted.iter().filter(|one| units::maths::hypot(one.off[0], one.off[1]) > 0.01).count();
        let share = wrong as f64 / COUNT as f64;
        let error = (expected * (1.0 - expected) / COUNT as f64).sqrt();
        // One degree off: as stated; two: 1 − (1 − 0.2)².
        assert!((share - expected).abs() < 4.0 * error, "{off_degrees} degrees off: {share}");
    }
}

#[test]
fn visitors_bump_kick_and_slip_at_their_rates() {
    const HOURS: u64 = 4000;
    let streams = Streams::new(5);
    let hour = Span::from_whole_seconds(3600);
    let (mut bumps, mut kicks, mut slips) = (0_u32, 0_u32, 0_u32);
    let mut steps = Vec::new();
    for visitor in 0..HOURS {
        for (at, jolt) in jolts(&streams, visitor, hour) {
            assert!(at < hour);
            match jolt {
                Jolt::Bump(_) => bumps += 1,
                Jolt::Step([a, b]) => steps.push(units::maths::hypot(a.arcmin(), b.arcmin())),
                Jolt::Kick(_) => kicks += 1,
                Jolt::Slip { angle, .. } => {
                    slips += 1;
                    assert!((0.5..3.0).contains(&angle.degrees().abs()));
                }
            }
        }
    }
    // Poisson counts: the error is the root of the expected count.
    for (found, per_hour) in [(bumps, 9.0), (steps.len() as u32, 1.0), (kicks, 0.3), (slips, 0.1)] {
        let expected = per_hour * HOURS as f64;
        assert!((f64::from(found) - expected).abs() < 4.0 * expected.sqrt(), "{found} of {expected}");
    }
    // The mean of a Rayleigh distribution of 3 is 3·√(π/2), its deviation 0.655·3.
    let (mean, deviation) = moments(&steps);
    let n = steps.len() as f64;
    assert!((mean - 3.760).abs() < 4.0 * 1.966 / n.sqrt(), "{mean}");
    assert!((deviation - 1.966).abs() < 0.1, "{deviation}");
}

#[test]
fn a_mirrored_view_taken_for_an_upright_one_costs_keys_and_no_error() {
    let night = |mistaken: f64| {
        let mut fake = Fake::new().with_star("Regulus", Angle::ZERO, Angle::ZERO);
        fake.error = at(8.0, 0.0);
        let person = Person {
            view_mistaken: Share::from_fraction(mistaken),
            focus_shift: Angle::ZERO,
            ..Person::of(Care::Careful)
        };
        let account = sightings(person, "Regulus", 50, &mut fake);
        assert!(account.sightings.iter().all(|one| one.ending == SightingEnding::Taken));
        assert!(account.sightings.iter().all(|one| one.purpose == Purpose::Alignment));
        let worst = fake.accepted.iter().map(|one| one.off[0].abs()).fold(0.0, f64::max);
        (account.presses, Angle::from_radians(worst).arcmin())
    };
    let (right, mistaken) = (night(0.0), night(1.0));
    assert!(mistaken.0 > right.0 + 40, "{right:?} {mistaken:?}");
    // Five sigma of half an arcminute.
    assert!(mistaken.1 < 2.5 && right.1 < 2.5, "{right:?} {mistaken:?}");
}
