//! Why no model could be made, in words that say what to do about it.

use units::Angle;

/// Why sightings gave no model.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum FitError {
    /// The method needs more stars.
    #[error("this method needs {needed} sightings and has {given}: sight another star")]
    TooFew {
        /// How many it needs.
        needed: usize,
        /// How many it was given.
        given: usize,
    },
    /// A number is not a number, or a direction not a direction.
    #[error("sighting {} ({name}): {what} is not a usable number; take this sighting again", index + 1)]
    NotFinite {
        /// Which sighting, from nought.
        index: usize,
        /// The star's name.
        name: String,
        /// Which of its parts.
        what: &'static str,
    },
    /// Latitude or priors can't be used.
    #[error("{what}: enter it again")]
    BadSetting {
        /// What is wrong.
        what: &'static str,
    },
    /// The star stands below the horizon, as the machine believes.
    #[error(
        "sighting {} ({name}): the star should stand {:.1} deg below the horizon; check the star, the clock and the site",
        index + 1, -altitude.degrees()
    )]
    BelowHorizon {
        /// Which sighting, from nought.
        index: usize,
        /// The star's name.
        name: String,
        /// Where it is believed to stand.
        altitude: Angle,
    },
    /// Dials from before and after a power-off have no common zero.
    #[error(
        "sighting {} ({name}) is from before a power-off: its dials mean nothing now; sight it again or leave it out",
        index + 1
    )]
    FromBeforePowerOff {
        /// Which sighting, from nought.
        index: usize,
        /// The star's name.
        name: String,
    },
    /// One star can't do for two.
    #[error("both sightings are of {name}: choose a second star 15 to 165 deg away")]
    SameStar {
        /// The star's name.
        name: String,
    },
    /// All stars stand in one place, or opposite to each other: they don't fix a rotation.
    #[error(
        "{first} and {second} stand {:.1} deg apart: choose stars between 15 and 165 deg apart", separation.degrees()
    )]
    BadSeparation {
        /// One star's name.
        first: String,
        /// The other's.
        second: String,
        /// How far apart they stand.
        separation: Angle,
    },
    /// The two stars don't stand as far apart as they should.
    #[error(
        "{first} and {second} should stand {:.2} deg apart but the dials say {:.2} deg: one of them is another star, or \
         an axis slipped; sight both again",
        by_belief.degrees(), by_dials.degrees()
    )]
    SeparationDisagrees {
        /// One star's name.
        first: String,
        /// The other's.
        second: String,
        /// By the dials.
        by_dials: Angle,
        /// By belief.
        by_belief: Angle,
        /// The difference, in standard deviations of what centring and the mount's own errors allow.
        in_sigmas: f64,
    },
    /// One sighting contradicts all the others, which agree.
    #[error(
        "sighting {} ({name}) stands {:.1} arcmin from where the others put it, and they agree without it: is it another \
         star? sight it again or leave it out",
        index + 1, distance.arcmin()
    )]
    Culprit {
        /// Which sighting, from nought.
        index: usize,
        /// The star's name.
        name: String,
        /// How far off it is.
        distance: Angle,
    },
    /// The sightings contradict each other, and no single one is to blame.
    #[error(
        "{disagreeing} of {given} sightings contradict each other and no single one is to blame: begin again with stars \
         that you are sure of"
    )]
    Contradictory {
        /// How many don't fit with the rest.
        disagreeing: usize,
        /// How many there are.
        given: usize,
    },
    /// A star at the first axis's own pole fixes no zero of that axis.
    #[error("sighting {} ({name}) is too near the pole of the mount's first axis: choose a star elsewhere", index + 1)]
    AtThePole {
        /// Which sighting, from nought.
        index: usize,
        /// The star's name.
        name: String,
    },
    /// The iteration found no rest.
    #[error("the sightings gave no stable model: begin again with stars that you are sure of")]
    NotConverged,
}
