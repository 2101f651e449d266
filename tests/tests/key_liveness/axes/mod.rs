//! Keys of the four axes: each is tried on each axis, by turning it and reading its dial and its true angle.

mod gears;
mod loads;
mod motors;

use crate::judges::Verdict;
use crate::night::{Setting, prepared_from};
use scenario::Complaint;
use tests::mount::Mount;
use units::Span;
use world::Disturbance;

/// One key of an axis and what it does.
pub struct AxisRow {
    /// Its path below the axis's table.
    pub key: &'static str,
    /// What is changed beforehand: paths below the axis's table, those after `other.` below the other axis's, or whole ones from
    /// `mount` or `setup` on.
    pub given: &'static [Setting],
    /// What the key gets.
    pub becomes: &'static str,
    /// What must come of it.
    pub rule: fn(&Case) -> Verdict,
}

const fn row(
    key: &'static str,
    given: &'static [Setting],
    becomes: &'static str,
    rule: fn(&Case) -> Verdict,
) -> AxisRow {
    AxisRow { key, given, becomes, rule }
}

/// All rows of an axis.
pub fn rows() -> impl Iterator<Item = &'static AxisRow> {
    [gears::ROWS, loads::ROWS, motors::ROWS].into_iter().flatten()
}

/// An axis of a kind of mount, as the scenario and the wire call it.
#[derive(Clone, Copy, Debug)]
pub struct Axis {
    /// Its table in a scenario, below `mount`.
    pub table: &'static str,
    /// The other axis of the same mount.
    other: &'static str,
    kind: &'static str,
    index: usize,
    /// Where the other axis stands meanwhile, degrees.
    other_at: f64,
    /// A dial from which all angles of this module are counted, degrees, so that every axis may be turned by 0 to 70 of them.
    from: f64,
    /// How much of gravity is across the axis there.
    pub across: f64,
}

/// sin 5°: how far the base of the azimuth axis leans, so that gravity has something to pull at.
const LEAN_SINE: f64 = 0.087_155_742_747_658_17;
/// cos 40.5°: the hour axis rises by the latitude.
const LATITUDE_COSINE: f64 = 0.760_405_965_600_030_9;

/// All axes.
pub const AXES: [Axis; 4] = [
    Axis {
        table: "hour_axis",
        other: "declination_axis",
        kind: "german-equatorial",
        index: 0,
        other_at: 60.0,
        from: -100.0,
        across: LATITUDE_COSINE,
    },
    // With the hour axis at the meridian the declination axis is level.
    Axis {
        table: "declination_axis",
        other: "hour_axis",
        kind: "german-equatorial",
        index: 1,
        other_at: 0.0,
        from: 0.0,
        across: 1.0,
    },
    Axis {
        table: "azimuth_axis",
        other: "altitude_axis",
        kind: "alt-azimuth",
        index: 0,
        other_at: 30.0,
        from: 5.0,
        across: LEAN_SINE,
    },
    Axis {
        table: "altitude_axis",
        other: "azimuth_axis",
        kind: "alt-azimuth",
        index: 1,
        other_at: 40.0,
        from: 5.0,
        across: 1.0,
    },
];

/// A perfect mount with nothing to look at.
const BASE: &str = r#"
format = 1

[night]
begin = 2027-03-06T20:30:00+01:00
length = "2 h"
seed = 7

[site]
latitude = "40.5 deg"
longitude = "-4.5 deg"

[mount]
grade = "perfect"
"#;

/// One axis without and with the change of a key.
pub struct Case {
    /// Which axis it is.
    pub axis: Axis,
    given: &'static [Setting],
    change: Setting,
}

impl Case {
    /// Holds a row on an axis.
    ///
    /// # Errors
    /// What doesn't hold.
    pub fn judge(axis: Axis, row: &AxisRow) -> Verdict {
        (row.rule)(&Self { axis, given: row.given, change: (row.key, row.becomes) })
    }

    fn settings(&self, further: &[Setting]) -> Vec<(String, String)> {
        let kind = ("mount.kind".to_owned(), format!("\"{}\"", self.axis.kind));
        let lean = (self.axis.table == "azimuth_axis")
            .then(|| ("setup.lean_north".to_owned(), "\"5 deg\"".to_owned()));
        let path = |path: &str| {
            if path.starts_with("mount.") || path.starts_with("setup.") {
                path.to_owned()
            } else if let Some(path) = path.strip_prefix("other.") {
                format!("mount.{}.{path}", self.axis.other)
            } else {
                format!("mount.{}.{path}", self.axis.table)
            }
        };
        let settings = self.given.iter().chain(further).map(|(key, value)| (path(key), (*value).to_owned()));
        [kind].into_iter().chain(lean).chain(settings).collect()
    }

