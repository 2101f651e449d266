//! Who sits at the mount, what they set up, and what they sight.

use super::{Verdict, figures, hold, near};
use crate::night::{Case, EAST, Setting, WEST, look};
use bench::{Outcome, SightingRow};
use units::Span;

/// What was set up, by name, arcminutes.
fn set(outcome: &Outcome, name: &str) -> f64 {
    outcome.setup.iter().find(|row| row.name == name).map_or(f64::NAN, |row| row.set.arcmin())
}

/// A hurried person leaves what a usual one does, from the same draws, in the proportion of their spreads (the bench's own).
pub fn hurried(case: &Case) -> Verdict {
    // Whoever sets the axis by the stars has undone the lean of the base with the bolts: north as much up, east that much
    // times the tangent of the latitude to the west. What is left is the setting's own error.
    let own = |outcome: &Outcome| {
        let (north, east) = (set(outcome, "lean to the north"), set(outcome, "lean to the east"));
        let (sine, cosine) = units::Angle::from_degrees(40.5).sin_cos();
        [
            set(outcome, "polar axis, altitude") - north,
            set(outcome, "polar axis, azimuth") + east * sine / cosine,
        ]
    };
    let (usual, hurried) = (own(&case.base), own(&case.changed));
    near("polar axis, altitude", hurried[0] / usual[0], 60.0 / 25.0, 1e-9)?;
    near("polar axis, azimuth", hurried[1] / usual[1], 180.0 / 60.0, 1e-9)?;
    for (name, ratio) in [
        ("lean to the north", 30.0 / 18.0),
        ("lean to the east", 30.0 / 18.0),
        ("home mark, hour axis", 60.0 / 30.0),
        ("home mark, declination axis", 45.0 / 20.0),
    ] {
        hold(set(&case.base, name).abs() > 0.01, "a usual person leaves nothing")?;
        near(name, set(&case.changed, name) / set(&case.base, name), ratio, 1e-9)?;
    }
    Ok(())
}

/// A needle that points three degrees east leads the axis as far east, if that is forgotten.
pub fn by_compass(case: &Case) -> Verdict {
    near("polar axis, azimuth", set(&case.base, "polar axis, azimuth"), 0.0, 1e-9)?;
    near("polar axis, azimuth", set(&case.changed, "polar axis, azimuth"), 180.0, 1e-9)
}

pub fn needle_turned(case: &Case) -> Verdict {
    near("polar axis, azimuth", set(&case.base, "polar axis, azimuth"), 180.0, 1e-9)?;
    near("polar axis, azimuth", set(&case.changed, "polar axis, azimuth"), 300.0, 1e-9)
}

fn lengths(outcome: &Outcome) -> Vec<f64> {
    outcome.sightings.iter().map(|row: &SightingRow| row.centring_miss.arcsec()).collect()
}

/// Twice the error of centring, from the same draws, leaves each star twice as far from the middle.
pub fn centred_half_as_well(case: &Case) -> Verdict {
    let (before, after) = (lengths(&case.base), lengths(&case.changed));
    hold(before.len() == 3 && after.len() == 3, "there are not three sightings")?;
    let sum = |all: &[f64]| all.iter().sum::<f64>();
    hold(sum(&before) > 60.0, "the errors are too small to judge")?;
    // A perfect hand stops within a part of the error itself: a quarter of it either way.
    near("sum of the centring misses, as a ratio", sum(&after) / sum(&before), 2.0, 0.5)
}

/// How long the alignment took, seconds.
fn alignment(outcome: &Outcome) -> f64 {
    outcome.summary.alignment.seconds()
}

/// The star is not where the finder's middle, or its field, promises: it is looked for, and that takes longer.
pub fn looked_for(case: &Case) -> Verdict {
    hold(!case.base.sightings.is_empty(), "no star was sighted")?;
    let (before, after) = (alignment(&case.base), alignment(&case.changed));
    hold(after > before + 10.0, &format!("the alignment takes {before} s and then {after} s"))
}

/// Whoever takes the view for an upright one goes wrong with a mirrored view, and right where it is upright.
pub fn shown_as_it_is_taken_for(case: &Case) -> Verdict {
    let attentive = case.changed_with(&[("observer.view_mistaken", "\"0 %\"")]);
    hold(figures(&case.changed) == figures(&attentive), "the mistake matters with an upright view, too")?;
    hold(figures(&case.base) != figures(&case.changed), "the view changes nothing")
}

