//! Rows of who sits at the mount, what they set up, sight and show.

use super::{NOTHING, row};
use crate::Row;
use crate::judges::{by_rule, gears, people};
use crate::night::Setting;

/// One star, of which the mount knows where it stands but for a home mark that is half a degree off.
const ALIGNED: &[Setting] =
    &[people::ONE_STAR[0], people::ONE_STAR[1], ("setup.home_hour_error", "\"30 arcmin\"")];
/// The same, seen in the eyepiece at once and well aside of its middle.
const SEEN: &[Setting] =
    &[people::ONE_STAR[0], people::ONE_STAR[1], ("setup.home_hour_error", "\"10 arcmin\"")];
const MISTAKEN: &[Setting] = &[ALIGNED[0], ALIGNED[1], ALIGNED[2], ("observer.view_mistaken", "\"100 %\"")];
const AS_PROPOSED: &[Setting] = &[people::ONE_STAR[0]];
/// A mark that is two degrees off: the star is out of the eyepiece, and within the finder.
const FAR: &[Setting] = &[people::ONE_STAR[0], people::ONE_STAR[1], ("setup.home_hour_error", "\"2 deg\"")];
const UNALIGNED: &[Setting] = &[("setup.home_hour_error", "\"30 arcmin\"")];
/// Three stars, centred not quite.
const CENTRED: &[Setting] = &[
    ("alignment.method", "\"many-star\""),
    ("alignment.stars", "[\"Regulus\", \"Castor\", \"Procyon\"]"),
    ("observer.eyepiece_centring", "\"6 %\""),
    ("setup.home_hour_error", "\"10 arcmin\""),
];
/// One star over a declination axis with play.
const WITH_PLAY: &[Setting] = &[
    people::ONE_STAR[0],
    people::ONE_STAR[1],
    ("mount.declination_axis.backlash", "\"300 arcsec\""),
    ("observer.final_approach", "\"west-north\""),
    ("setup.home_hour_error", "\"10 arcmin\""),
    ("setup.home_declination_error", "\"10 arcmin\""),
];
const LATER: &[Setting] = &[
    ("alignment.method", "\"two-star\""),
    ("alignment.stars", "[\"Regulus\", \"Procyon\"]"),
    ("alignment.later", "[{ at = \"20:35\", target = \"Castor\" }]"),
];
/// A polar axis that stands wrong, and three stars that tell the mount of it.
const SKEWED: &[Setting] = &[
    ("alignment.method", "\"many-star\""),
    ("alignment.stars", "[\"Regulus\", \"Rigel\", \"Capella\"]"),
    ("setup.polar_altitude_error", "\"25 arcmin\""),
    ("setup.polar_azimuth_error", "\"-40 arcmin\""),
];
const ADJUSTED: &[Setting] =
    &[SKEWED[0], SKEWED[1], SKEWED[2], SKEWED[3], ("alignment.polar_adjust", "\"star-offset\"")];
const SHIFTED: &[Setting] =
    &[SKEWED[0], SKEWED[1], SKEWED[2], SKEWED[3], ADJUSTED[4], ("mount.bolts.locking_shift", "\"5 arcmin\"")];
/// Two stars on a mount whose declination mark is off.
const TWO_STARS: &[Setting] = &[
    ("alignment.method", "\"two-star\""),
    ("alignment.stars", "[\"Regulus\", \"Rigel\"]"),
    ("setup.home_declination_error", "\"10 arcmin\""),
];
/// A worm whose error is recorded over one of its turns, through air that moves the star.
const RECORDED: &[Setting] = &[
    ("mount.hour_axis.periodic_error", "[{ harmonic = 1.0, amplitude = \"15 arcsec\", phase = \"0 deg\" }]"),
    ("mount.hour_axis.teeth", "160"),
    ("observer.seeing", "\"2 arcsec\""),
    ("observer.periodic_error.record_turns", "1"),
    ("observer.periodic_error.star", "\"Rigel\""),
    ("observer.periodic_error.guide_interval", "\"10 s\""),
];
/// A declination axis whose play is measured at a star.
const MEASURED: &[Setting] = &[
    ("mount.declination_axis.backlash", "\"150 arcsec\""),
    ("observer.play.rounds", "1"),
    ("observer.play.star", "\"Regulus\""),
];
/// The clock is an hour fast, and the star is found all the same.
const HOUR_WRONG: &[Setting] = &[
    ("setup.entered.daylight_saving_wrong", "true"),
    ("alignment.method", "\"one-star\""),
    ("alignment.stars", "[\"Capella\"]"),
];
const BY_COMPASS: &[Setting] =
    &[("setup.polar_sight", "\"compass\""), ("site.magnetic_declination", "\"3 deg\"")];
const CORRECTED: &[Setting] =
    &[("setup.polar_sight", "\"corrected-compass\""), ("site.magnetic_declination", "\"3 deg\"")];
const VISITED: &[Setting] = &[("observe[0].visitors", "3"), ("observe[0].dwell", "")];
const ALT_AZIMUTH: &[Setting] = super::ALT_AZIMUTH;

