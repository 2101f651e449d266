//! What no single key can show: keys out of place, names that point nowhere, a night that would cost too much.

use super::kinds::{counterpart, deciding_part, kinds_of};
use super::{Aim, AxisName, Kind, Method, Plan, PolarAdjust, Rate, Tracking};
use crate::complaint::{Complaint, ComplaintKind};
use crate::values::{Stars, TargetName, TimeOfDay};
use sky::catalogue::Kind as CatalogueKind;
use sky::{Body, Source};
use units::Instant;

/// More samples than this would be hours of work and gigabytes of result.
const SAMPLES_MOST: i64 = 100_000_000;

/// More targets than a night has room for.
const TARGETS_MOST: usize = 10_000;
/// More than anybody carries, sights or measures: each list is gone through often.
const EYEPIECES_MOST: usize = 50;
const STARS_MOST: usize = 103;
const TERMS_MOST: usize = 64;

/// All complaints about a plan whose keys are each good in themselves.
pub(crate) fn check(plan: &Plan) -> Vec<Complaint> {
    let mut list = Checks { plan, found: Vec::new() };
    list.cost();
    list.lengths();
    if !list.found.is_empty() {
        // What follows compares entries of lists with each other.
        return list.found;
    }
    list.keys_of_other_kinds();
    list.approaches();
    list.mount();
    list.eyepieces();
    list.alignment();
    list.gears();
    list.targets();
    list.times();
    list.disturbances();
    list.found
}

struct Checks<'p> {
    plan: &'p Plan,
    found: Vec<Complaint>,
}