/// Centred northward the axis is pushed by one flank, southward by the other: the zero that the mount learns differs by the
/// play of 300″, and so does where it then goes, from the south in both nights.
pub fn the_hand_takes_up_the_play(case: &Case) -> Verdict {
    let (before, after) = case.looks(EAST);
    // Either hand stops within a perfect person's tolerance of some arcseconds.
    near("miss_north_arcsec", (after.miss_north - before.miss_north).arcsec().abs(), 300.0, 15.0)
}

/// A hand that never remembers the direction does what one does that has none in mind.
pub fn never_remembered(case: &Case) -> Verdict {
    let without = case.base_with(&[("observer.final_approach", "\"none\"")]);
    hold(figures(&case.changed) == figures(&without), "it still matters")?;
    hold(figures(&case.base) != figures(&without), "the direction matters nowhere")
}

/// Taking a neighbour for the star leaves the tube degrees aside of it.
pub fn another_star_centred(case: &Case) -> Verdict {
    hold(lengths(&case.base).iter().all(|miss| *miss < 60.0), "the star was not centred")?;
    let least = lengths(&case.changed).into_iter().fold(f64::NAN, f64::max);
    hold(least > 600.0 || case.changed.sightings.is_empty(), &format!("it is centred to {least} arcsec"))
}

/// Whoever takes the view for an upright one presses the wrong key: it costs time, or the star.
pub fn wrong_way_round(case: &Case) -> Verdict {
    let first = |outcome: &Outcome| outcome.evening.tries.first().map(|one| (one.ending, one.took));
    let (Some(before), Some(after)) = (first(&case.base), first(&case.changed)) else {
        return Err("nobody tried".to_owned());
    };
    hold(before.0 == "taken", "the star was not taken")?;
    hold(after.0 != "taken" || after.1 > before.1, &format!("{before:?} became {after:?}"))
}

/// Each press comes later by the reaction: two seconds times the presses at the keys, of which three of a try (go-to,
/// method, acceptance) are none.
pub fn slow_to_react(case: &Case) -> Verdict {
    let (before, after) = (&case.base.evening, &case.changed.evening);
    let presses = after.tries.iter().map(|one| one.presses.saturating_sub(2)).sum::<u64>();
    hold(before.alignment_presses > 0 && presses > 0, "no key was pressed")?;
    let longer = alignment(&case.changed) - alignment(&case.base);
    hold(longer >= 2.0, &format!("the alignment takes {longer} s longer"))
}

/// Nobody who presses a key for a whole second centres better than half of what the slowest key goes in that: two sidereal
/// rates, 30″.
pub fn coarse_presses(case: &Case) -> Verdict {
    let greatest = |outcome: &Outcome| lengths(outcome).into_iter().fold(0.0, f64::max);
    let (before, after) = (greatest(&case.base), greatest(&case.changed));
    hold(after > before && after < 90.0, &format!("centring misses of {before} became {after} arcsec"))
}

/// A target that is half a degree off is searched for, and found.
pub fn searched(case: &Case) -> Verdict {
    let seen = |outcome: &Outcome| outcome.evening.targets[EAST].seen;
    hold(!case.base.gotos[EAST].in_field(), "it was in the field")?;
    hold((seen(&case.base), seen(&case.changed)) == (false, true), "the search changed nothing")
}

/// Whoever goes on leaves the clock as it is; whoever looks at the watch sets it and begins again, with a star that then stands in its place.
pub fn clock_set_right(case: &Case) -> Verdict {
    let asked = |outcome: &Outcome| outcome.evening.doubts.len();
    hold((asked(&case.base), asked(&case.changed)) == (0, 1), "nobody was asked, or more than once")?;
    let stars = (&case.base.sightings, &case.changed.sightings);
    hold((stars.0.len(), stars.1.len()) == (1, 2), "the sightings are not one and two")?;
    let first = [&stars.0[0], &stars.1[0], &stars.1[1]].map(|row| row.first_miss.degrees());
    // The chord of an hour about the pole at Capella's declination: 2 asin(cos 46.0° sin 7.52°) = 10.4°.
    near("first star", first[0], 10.4, 0.1)?;
    near("first star, asked", first[1], 10.4, 0.1)?;
    near("star after the clock was set", first[2], 0.0, 0.01)
}

/// One star takes the error of the home mark of half a degree away.
pub fn aligned(case: &Case) -> Verdict {
    hold(case.base.sightings.is_empty() && case.changed.sightings.len() == 1, "the sightings are others")?;
    let (before, after) = case.looks(WEST);
    hold(before.miss.arcmin() > 20.0, "there was nothing to learn")?;
    // A perfect person centres to a fraction of an arcminute.
    near("miss_arcmin", after.miss.arcmin(), 0.0, 1.0)
}

fn stars(outcome: &Outcome) -> Vec<&str> {
    outcome.sightings.iter().map(|row| row.star.as_str()).collect()
}

