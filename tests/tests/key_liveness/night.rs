//! One night in which only the key in question is wrong.

use bench::{GotoRow, Look, Outcome, Prepared};
use scenario::Complaint;
use toml::{Table, Value};
use units::Instant;

/// A perfect mount without air over it: every first-order formula holds to the square of the one error.
const BASE: &str = r#"
format = 1

[night]
title = "Nothing but the key in question"
begin = 2027-03-06T20:30:00+01:00
length = "2 h"
seed = 7
sample_every = "1 s"
ut1_minus_utc = "0 s"

[site]
latitude = "40.5 deg"
longitude = "-4.5 deg"
height = "0 m"
pressure = "0 hPa"
temperature = "10 degC"
humidity = 0.0
horizon = "0 deg"

[tube]
aperture = "150 mm"
focal_length = "1500 mm"
reducer = "1"
finder_field = "6 deg"
view = "mirrored"

[[tube.eyepieces]]
name = "wide"
focal_length = "25 mm"
apparent_field = "50 deg"

[[tube.eyepieces]]
name = "close"
focal_length = "18 mm"
apparent_field = "52 deg"

[mount]
kind = "german-equatorial"
grade = "perfect"
over_run = "10 deg"

[mount.hour_axis]
slew_rate = "3 deg/s"
acceleration = "2 deg/s2"
jerk = "6 deg/s3"

[mount.declination_axis]
slew_rate = "3 deg/s"
acceleration = "2 deg/s2"
jerk = "6 deg/s3"

[alignment]
method = "none"

[[observe]]
ra = "130 deg"
dec = "20 deg"
name = "east of the meridian"
eyepiece = "wide"
dwell = "10 min"

[[observe]]
ra = "60 deg"
dec = "35 deg"
name = "west of the meridian"

[[observe]]
target = "Regulus"

[[observe]]
azimuth = "150 deg"
altitude = "40 deg"
"#;

/// Its targets by number: gone to directly, and through the pole.
pub const EAST: usize = 0;
pub const WEST: usize = 1;
/// By name, and by direction.
pub const NAMED: usize = 2;
pub const GROUND: usize = 3;

/// A key's path and its value as it stands in a file; an empty value takes the key away.
pub type Setting = (&'static str, &'static str);

/// The base night as it is.
pub const NO_SETTINGS: &[Setting] = &[];

/// A night with some settings in place of its own.
fn text_with<'a>(base: &str, settings: impl IntoIterator<Item = (&'a str, &'a str)>) -> String {
    let mut table: Table = toml::from_str(base).expect("the base night is TOML");
    for (path, literal) in settings {
        set(&mut table, path, literal);
    }
    toml::to_string(&table).expect("a table can be written")
}

fn set(table: &mut Table, path: &str, literal: &str) {
    let (section, key) = path.rsplit_once('.').map_or((None, path), |(section, key)| (Some(section), key));
    let mut at = table;
    for part in section.into_iter().flat_map(|section| section.split('.')) {
        let (name, place) = match part.split_once('[') {
            Some((name, place)) => (name, place.trim_end_matches(']').parse().ok()),
            None => (part, None::<usize>),
        };
        let value = at.entry(name).or_insert_with(|| Value::Table(Table::new()));
        at = match (value, place) {
            (Value::Table(inner), None) => inner,
            (Value::Array(list), Some(place)) => {
                list[place].as_table_mut().unwrap_or_else(|| panic!("{path}: no table at {place}"))
            }
            _ => panic!("{path}: {part} is neither a table nor a list of tables"),
        };
    }
    if literal.is_empty() {
        at.remove(key);
        return;
    }
    let mut holder: Table = toml::from_str(&format!("v = {literal}"))
        .unwrap_or_else(|error| panic!("{path} = {literal}: {error}"));
    at.insert(key.to_owned(), holder.remove("v").expect("just written"));
}

/// Reads and prepares the base night with some settings.
pub fn prepared(settings: &[Setting]) -> Result<Prepared, Vec<Complaint>> {
    let plan = scenario::read(&text_with(BASE, settings.iter().copied()))?;
    bench::prepare(&plan)
}

/// The same for a night that is told in another text.
pub fn prepared_from(base: &str, settings: &[(String, String)]) -> Result<Prepared, Vec<Complaint>> {
    let settings = settings.iter().map(|(path, literal)| (path.as_str(), literal.as_str()));
    let plan = scenario::read(&text_with(base, settings))?;
    bench::prepare(&plan)
}

fn played(settings: &[Setting]) -> Outcome {
    match prepared(settings) {
        Ok(prepared) => prepared.measure(),
        Err(complaints) => {
            let lines: Vec<String> =
                complaints.iter().map(|one| format!("{}: {}", one.key, one.problem)).collect();
            panic!("with {settings:?} the night is refused: {}", lines.join("; "))
        }
    }
}

/// The night without and with the one change.
pub struct Case {
    given: &'static [Setting],
    change: Setting,
    pub base: Outcome,
    pub changed: Outcome,
}

impl Case {
    pub fn new(given: &'static [Setting], change: Setting) -> Self {
        let base = played(given);
        let changed = played(&[given, &[change]].concat());
        Self { given, change, base, changed }
    }

    /// What was changed beforehand, in both nights.
    pub fn given(&self) -> &'static [Setting] {
        self.given
    }

    /// The one change.
    pub fn change(&self) -> Setting {
        self.change
    }

    /// The unchanged night with further settings.
    pub fn base_with(&self, further: &[Setting]) -> Outcome {
        played(&[self.given, further].concat())
    }

    /// The changed night with further settings.
    pub fn changed_with(&self, further: &[Setting]) -> Outcome {
        played(&[self.given, &[self.change], further].concat())
    }

    /// The true instant at which both nights begin.
    pub fn begin(&self) -> Instant {
        prepared(self.given).unwrap_or_else(|_| unreachable!("it was just played")).world_spec().begin
    }

    /// The unchanged night, ready to be played by somebody else.
    pub fn base_night(&self) -> Prepared {
        prepared(self.given).unwrap_or_else(|_| unreachable!("it was just played"))
    }

    /// The changed night, likewise.
    pub fn changed_night(&self) -> Prepared {
        prepared(&[self.given, &[self.change]].concat())
            .unwrap_or_else(|_| unreachable!("it was just played"))
    }

    /// The looks of one target, in both nights.
    pub fn looks(&self, target: usize) -> (&Look, &Look) {
        (look(&self.base, target), look(&self.changed, target))
    }
}

/// What was seen of a target.
pub fn look(outcome: &Outcome, target: usize) -> &Look {
    let GotoRow { look, refusal, target, .. } = &outcome.gotos[target];
    look.as_ref().unwrap_or_else(|| panic!("nobody looked at {target}: {refusal:?}"))
}