    fn turner(&self, further: &[Setting]) -> Result<Turner, Vec<Complaint>> {
        let prepared = prepared_from(BASE, &self.settings(further))?;
        Ok(Turner { mount: Mount::new(prepared.world_spec().clone()), axis: self.axis })
    }

    /// The axis without the change.
    ///
    /// # Panics
    /// If the night is refused.
    pub fn before(&self) -> Turner {
        self.turner(&[]).unwrap_or_else(|complaints| panic!("refused before the change: {complaints:?}"))
    }

    /// The axis with it.
    ///
    /// # Panics
    /// If the night is refused.
    pub fn after(&self) -> Turner {
        self.turner(&[self.change]).unwrap_or_else(|complaints| panic!("refused: {complaints:?}"))
    }

    /// At which keys the night with the change is refused, the axis's table left out.
    pub fn complaints(&self) -> Vec<String> {
        let table = format!("mount.{}.", self.axis.table);
        let complaints = self.turner(&[self.change]).err().unwrap_or_default();
        complaints.iter().map(|one| one.key.trim_start_matches(&table).to_owned()).collect()
    }
}

/// One axis that is turned over the wire.
pub struct Turner {
    mount: Mount,
    axis: Axis,
}

impl Turner {
    /// Goes to an angle, degrees from where this axis is counted from, and waits until nothing swings any more. Returns how
    /// long the mount says the way to be, seconds.
    pub fn go(&mut self, degrees: f64) -> f64 {
        let (dial, other) = (self.axis.from + degrees, self.axis.other_at);
        let line = format!("goto {}={dial:.8}deg {}={other}deg", self.axis.table, self.axis.other);
        let seconds = self.mount.seconds(&line, "seconds");
        self.mount.wait(seconds + 30.0);
        seconds
    }

    /// What the axis truly stands aside from an angle of the dial, degrees from where this axis is counted from: arcseconds.
    pub fn aside_of(&mut self, degrees: f64) -> f64 {
        (self.truth() - self.axis.from - degrees) * 3600.0
    }

    /// The same after going there.
    pub fn aside(&mut self, degrees: f64) -> f64 {
        self.go(degrees);
        self.aside_of(degrees)
    }

    /// By how much it stands elsewhere if the same angle is reached from above instead of from below, arcseconds.
    pub fn play(&mut self, degrees: f64) -> f64 {
        self.go(degrees - 2.0);
        let below = self.aside(degrees);
        self.go(degrees + 2.0);
        self.aside(degrees) - below
    }

    /// The true angle, degrees.
    pub fn truth(&mut self) -> f64 {
        let axes = self.mount.world().truth().axes();
        if self.axis.index == 0 { axes.first.degrees() } else { axes.second.degrees() }
    }

    /// The dial of an angle, degrees: what the gears turn by.
    pub fn dial_of(&self, degrees: f64) -> f64 {
        self.axis.from + degrees
    }

    /// Lets time pass.
    pub fn wait(&mut self, seconds: f64) {
        self.mount.wait(seconds);
    }

    /// Lets the axis be pushed aside, or whatever else befalls it.
    pub fn befall(&mut self, disturbance: Disturbance) {
        self.mount.world().befall(disturbance);
    }

    /// Cuts the power for a second and waits until the mount has started again.
    pub fn cut_power(&mut self) {
        self.befall(Disturbance::BrownOut(Span::from_whole_seconds(1)));
        self.mount.wait(120.0);
        self.mount.events();
    }

    /// Turns from the dial where it stands, whatever that is, degrees; returns the true angle, degrees.
    pub fn turn_by(&mut self, degrees: f64) -> f64 {
        let dial = format!("{}_dial", self.axis.table.trim_end_matches("_axis"));
        let other = format!("{}_dial", self.axis.other.trim_end_matches("_axis"));
        let (dial, other) = (self.mount.degrees("axes", &dial), self.mount.degrees("axes", &other));
        let line =
            format!("goto {}={:.8}deg {}={other:.8}deg", self.axis.table, dial + degrees, self.axis.other);
        let seconds = self.mount.seconds(&line, "seconds");
        self.mount.wait(seconds + 30.0);
        self.truth()
    }
}
