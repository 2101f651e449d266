//! The keys: how fast each goes, and which one a person takes for a way.

use crate::person::{Handset, Person};
use crate::seat::Glass;
use units::{AngularJerk, AngularRate, Span};

/// The rates of the keys, as multiples of the sidereal rate; beyond them there is `full`.
const RATES: [(f64, &str); 4] = [(0.5, "0.5x"), (2.0, "2x"), (20.0, "20x"), (100.0, "100x")];

/// The slowest rate that a person uses who can see no less than arcseconds.
const SLOWEST: usize = 1;

/// The tube has come to rest so long after a press.
pub(crate) const REST: Span = Span::from_whole_seconds(1);

/// After a press at the full rate it takes longer.
const REST_AFTER_FULL: Span = Span::from_whole_seconds(4);

/// What a press is to do.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Errand {
    /// How far the axis is to go, radians.
    pub(crate) distance: f64,
    /// How fast the star runs away from it meanwhile, in radians a second of the axis; negative if it comes nearer.
    pub(crate) running: f64,
}

/// A key, and for how long it should be pressed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Press {
    pub(crate) rate: &'static str,
    /// How fast the axis goes by it, radians a second.
    pub(crate) speed: f64,
    pub(crate) seconds: f64,
    /// Until the tube is at rest again.
    pub(crate) rest: Span,
}

/// The fastest key at which the press is long enough: to be judged by the hand, and for the tube to come to the key's rate. A
/// shorter press goes a way that nobody could tell beforehand: up to twice as far where the acceleration builds up slowly,
/// or less than half as far where it is small. A key that the star outruns is no good. If no press is long enough, the slowest.
pub(crate) fn choose(person: &Person, handset: &Handset, glass: Glass, errand: Errand) -> Press {
    let sidereal = AngularRate::SIDEREAL.radians();
    let full = handset.full_rate.radians();
    let (least, slowest) = if person.shortest_press == Span::ZERO {
        (0.2, 0)
    } else {
        ((2.0 * person.shortest_press.seconds()).max(0.4), SLOWEST)
    };
    let mut keys = RATES
        .iter()
        .map(|(multiple, word)| (multiple * sidereal, *word))
        .filter(|(speed, _)| *speed < full)
        .chain((glass == Glass::Finder).then_some((full, "full")))
        .skip(slowest)
        .filter(|(speed, _)| *speed > errand.running)
        .map(|(speed, rate)| Press {
            rate,
            speed,
            seconds: errand.distance / (speed - errand.running),
            rest: if rate == "full" { REST_AFTER_FULL } else { REST },
        });
    // Nothing in a sky runs as fast as the fastest key; a mount slower than the sky has no better one.
    let slowest = keys.next().unwrap_or(Press {
        rate: RATES[SLOWEST].1,
        speed: RATES[SLOWEST].0 * sidereal,
        seconds: errand.distance / (RATES[SLOWEST].0 * sidereal),
        rest: REST,
    });
    let long_enough = |press: &Press| press.seconds >= least.max(rise(press.speed, handset));
    keys.filter(long_enough).last().unwrap_or(slowest)
}

/// How long the tube takes to come up to a rate from rest: v/a + a/j, or 2√(v/j) where the full acceleration isn't reached
/// on the way; v/a where the acceleration jumps.
fn rise(speed: f64, handset: &Handset) -> f64 {
    let a = handset.acceleration.radians();
    match handset.jerk.map(AngularJerk::radians) {
        None => speed / a,
        Some(j) if speed >= a * a / j => speed / a + a / j,
        Some(j) => 2.0 * (speed / j).sqrt(),
    }
}

/// The shortest way that the slowest key goes: nobody can centre better than half of it.
pub(crate) fn finest_step(person: &Person) -> f64 {
    RATES[SLOWEST].0 * AngularRate::SIDEREAL.radians() * person.shortest_press.seconds()
}
