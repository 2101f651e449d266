//! How the mount learns where it points.

use crate::value::{section, words};
use crate::values::{Stars, TargetName, TimeOfDay};

words! {
    /// How the mount learns where it points.
    pub enum Method, "an alignment method" {
        /// It trusts its home position and what was typed in.
        None = "none",
        /// One star gives the zero offsets.
        OneStar = "one-star",
        /// Two stars give the rotation.
        TwoStar = "two-star",
        /// Three stars or more give the full model.
        ManyStar = "many-star",
        /// The Moon or a planet, in twilight.
        MoonOrPlanet = "moon-or-planet",
        /// The model of the night before, the mount not having been moved.
        Resume = "resume",
    }
}

impl Method {
    /// How many sightings the method itself needs at least.
    pub const fn sightings(self) -> usize {
        match self {
            Self::None | Self::Resume => 0,
            Self::OneStar | Self::MoonOrPlanet => 1,
            Self::TwoStar => 2,
            Self::ManyStar => 3,
        }
    }
}

words! {
    /// What is made of the sightings.
    pub enum Estimator, "an estimator" {
        /// A rotation of the base alone.
        Rotation = "rotation",
        /// The full model of the mount's errors.
        FullModel = "full-model",
    }
}

words! {
    /// How the polar axis is adjusted before the night's targets.
    pub enum PolarAdjust, "a way to adjust the polar axis" {
        /// Not at all.
        None = "none",
        /// A star is centred with the altitude and azimuth bolts where it would stand if the axis were right.
        StarOffset = "star-offset",
        /// By the drift of two stars.
        Drift = "drift",
    }
}

words! {
    /// Which earlier sighting a later one replaces.
    pub enum Replaced, "a sighting to be replaced" {
        /// None: it is added.
        None = "none",
        /// The one nearest on the sky.
        Nearest = "nearest",
        /// The oldest.
        Oldest = "oldest",
    }
}

section! {
    /// How the mount learns where it points.
    #[derive(Default)]
    pub struct Alignment {
        required {}
        optional {
            /// The method.
            method: Method = "none";
            /// Which stars: the mount's proposals, or a list of names.
            stars: Stars = "auto";
            /// Further sightings after the method's own.
            refine: u64 = "0", in "0" to "100";
            /// What is made of the sightings.
            estimator: Estimator = "rotation with two stars, else full-model";
            /// How the polar axis is adjusted (equatorial).
            polar_adjust: PolarAdjust = "none";
        }
        nested {
            /// Sightings added or replaced during the night.
            later: Vec<Later> = "none";
        }
    }
}

section! {
    /// A sighting during the night.
    pub struct Later {
        required {
            /// The first such time of day at or after the begin, in the begin's offset.
            at: TimeOfDay;
            /// What is sighted.
            target: TargetName;
        }
        optional {
            /// Which earlier sighting it replaces.
            replaces: Replaced = "none";
        }
        nested {}
    }
}