pub const ROWS: &[Row] = &[
    row("setup.care", &[("setup.care", "\"usual\"")], "\"hurried\"", by_rule(people::hurried)),
    row("setup.polar_sight", CORRECTED, "\"compass\"", by_rule(people::by_compass)),
    row("site.magnetic_declination", BY_COMPASS, "\"5 deg\"", by_rule(people::needle_turned)),
    row("setup.finder_offset", FAR, "[\"90 arcmin\", \"0 arcmin\"]", by_rule(people::looked_for)),
    // 12 cm beside the tube, set on a mark at 5 m: 82′ too low.
    row("setup.finder_mark", FAR, "\"5 m\"", by_rule(people::looked_for)),
    row("mount.geometry.finder_droop", FAR, "\"3 deg\"", by_rule(people::looked_for)),
    row("tube.finder_field", FAR, "\"2 deg\"", by_rule(people::looked_for)),
    row("observer.finder_centring", FAR, "\"90 arcmin\"", by_rule(people::looked_for)),
    row("setup.home_azimuth_error", ALT_AZIMUTH, "\"1 arcmin\"", by_rule(people::azimuth_mark)),
    row("setup.home_altitude_error", ALT_AZIMUTH, "\"1 arcmin\"", by_rule(people::altitude_mark)),
    row("tube.view", MISTAKEN, "\"upright\"", by_rule(people::shown_as_it_is_taken_for)),
    row("observer.eyepiece_centring", CENTRED, "\"12 %\"", by_rule(people::centred_half_as_well)),
    row("observer.final_approach", WITH_PLAY, "\"west-south\"", by_rule(people::the_hand_takes_up_the_play)),
    row("observer.approach_kept", WITH_PLAY, "\"0 %\"", by_rule(people::never_remembered)),
    row("observer.wrong_star", FAR, "\"100 %\"", by_rule(people::another_star_centred)),
    row("observer.view_mistaken", SEEN, "\"100 %\"", by_rule(people::wrong_way_round)),
    row("observer.reaction", ALIGNED, "\"2 s\"", by_rule(people::slow_to_react)),
    row("observer.shortest_press", ALIGNED, "\"1 s\"", by_rule(people::coarse_presses)),
    row("observer.when_missed", UNALIGNED, "\"search\"", by_rule(people::searched)),
    row("observer.seeing", RECORDED, "\"4 arcsec\"", by_rule(gears::twice_the_seeing)),
    row("observer.periodic_error.record_turns", RECORDED, "2", by_rule(gears::one_turn_more)),
    row("observer.periodic_error.star", RECORDED, "\"Procyon\"", by_rule(gears::the_star_that_is_guided)),
    row("observer.periodic_error.guide_interval", RECORDED, "\"20 s\"", by_rule(gears::half_the_corrections)),
    row("observer.periodic_error.playback", RECORDED, "false", by_rule(gears::not_played)),
    row("observer.play.rounds", MEASURED, "3", by_rule(gears::three_rounds)),
    row("observer.play.star", MEASURED, "\"Castor\"", by_rule(gears::the_star_of_the_play)),
    row("observer.play.set_take_up", MEASURED, "false", by_rule(gears::not_taken_up)),
    row("observer.when_asked", HOUR_WRONG, "\"look-again\"", by_rule(people::clock_set_right)),
    row("alignment.method", UNALIGNED, "\"one-star\"", by_rule(people::aligned)),
    row("alignment.stars", people::ONE_STAR, "[\"Castor\"]", by_rule(people::the_star_that_was_named)),
    row("alignment.refine", AS_PROPOSED, "2", by_rule(people::two_more_sightings)),
    row("alignment.estimator", TWO_STARS, "\"full-model\"", by_rule(people::all_terms_of_two_stars)),
    row("alignment.polar_adjust", SKEWED, "\"star-offset\"", by_rule(people::axis_set_right)),
    row("mount.bolts.pitch", ADJUSTED, "\"2 deg\"", by_rule(people::half_the_turns)),
    row("mount.bolts.step", ADJUSTED, "\"10 arcmin\"", by_rule(people::whole_steps)),
    row("mount.bolts.cross_talk", ADJUSTED, "\"20 %\"", by_rule(people::bolts_that_talk)),
    row("mount.bolts.locking_shift", SHIFTED, "\"10 arcmin\"", by_rule(people::twice_the_shift)),
    row("alignment.later[0].at", LATER, "\"22:20\"", by_rule(people::never_so_late)),
    row("alignment.later[0].target", LATER, "\"Pollux\"", by_rule(people::another_later_star)),
    row("alignment.later[0].replaces", LATER, "\"oldest\"", by_rule(people::in_place_of_the_oldest)),
    row("observe[0].via", UNALIGNED, "\"nearest-bright\"", by_rule(people::by_a_bright_star)),
    row("observe[0].visitors", NOTHING, "3", by_rule(people::three_visitors)),
    row("observe[0].per_visitor", VISITED, "\"90 s\"", by_rule(people::longer_visits)),
    row("observe[0].name", NOTHING, "\"another name\"", by_rule(people::name_alone)),
    row("mount.kind", &[("mount.over_run", "")], "\"fork-equatorial\"", by_rule(people::fork)),
    row("mount.grade", &[("setup.care", "\"perfect\"")], "\"worn\"", by_rule(people::worn)),
];
