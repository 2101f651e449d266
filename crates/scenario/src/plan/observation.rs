//! What is looked at.

use super::Rate;
use crate::value::{section, words};
use crate::values::TargetName;
use units::{Angle, Span};

words! {
    /// How a target is reached.
    pub enum Via, "a way to a target" {
        /// Straight.
        None = "none",
        /// A bright star near by is centred first, then a hop.
        NearestBright = "nearest-bright",
    }
}

section! {
    /// A target of the night: by name, by right ascension and declination, or by azimuth and altitude.
    #[derive(Default)]
    pub struct Observation {
        required {}
        optional {
            /// Its name: a star, a deep-sky object, the Moon, a planet.
            target: TargetName = "none";
            /// Right ascension, with `dec`, instead of a name (ICRS, J2000.0).
            ra: Angle = "none", in "0 h" to "24 h";
            /// Declination, with `ra`.
            dec: Angle = "none", in "-90 deg" to "90 deg";
            /// Azimuth, north through east, with `altitude`, instead of a name.
            azimuth: Angle = "none", in "0 deg" to "360 deg";
            /// Altitude as seen, refraction in, with `azimuth`.
            altitude: Angle = "none", in "-5 deg" to "90 deg";
            /// What a target without a catalogue name is called in results.
            name: String = "its place";
            /// Which eyepiece, by its name.
            eyepiece: String = "the first";
            /// How long it is watched.
            dwell: Span = "0 s: one look", in "0 s" to "48 h";
            /// How it is reached.
            via: Via = "none";
            /// Tracking rate while it is watched.
            tracking_rate: Rate = "the controller's";
            /// How many people look, one after the other.
            visitors: u64 = "0", in "0" to "100000";
            /// How long each of them looks.
            per_visitor: Span = "45 s", in "1 s" to "1 h";
        }
        nested {}
    }
}

/// Where an observation aims.
#[derive(Clone, Debug, PartialEq)]
pub enum Aim<'p> {
    /// At something that the catalogue has.
    Named(&'p TargetName),
    /// At a place among the stars.
    Equatorial {
        /// Right ascension.
        ra: Angle,
        /// Declination.
        dec: Angle,
    },
    /// At a direction over the site.
    Horizontal {
        /// North through east.
        azimuth: Angle,
        /// Refraction in.
        altitude: Angle,
    },
}

impl Observation {
    /// Where it aims; `None` unless it has exactly one of the three forms (a plan that was read always has).
    pub fn aim(&self) -> Option<Aim<'_>> {
        match (&self.target, self.ra, self.dec, self.azimuth, self.altitude) {
            (Some(name), None, None, None, None) => Some(Aim::Named(name)),
            (None, Some(ra), Some(dec), None, None) => Some(Aim::Equatorial { ra, dec }),
            (None, None, None, Some(azimuth), Some(altitude)) => Some(Aim::Horizontal { azimuth, altitude }),
            _ => None,
        }
    }

    /// What it is called in results.
    pub fn title(&self) -> String {
        match (&self.name, self.aim()) {
            (Some(name), _) => name.clone(),
            (None, Some(Aim::Named(name))) => name.0.clone(),
            (None, Some(Aim::Equatorial { ra, dec })) => {
                format!("{} {}", ra.as_hours_text(0), dec.as_degrees_text(0))
            }
            (None, Some(Aim::Horizontal { azimuth, altitude })) => {
                format!("azimuth {:.1} deg, altitude {:.1} deg", azimuth.degrees(), altitude.degrees())
            }
            (None, None) => "nothing".to_owned(),
        }
    }
}
