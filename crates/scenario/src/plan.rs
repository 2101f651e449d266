//! The plan of a night: what a scenario file says, as types.
//!
//! Every key of the file is a field of the same name. `None` means that the file says nothing: what holds then is
//! told by the key table and decided where the plan is used, since a mount's grade, the person's care and the truth
//! of the site fill most of the gaps.

mod alignment;
mod checks;
mod controller;
mod events;
mod kinds;
mod mount;
mod observation;
mod observer;
mod setup;
mod vary;

pub use alignment::{Alignment, Estimator, Later, Method, PolarAdjust, Replaced};
pub(crate) use checks::check;
pub use controller::{Controller, Rate, SolutionChoice, TakeUp, Tracking};
pub use events::{Disturbance, DisturbanceKind, Expect, WireWay};
pub use mount::{
    Axes, Axis, AxisName, AxisTiming, Bolts, Clock, Correction, Geometry, Grade, Kind, MeridianPolicy, Mount,
    PeriodicTerm, ReducerTerm, Structure,
};
pub use observation::{Aim, Observation, Via};
pub use observer::{Approach, Observer, PeriodicErrorRecording, PlayMeasurement, Recovery, WhenAsked};
pub use setup::{Care, Entered, PolarSight, Setup};
pub use vary::{Factor, Levels, Overrides, Strategy, Vary};

use crate::reader::KeyPlace;
use crate::value::{section, words};
use crate::values::{Begin, Horizon, Ratio};
use crate::{Complaint, ComplaintKind};
use std::collections::BTreeMap;
use std::sync::Arc;
use units::{Angle, Length, Pressure, Span, Temperature};

section! {
    /// A whole night.
    pub struct Plan {
        required {
            /// Version of the file's form.
            format: u64, in "1" to "1";
            /// When, how long, and by which seed.
            night: Night;
            /// Where, and in what air: the truth.
            site: Site;
            /// The mount as matter.
            mount: Mount;
        }
        optional {}
        nested {
            /// The telescope.
            tube: Tube = "the reference tube: 150 mm, 1500 mm, two eyepieces";
            /// What was done in the field before dark, against the truth.
            setup: Setup = "drawn from `care`";
            /// The person at the eyepiece.
            observer: Observer = "drawn from `setup.care`";
            /// The mount's own settings.
            controller: Controller = "as each key says";
            /// How the mount learns where it points.
            alignment: Alignment = "none";
            /// What is looked at, in this order.
            observe: Vec<Observation> = "nothing";
            /// What goes wrong, and when.
            disturb: Vec<Disturbance> = "nothing";
            /// What must hold; where it doesn't, the exit status is 1.
            expect: Expect = "nothing";
        }
        unlisted {
            /// Where each key stands in the file; takes no part in comparisons.
            places: Places;
        }
    }
}

section! {
    /// When the night is and what it draws from.
    pub struct Night {
        required {
            /// The true instant of the begin, with its offset from UTC.
            begin: Begin;
            /// How long the night lasts.
            length: Span, in "1 s" to "48 h";
        }
        optional {
            /// A name for people; changes no figure.
            title: String = "none";
            /// Where every random draw of the night begins. The digest of a plan leaves it out.
            seed: u64 = "0", in "0" to "9007199254740991";
            /// Time between two samples of a dwell.
            sample_every: Span = "1 s", in "1 ms" to "1 h";
            /// How far the Earth's rotation is ahead of UTC, held through the night.
            ut1_minus_utc: Span = "0 s", in "-1 s" to "1 s";
        }
        nested {}
    }
}

section! {
    /// Where the mount stands: the truth.
    pub struct Site {
        required {
            /// Geodetic latitude, north positive.
            latitude: Angle, in "-90 deg" to "90 deg";
            /// Longitude, east positive.
            longitude: Angle, in "-180 deg" to "360 deg";
        }
        optional {
            /// Height above the ellipsoid.
            height: Length = "0 m", in "-500 m" to "9000 m";
            /// Pressure of the air at the site; 0 hPa is vacuum.
            pressure: Pressure = "1013.25 hPa × exp(−height ÷ (29.3 m/K × T))", in "0 hPa" to "1200 hPa";
            /// Temperature of the air.
            temperature: Temperature = "10 degC", in "-90 degC" to "60 degC";
            /// Relative humidity, a bare number from 0 to 1.
            humidity: f64 = "0.5", in "0" to "1";
            /// Skyline: one altitude, or a list of azimuth and altitude pairs by rising azimuth.
            horizon: Horizon = "0 deg", in "-5 deg" to "90 deg";
            /// Magnetic declination at the site, east positive, for whoever sets up by compass.
            magnetic_declination: Angle = "by the magnetic model", in "-180 deg" to "180 deg";
        }
        nested {}
    }
}