pub fn the_star_that_was_named(case: &Case) -> Verdict {
    let found = (stars(&case.base), stars(&case.changed));
    hold(found == (vec!["Regulus"], vec!["Castor"]), &format!("the stars are {found:?}"))
}

pub fn two_more_sightings(case: &Case) -> Verdict {
    let found = (case.base.sightings.len(), case.changed.sightings.len());
    hold(found == (1, 3), &format!("the sightings are {found:?}"))
}

/// A later sighting comes before the first target after its time; one that would be after the last target never comes.
pub fn never_so_late(case: &Case) -> Verdict {
    let found = (stars(&case.base), stars(&case.changed));
    hold(
        found.0 == ["Regulus", "Procyon", "Castor"] && found.1 == ["Regulus", "Procyon"],
        &format!("{found:?}"),
    )?;
    let at = case.base.sightings[2].at - case.begin();
    hold(at >= Span::from_whole_seconds(300), "it came too early")
}

pub fn another_later_star(case: &Case) -> Verdict {
    let found = (stars(&case.base).pop(), stars(&case.changed).pop());
    hold(found == (Some("Castor"), Some("Pollux")), &format!("{found:?}"))
}

pub fn in_place_of_the_oldest(case: &Case) -> Verdict {
    let used = |outcome: &Outcome| outcome.model.as_ref().map(|model| model.sightings_used);
    let found = (used(&case.base), used(&case.changed));
    hold(found == (Some(3), Some(2)), &format!("the model rests on {found:?}"))
}

/// A bright star on the way takes the error of the home mark away.
pub fn by_a_bright_star(case: &Case) -> Verdict {
    hold(case.base.evening.tries.is_empty(), "there was a stepping stone before")?;
    let tries = &case.changed.evening.tries;
    hold(tries.first().is_some_and(|one| one.purpose == "stepping"), "there is no stepping stone")?;
    let (before, after) = case.looks(EAST);
    hold(before.miss.arcmin() > 20.0, "there was nothing to learn")?;
    near("miss_arcmin", after.miss.arcmin(), 0.0, 1.0)
}

pub fn three_visitors(case: &Case) -> Verdict {
    let (before, after) = (&case.base.evening.targets[EAST], &case.changed.evening.targets[EAST]);
    hold((before.visitors_came, after.visitors_came) == (0, 3), "they did not come")?;
    hold(case.changed.summary.visitors_served == after.visitors_saw, "they are not counted")
}

/// Three visitors of 45 seconds more each.
pub fn longer_visits(case: &Case) -> Verdict {
    let took = |outcome: &Outcome| outcome.evening.targets[EAST].took.seconds();
    // What a bump costs in centring is another matter: none befalls these six minutes.
    hold(case.base.evening.jolts == case.changed.evening.jolts, "the visitors bump into the mount")?;
    near("seconds longer", took(&case.changed) - took(&case.base), 135.0, 3.0)
}

/// In the German position the tube is beside the pier; in a fork it has no side.
pub fn fork(case: &Case) -> Verdict {
    let (before, after) = case.looks(EAST);
    hold(before.tube_side != "none" && after.tube_side == "none", "the sides of the pier are others")?;
    hold(after.solution == "direct", "a fork has one position")?;
    near("miss_arcsec", after.miss.arcsec(), 0.0, 0.01)
}

/// A worn worm's error of 90″ peak to peak is seen over ten of its eleven minutes, times cos δ, with what the reducer adds.
pub fn worn(case: &Case) -> Verdict {
    let size = |outcome: &Outcome| outcome.dwells[EAST].peak_to_peak.arcsec();
    near("peak_to_peak_arcsec before", size(&case.base), 0.0, 0.01)?;
    let found = size(&case.changed);
    hold((40.0..300.0).contains(&found), &format!("peak_to_peak_arcsec is {found}"))
}

/// A name is what it is called, in the rows of go-to, dwell and effort, and no more.
pub fn name_alone(case: &Case) -> Verdict {
    let mut renamed = case.base.clone();
    renamed.gotos[EAST].target = "another name".to_owned();
    renamed.dwells[EAST].target = "another name".to_owned();
    renamed.evening.targets[EAST].target = "another name".to_owned();
    hold(figures(&renamed) == figures(&case.changed), "more than the name changed")
}

/// A mark of an alt-azimuth mount that is wrong by an arcminute: true axis angle = dial + this.
fn mark(case: &Case, expected: [f64; 2]) -> Verdict {
    for target in [EAST, WEST] {
        let look = look(&case.changed, target);
        near("azimuth axis minus dial", (look.axes.0 - look.dials.0).arcsec(), expected[0], 1e-6)?;
        near("altitude axis minus dial", (look.axes.1 - look.dials.1).arcsec(), expected[1], 1e-6)?;
    }
    Ok(())
}

