//! What a go-to goes to, made ready; and what a sighting says that the tube points at.

use crate::Controller;
use crate::target::Target;
use kinematics::{AxisAngles, Kind, frames};
use nalgebra::Vector3;
use protocol::{Aim, Rate, Refusal, RefusalKind, Seen};
use sky::catalogue::Catalogue;
use sky::{Source, StarPlace};
use std::sync::Arc;
use units::{Angle, Span};

/// What a go-to goes to.
#[derive(Clone, Debug)]
pub(crate) enum Goal {
    /// Something that moves with the sky, and the rate at which it is tracked from there.
    Sky { name: String, target: Target, rate: Rate },
    /// A direction over the ground (east, north, up), as observed.
    Ground { name: String, direction: Vector3<f64> },
    /// Dials.
    Dials { name: String, dials: AxisAngles },
}

impl Goal {
    /// What it is called.
    pub(crate) fn name(&self) -> &str {
        match self {
            Self::Sky { name, .. } | Self::Ground { name, .. } | Self::Dials { name, .. } => name,
        }
    }

    /// The rate of tracking after it.
    pub(crate) fn rate(&self) -> Rate {
        match self {
            Self::Sky { rate, .. } => *rate,
            Self::Ground { .. } | Self::Dials { .. } => Rate::Off,
        }
    }
}

impl Controller {
    pub(crate) fn goal(&self, aim: &Aim) -> Result<Goal, Refusal> {
        let wrong_kind = |needs: &str| {
            let sentence = format!("this mount is {}; give {needs}", self.settings.kind.word());
            Refusal::new(RefusalKind::WrongKind, sentence)
        };
        let alt_azimuth = self.settings.kind == Kind::AltAzimuth;
        let sky = |(name, target)| Goal::Sky { name, target, rate: self.settings.rate };
        Ok(match *aim {
            Aim::Name(ref name) => sky(self.named(name)?),
            Aim::Equatorial { ra, dec } => sky(self.placed(ra, dec)),
            Aim::Horizontal { azimuth, altitude } => {
                Goal::Ground { name: "direction".to_owned(), direction: frames::direction(azimuth, altitude) }
            }
            Aim::EquatorialAxes { hour, declination } if !alt_azimuth => Goal::Dials {
                name: "axes".to_owned(),
                dials: AxisAngles { first: hour, second: declination },
            },
            Aim::HorizontalAxes { azimuth, altitude } if alt_azimuth => Goal::Dials {
                name: "axes".to_owned(),
                dials: AxisAngles { first: azimuth, second: altitude },
            },
            Aim::EquatorialAxes { .. } => return Err(wrong_kind("azimuth_axis and altitude_axis")),
            Aim::HorizontalAxes { .. } => return Err(wrong_kind("hour_axis and declination_axis")),
        })
    }

    /// What a sighting says that the tube points at.
    pub(crate) fn seen(&self, seen: &Seen) -> Result<(String, Target), Refusal> {
        match seen {
            Seen::Name(name) => self.named(name),
            Seen::Equatorial { ra, dec } => Ok(self.placed(*ra, *dec)),
        }
    }

    fn named(&self, name: &str) -> Result<(String, Target), Refusal> {
        let entry = Catalogue::embedded()
            .find(name)
            .map_err(|missing| Refusal::new(RefusalKind::UnknownTarget, missing.to_string()))?;
        Ok((entry.name, Target::of(Arc::new(self.belief.track(&entry.source)))))
    }

    fn placed(&self, ra: Angle, dec: Angle) -> (String, Target) {
        let name = format!("{} {}", ra.as_hours_text(1), dec.as_degrees_text(0));
        (name, Target::of(Arc::new(self.belief.track(&Source::Star(StarPlace::fixed(ra, dec))))))
    }

    /// Where a goal is observed at a moment (east, north, up); dials have no direction of their own.
    pub(crate) fn direction_of(&self, goal: &Goal, at: Span) -> Option<Vector3<f64>> {
        match goal {
            Goal::Sky { target, .. } => Some(target.observed(&self.belief, at)),
            Goal::Ground { direction, .. } => Some(*direction),
            Goal::Dials { .. } => None,
        }
    }
}