impl Checks<'_> {
    fn complain(
        &mut self,
        key: &str,
        kind: ComplaintKind,
        problem: impl Into<String>,
        expected: impl Into<String>,
    ) {
        self.found.push(self.plan.complain_as(kind, key, problem, expected));
    }

    fn out_of_place(&mut self, key: &str, problem: impl Into<String>, expected: impl Into<String>) {
        self.complain(key, ComplaintKind::OutOfPlace, problem, expected);
    }

    fn cost(&mut self) {
        let samples = self.plan.samples_at_most();
        if samples > SAMPLES_MOST {
            let least = self.plan.night.length.seconds() / SAMPLES_MOST as f64 * 1000.0;
            self.complain(
                "night.sample_every",
                ComplaintKind::TooMuch,
                format!("this night could have {samples} samples; {SAMPLES_MOST} are the most"),
                format!("sample every {} ms or more", units::maths::ceil(least)),
            );
        }
    }

    /// Lists whose length would cost more than it could be worth.
    fn lengths(&mut self) {
        let plan = self.plan;
        let mut lists: Vec<(String, usize, usize)> = vec![
            ("observe".to_owned(), plan.observe.len(), TARGETS_MOST),
            ("disturb".to_owned(), plan.disturb.len(), TARGETS_MOST),
            ("alignment.later".to_owned(), plan.alignment.later.len(), STARS_MOST),
            ("tube.eyepieces".to_owned(), plan.tube.eyepieces.as_ref().map_or(0, Vec::len), EYEPIECES_MOST),
        ];
        if let Some(Stars::Named(names)) = &plan.alignment.stars {
            lists.push(("alignment.stars".to_owned(), names.len(), STARS_MOST));
        }
        let mount = &plan.mount;
        let axes = [
            ("hour_axis", &mount.hour_axis),
            ("declination_axis", &mount.declination_axis),
            ("azimuth_axis", &mount.azimuth_axis),
            ("altitude_axis", &mount.altitude_axis),
        ];
        for (name, axis) in axes {
            let Some(axis) = axis else { continue };
            let terms = [
                ("reducer_error", axis.reducer_error.as_ref().map_or(0, Vec::len)),
                ("periodic_error", axis.periodic_error.as_ref().map_or(0, Vec::len)),
                ("periodic_error_other_flank", axis.periodic_error_other_flank.as_ref().map_or(0, Vec::len)),
            ];
            lists.extend(terms.map(|(key, length)| (format!("mount.{name}.{key}"), length, TERMS_MOST)));
        }
        for (key, length, most) in lists {
            if length > most {
                let problem = format!("this list has {length} entries");
                self.complain(&key, ComplaintKind::TooMuch, problem, format!("expected at most {most}"));
            }
        }
    }

    /// Keys that a mount of this kind has no use for.
    fn keys_of_other_kinds(&mut self) {
        let kind = self.plan.mount.kind;
        for path in &crate::canonical::leaf_paths(self.plan) {
            let Some(serves) = kinds_of(path) else { continue };
            if serves.contains(&kind) {
                continue;
            }
            let problem = format!("a mount of the kind `{kind}` has no `{}`", deciding_part(path));
            let expected = match counterpart(path, kind) {
                Some(other) => format!("did you mean `{other}`?"),
                None => "leave it out, or change `mount.kind`".to_owned(),
            };
            self.out_of_place(path, problem, expected);
        }
    }

    fn approaches(&mut self) {
        let equatorial = self.plan.mount.kind.is_equatorial();
        let keys = [
            ("observer.final_approach", self.plan.observer.final_approach),
            ("controller.final_approach", self.plan.controller.final_approach),
        ];
        for (key, approach) in keys {
            let Some(approach) = approach else { continue };
            if approach.equatorial().is_some_and(|suits| suits != equatorial) {
                let expected = if equatorial {
                    "write \"west-north\", \"west-south\", \"east-north\", \"east-south\" or \"none\""
                } else {
                    "write \"right-up\", \"right-down\", \"left-up\", \"left-down\" or \"none\""
                };
                let problem = format!("`{approach}` is no direction of this kind of mount's axes");
                self.out_of_place(key, problem, expected);
            }
        }
    }

    fn mount(&mut self) {
        let plan = self.plan;
        if plan.mount.kind == Kind::AltAzimuth && plan.controller.tracking == Some(Tracking::OneAxis) {
            let expected = "write \"both-axes-from-model\", or leave it out";
            self.out_of_place("controller.tracking", "an alt-azimuth mount tracks with both axes", expected);
        }
        let custom = plan.controller.tracking_rate == Some(Rate::Custom);
        match (custom, plan.controller.custom_rate.is_some()) {
            (true, false) => self.complain(
                "controller.tracking_rate",
                ComplaintKind::MissingKey,
                "a custom rate needs `custom_rate`",
                "add a line such as custom_rate = \"15.0 arcsec/s\"",
            ),
            (false, true) => self.out_of_place(
                "controller.custom_rate",
                "`custom_rate` has no effect without tracking_rate = \"custom\"",
                "add tracking_rate = \"custom\", or leave `custom_rate` out",
            ),
            _ => {}
        }
        if let (Some(low), Some(high)) = (plan.mount.altitude_lowest, plan.mount.altitude_highest)
            && low >= high
        {
            let problem = "the lowest altitude isn't below the highest one";
            self.complain(
                "mount.altitude_lowest",
                ComplaintKind::OutOfRange,
                problem,
                "write a lower altitude",
            );
        }
    }

    fn eyepieces(&mut self) {
        let plan = self.plan;
        let given = plan.tube.eyepieces.as_deref();
        if given.is_some_and(<[_]>::is_empty) {
            let expected = "write at least one eyepiece, or leave the key out for the usual two";
            self.complain("tube.eyepieces", ComplaintKind::OutOfRange, "this list is empty", expected);
            return;
        }
        let names: Vec<&str> = match given {
            Some(list) => list.iter().map(|eyepiece| eyepiece.name.as_str()).collect(),
            None => vec!["wide", "close"],
        };
        for (index, name) in names.iter().enumerate() {
            if names[..index].contains(name) {
                let problem = format!("two eyepieces are called `{name}`");
                let key = format!("tube.eyepieces[{index}].name");
                self.complain(&key, ComplaintKind::Duplicate, problem, "give each a name of its own");
            }
        }
        for (index, observation) in plan.observe.iter().enumerate() {
            let Some(wanted) = &observation.eyepiece else { continue };
            if !names.contains(&wanted.as_str()) {
                let expected = match units::nearest(wanted, names.iter().copied()) {
                    Some(near) => format!("did you mean \"{near}\"?"),
                    None => format!("the eyepieces are {}", crate::values::some_of(&names)),
                };
                let key = format!("observe[{index}].eyepiece");
                let problem = format!("there is no eyepiece `{wanted}`");
                self.complain(&key, ComplaintKind::UnknownWord, problem, expected);
            }
        }
    }

    fn alignment(&mut self) {
        let alignment = &self.plan.alignment;
        let method = alignment.method.unwrap_or(Method::None);
        if method.sightings() == 0 {
            let problem = format!("the method `{method}` makes no sightings of its own");
            let expected = "choose a method such as \"two-star\", or leave this out";
            if alignment.stars.is_some() {
                self.out_of_place("alignment.stars", problem.clone(), expected);
            }
            if alignment.refine.is_some_and(|more| more > 0) {
                self.out_of_place("alignment.refine", problem, expected);
            }
        } else if let Some(Stars::Named(names)) = &alignment.stars {
            let further = usize::try_from(alignment.refine.unwrap_or(0)).unwrap_or(usize::MAX);
            let (least, most) = (method.sightings(), method.sightings().saturating_add(further));
            let open_ended = method == Method::ManyStar;
            if names.len() < least || (names.len() > most && !open_ended) {
                let problem = format!("{} stars are named for the method `{method}`", names.len());
                let expected = if open_ended || least == most {
                    format!("name {least}{}", if open_ended { " or more" } else { "" })
                } else {
                    format!("name {least} to {most}: the method's own, then further ones")
                };
                self.complain("alignment.stars", ComplaintKind::OutOfRange, problem, expected);
            }
            for (index, name) in names.iter().enumerate() {
                let key = format!("alignment.stars[{index}]");
                let moving = method == Method::MoonOrPlanet;
                if let Some(problem) = unfit(name, moving) {
                    let expected =
                        if moving { "name the Moon or a planet" } else { "name a star, such as \"Vega\"" };
                    self.complain(&key, ComplaintKind::Unusable, problem, expected);
                }
                if names[..index].iter().any(|other| crate::values::same_target(other, name)) {
                    let problem = format!("`{name}` is named twice");
                    self.complain(&key, ComplaintKind::Duplicate, problem, "name another star");
                }
            }
        }
        let adjusts = alignment.polar_adjust.is_some_and(|way| way != PolarAdjust::None);
        if adjusts && !self.plan.mount.kind.is_equatorial() {
            let problem = "an alt-azimuth mount has no polar axis to adjust";
            self.out_of_place("alignment.polar_adjust", problem, "leave it out, or change `mount.kind`");
        }
    }

    /// What the person learns of the gears by a star.
    fn gears(&mut self) {
        let observer = &self.plan.observer;
        let stars = [
            (
                "observer.periodic_error.star",
                observer.periodic_error.as_ref().and_then(|one| one.star.as_ref()),
            ),
            ("observer.play.star", observer.play.as_ref().and_then(|one| one.star.as_ref())),
        ];
        for (key, star) in stars {
            if let Some(problem) = star.and_then(|name| unfit(name, false)) {
                self.complain(key, ComplaintKind::Unusable, problem, "name a star, such as \"Vega\"");
            }
        }
        if observer.periodic_error.is_none() {
            return;
        }
        let controller = &self.plan.controller;
        let unsteady = controller.tracking_rate.filter(|rate| matches!(rate, Rate::Lunar | Rate::Custom));
        if !self.plan.mount.kind.is_equatorial() {
            let problem =
                "an alt-azimuth mount has no hour axis that turns steadily, so its worm can't be recorded";
            self.out_of_place("observer.periodic_error", problem, "leave it out, or change `mount.kind`");
        } else if controller.tracking == Some(Tracking::Off) {
            let problem = "a mount that doesn't track turns no worm that could be recorded";
            self.out_of_place("controller.tracking", problem, "write \"one-axis\", or leave it out");
        } else if let Some(rate) = unsteady {
            let problem = format!("at the rate `{rate}` no correction of the periodic error can be recorded");
            self.out_of_place("controller.tracking_rate", problem, "write \"sidereal\", or leave it out");
        }
    }

    fn targets(&mut self) {
        for (index, observation) in self.plan.observe.iter().enumerate() {
            let key = |name: &str| format!("observe[{index}].{name}");
            match observation.aim() {
                None => {
                    let problem =
                        "a target has exactly one of: `target`, `ra` with `dec`, `azimuth` with `altitude`";
                    let expected = "write one of these, such as target = \"M 42\"";
                    let path = format!("observe[{index}]");
                    self.complain(&path, ComplaintKind::MissingKey, problem, expected);
                }
                Some(Aim::Horizontal { .. })
                    if observation.dwell.is_some_and(|dwell| dwell.seconds() > 0.0) =>
                {
                    let problem =
                        "a fixed direction over the site isn't followed, so nothing can be dwelt on";
                    self.out_of_place(&key("dwell"), problem, "leave `dwell` out, or give `ra` and `dec`");
                }
                Some(_) => {}
            }
            if observation.per_visitor.is_some() && observation.visitors.unwrap_or(0) == 0 {
                let problem = "`per_visitor` has no effect without visitors";
                self.out_of_place(&key("per_visitor"), problem, "add `visitors`, or leave it out");
            }
            if observation.tracking_rate == Some(Rate::Custom) && self.plan.controller.custom_rate.is_none() {
                let problem = "a custom rate needs `controller.custom_rate`";
                let expected = "add it, or choose another rate";
                self.complain(&key("tracking_rate"), ComplaintKind::MissingKey, problem, expected);
            }
        }
    }

    /// Times of day must fall into the night, or what they say would never happen.
    fn times(&mut self) {
        let later = self.plan.alignment.later.iter().map(|later| later.at);
        let disturb = self.plan.disturb.iter().map(|disturbance| disturbance.at);
        let at: Vec<(String, TimeOfDay)> = later
            .enumerate()
            .map(|(index, at)| (format!("alignment.later[{index}].at"), at))
            .chain(disturb.enumerate().map(|(index, at)| (format!("disturb[{index}].at"), at)))
            .collect();
        for (key, time) in at {
            match self.plan.instant_of(time) {
                Ok(instant) if instant > self.plan.end() => {
                    let problem = format!("the night is over before the next {time}");
                    let expected = "write a time of day within the night, in the offset of `night.begin`";
                    self.complain(&key, ComplaintKind::OutOfRange, problem, expected);
                }
                Ok(_) => {}
                Err(error) => {
                    let expected = "write another time of day";
                    self.complain(&key, ComplaintKind::OutOfRange, error.to_string(), expected);
                }
            }
        }
    }

    /// Those of some keys that this kind of mount has.
    fn serving(&self, keys: &[&'static str]) -> Vec<&'static str> {
        let kind = self.plan.mount.kind;
        keys.iter().copied().filter(|key| kinds_of(key).is_none_or(|kinds| kinds.contains(&kind))).collect()
    }

    fn disturbances(&mut self) {
        for (index, disturbance) in self.plan.disturb.iter().enumerate() {
            let path = format!("disturb[{index}]");
            let given = keys_given(disturbance);
            let keys = disturbance.kind.keys();
            let kind = disturbance.kind;
            for key in &given {
                if !keys.needed.contains(key) && !keys.allowed.contains(key) {
                    let problem = format!("`{key}` has no meaning for `{kind}`");
                    let all: Vec<&str> = [self.serving(keys.needed), self.serving(keys.allowed)].concat();
                    let expected = if all.is_empty() {
                        "leave it out".to_owned()
                    } else {
                        format!("its keys are {}", crate::reader::listed(&all))
                    };
                    self.out_of_place(&format!("{path}.{key}"), problem, expected);
                }
            }
            if !keys.needed.is_empty() && !keys.needed.iter().any(|key| given.contains(key)) {
                let problem = format!("a disturbance of the kind `{kind}` is incomplete");
                let expected = format!("add {}", crate::reader::listed(&self.serving(keys.needed)));
                self.complain(&format!("{path}.kind"), ComplaintKind::MissingKey, problem, expected);
            }
            let choices: Vec<&str> = given
                .iter()
                .copied()
                .filter(|key| matches!(*key, "chance" | "every" | "nth" | "line"))
                .collect();
            if let [_, second, ..] = choices[..] {
                let problem = "a disturbance has one of chance, every, nth and line, not several";
                self.out_of_place(
                    &format!("{path}.{second}"),
                    problem.to_owned(),
                    "leave one of them out".to_owned(),
                );
            }
            if let Some(axis) = disturbance.axis {
                let of_equatorial = matches!(axis, AxisName::Hour | AxisName::Declination);
                if of_equatorial != self.plan.mount.kind.is_equatorial() {
                    let problem = format!("this kind of mount has no `{axis}`");
                    let axes = self.plan.mount.kind.axes();
                    let expected = format!(
                        "write \"{}\" or \"{}\"",
                        axes.first.replace('_', "-"),
                        axes.second.replace('_', "-")
                    );
                    self.out_of_place(&format!("{path}.axis"), problem, expected);
                }
            }
        }
    }
}

impl Plan {
    /// The instant of a time of day: the first such at or after the begin, in the begin's offset.
    ///
    /// # Errors
    /// [`crate::CalendarError`] if that is beyond the years that are served.
    pub fn instant_of(&self, time: TimeOfDay) -> Result<Instant, crate::CalendarError> {
        self.night.begin.next(time)
    }

    /// The begin of the night.
    ///
    /// # Panics
    /// For a plan made in code whose begin is no instant; a plan that was read always has one.
    pub fn begin(&self) -> Instant {
        match self.night.begin.instant() {
            Ok(instant) => instant,
            Err(error) => panic!("a plan with an impossible begin: {error}"),
        }
    }

    /// The end of the night.
    ///
    /// # Panics
    /// As [`Plan::begin`].
    pub fn end(&self) -> Instant {
        self.begin() + self.night.length
    }

    /// Checks a plan that was made or changed in code, as [`crate::read`] does.
    ///
    /// # Errors
    /// All complaints; their places are those of [`Plan::canonical_toml`].
    pub fn validate(&self) -> Result<(), Vec<Complaint>> {
        crate::read(&self.canonical_toml()).map(|_| ())
    }
}

/// Why a name can't be sighted in an alignment by stars, or by the Moon and planets.
fn unfit(name: &TargetName, moving: bool) -> Option<String> {
    let entry = crate::values::entry(name)?;
    let sun = entry.source == Source::Body(Body::Sun);
    let fits =
        if moving { entry.kind == CatalogueKind::Body && !sun } else { entry.kind == CatalogueKind::Star };
    let words = entry.kind.words();
    let article = if words.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" };
    (!fits).then(|| format!("`{name}` is {article} {words}"))
}

/// The keys of a disturbance that have a value.
fn keys_given(disturbance: &super::Disturbance) -> Vec<&'static str> {
    use crate::value::{Form, Item, Value as _};
    match disturbance.print(Form::Exact) {
        Item::Table(entries) => {
            entries.into_iter().map(|(key, _)| key).filter(|key| !matches!(*key, "at" | "kind")).collect()
        }
        Item::Atom(_) | Item::List(_) => Vec::new(),
    }
}