pub fn azimuth_mark(case: &Case) -> Verdict {
    mark(case, [60.0, 0.0])
}

pub fn altitude_mark(case: &Case) -> Verdict {
    mark(case, [0.0, 60.0])
}

/// The base night of a perfect person who aligns on one star.
pub const ONE_STAR: &[Setting] =
    &[("alignment.method", "\"one-star\""), ("alignment.stars", "[\"Regulus\"]")];

/// A rotation leaves the declination zero alone; the full model moves it towards the ten arcminutes that it is off by.
pub fn all_terms_of_two_stars(case: &Case) -> Verdict {
    let zero = |outcome: &Outcome| {
        let model = outcome.model.as_ref()?;
        let open = model.not_determined.iter().map(|open| &open.belief);
        model
            .terms
            .iter()
            .chain(open)
            .find(|term| term.name == "declination zero")
            .map(|term| term.value.arcmin())
    };
    near("declination zero of a rotation, arcmin", zero(&case.base).unwrap_or(f64::NAN), 0.0, 1e-9)?;
    let full = zero(&case.changed).unwrap_or(f64::NAN);
    // Two stars and the priors share it out: some of it goes to the base.
    hold((2.0..12.0).contains(&full), &format!("the declination zero is {full} arcmin"))
}

/// Altitude and azimuth of the polar axis after a pass, arcminutes.
fn axis_after(outcome: &Outcome, pass: usize) -> [f64; 2] {
    outcome.polar.get(pass).map_or([f64::NAN; 2], |row| [row.after.0.arcmin(), row.after.1.arcmin()])
}

/// How far each bolt was turned in the first pass, in turns.
fn turns(outcome: &Outcome) -> [f64; 2] {
    outcome.polar.first().map_or([f64::NAN; 2], |row| [row.turns.0, row.turns.1])
}

/// A perfect person sets the axis to what they can see in the eyepiece, a quarter of an arcminute, by the mount's model, which
/// three stars of a perfect hand tell to a few per cent of the 47 arcminutes.
pub fn axis_set_right(case: &Case) -> Verdict {
    hold(case.base.polar.is_empty(), "bolts were turned without being asked for")?;
    let last = case.changed.polar.len().saturating_sub(1);
    for (name, left) in ["altitude", "azimuth"].into_iter().zip(axis_after(&case.changed, last)) {
        near(name, left, 0.0, 2.0)?;
    }
    Ok(())
}

pub fn half_the_turns(case: &Case) -> Verdict {
    let (base, changed) = (turns(&case.base), turns(&case.changed));
    near("turns of the altitude bolt, as a ratio", changed[0] / base[0], 0.5, 1e-12)?;
    near("turns of the azimuth bolt, as a ratio", changed[1] / base[1], 0.5, 1e-12)
}

/// A turn of a bolt is a degree: with steps of ten arcminutes a sixth of it.
pub fn whole_steps(case: &Case) -> Verdict {
    for steps in turns(&case.changed).map(|turns| turns * 6.0) {
        near("steps", steps, steps.round(), 1e-9)?;
    }
    let steps = turns(&case.base).map(|turns| turns * 6.0);
    hold(steps.iter().any(|steps| (steps - steps.round()).abs() > 1e-6), "without steps there are steps")
}

/// What one bolt does to the other direction is put right by the other bolt: other turns, the same place.
pub fn bolts_that_talk(case: &Case) -> Verdict {
    for outcome in [&case.base, &case.changed] {
        for left in axis_after(outcome, 0) {
            near("the axis after the first pass", left, 0.0, 2.0)?;
        }
    }
    let (base, changed) = (turns(&case.base), turns(&case.changed));
    hold((base[0] - changed[0]).abs() > 0.01, "the altitude bolt is turned as before")
}

/// The same draws, twice as large; what the first pass leaves besides is a quarter of an arcminute.
pub fn twice_the_shift(case: &Case) -> Verdict {
    let (base, changed) = (axis_after(&case.base, 0), axis_after(&case.changed, 0));
    let unshifted = axis_after(&case.changed_with(&[("mount.bolts.locking_shift", "\"0 arcmin\"")]), 0);
    for axis in 0..2 {
        let (once, twice) = (base[axis] - unshifted[axis], changed[axis] - unshifted[axis]);
        hold(once.abs() > 0.1, "locking shifts nothing")?;
        // Two turns of the base don't add up as numbers: to a product of both.
        near("shift, as a ratio", twice / once, 2.0, 0.02)?;
    }
    Ok(())
}