words! {
    /// How the eyepiece shows the sky.
    pub enum View, "a view" {
        /// As the naked eye sees it.
        Upright = "upright",
        /// Turned by half a turn.
        Inverted = "inverted",
        /// Left and right exchanged, as a diagonal does.
        Mirrored = "mirrored",
    }
}

section! {
    /// The telescope.
    #[derive(Default)]
    pub struct Tube {
        required {}
        optional {
            /// Free aperture.
            aperture: Length = "150 mm", in "10 mm" to "10 m";
            /// Focal length of the main optics.
            focal_length: Length = "1500 mm", in "50 mm" to "100 m";
            /// Factor of a focal reducer or an extender.
            reducer: Ratio = "1", in "0.1" to "10";
            /// The eyepieces at hand; the first one is used where nothing is said.
            eyepieces: Vec<Eyepiece> = "`wide` (25 mm, 50 deg) and `close` (18 mm, 52 deg)";
            /// True field of the finder.
            finder_field: Angle = "6 deg", in "0.1 deg" to "60 deg";
            /// How the eyepiece shows the sky.
            view: View = "mirrored";
        }
        nested {}
    }
}

section! {
    /// An eyepiece.
    pub struct Eyepiece {
        required {
            /// What it is called in this file.
            name: String;
            /// Focal length.
            focal_length: Length, in "1 mm" to "200 mm";
            /// Apparent field.
            apparent_field: Angle, in "5 deg" to "130 deg";
        }
        optional {}
        nested {}
    }
}

/// Where each key stands in the file that a plan was read from.
#[derive(Clone, Debug, Default)]
pub struct Places {
    pub(crate) source: Arc<str>,
    pub(crate) keys: Arc<BTreeMap<String, KeyPlace>>,
}

/// Two plans that say the same are equal, wherever they stand.
impl PartialEq for Places {
    fn eq(&self, _other: &Self) -> bool {
        true
    }
}

impl Places {
    pub(crate) fn new(source: &str, keys: BTreeMap<String, KeyPlace>) -> Self {
        Self { source: source.into(), keys: Arc::new(keys) }
    }

    /// The text that was read; empty for a plan made in code.
    pub fn source(&self) -> &str {
        &self.source
    }

    /// Where a key stands; `None` if the file doesn't have it.
    pub fn of(&self, key: &str) -> Option<&KeyPlace> {
        self.keys.get(key)
    }

    /// The paths of all keys that the file has, in alphabetical order, places in lists as `observe[2]`.
    pub fn keys(&self) -> impl Iterator<Item = &str> {
        self.keys.keys().map(String::as_str)
    }

    /// The place of a key's value, or of the nearest table above it that stands in the file.
    fn nearest(&self, key: &str) -> std::ops::Range<usize> {
        let mut path = key;
        loop {
            if let Some(place) = self.keys.get(path) {
                // A table has a whole section as its value; its name says enough.
                return if path == key { place.value.clone() } else { place.key.clone() };
            }
            match path.rfind(['.', '[']) {
                Some(cut) => path = &path[..cut],
                None => return 0..0,
            }
        }
    }
}

impl Plan {
    /// A complaint about a key of this plan, for whoever finds out later that it can't be served.
    ///
    /// `key` is a path such as `mount.hour_axis.backlash` or `observe[2].eyepiece`; it points at the value, or at the
    /// nearest table above it if the file has no such key.
    pub fn complain(&self, key: &str, problem: impl Into<String>, expected: impl Into<String>) -> Complaint {
        self.complain_as(ComplaintKind::Unusable, key, problem, expected)
    }

    /// As [`Plan::complain`], with the sort of mistake said.
    pub fn complain_as(
        &self,
        kind: ComplaintKind,
        key: &str,
        problem: impl Into<String>,
        expected: impl Into<String>,
    ) -> Complaint {
        Complaint::new(&self.places.source, key, self.places.nearest(key), kind, problem, expected)
    }

    /// The refusal of a key that belongs to the contract but has no effect yet.
    pub fn not_built_yet(&self, key: &str) -> Complaint {
        let problem = format!("`{key}` is not built yet");
        let expected = "leave it out: nothing is ignored in silence";
        self.complain_as(ComplaintKind::NotBuiltYet, key, problem, expected)
    }

    /// The number of samples that the night would have if it were one dwell: the bound of what it can cost.
    pub fn samples_at_most(&self) -> i64 {
        let every = self.night.sample_every.unwrap_or(Span::from_whole_seconds(1));
        self.night.length.nanoseconds() / every.nanoseconds().max(1) + 1
    }
}
