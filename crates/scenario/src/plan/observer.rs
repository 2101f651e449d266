//! The person at the eyepiece.

use crate::value::{section, words};
use units::{Angle, Share, Span};

words! {
    /// The direction in which the tube last moves when something is centred; the second word is the second axis's.
    pub enum Approach, "a final approach" {
        /// Whichever comes.
        None = "none",
        /// To the west, then to the north (equatorial).
        WestNorth = "west-north",
        /// To the west, then to the south (equatorial).
        WestSouth = "west-south",
        /// To the east, then to the north (equatorial).
        EastNorth = "east-north",
        /// To the east, then to the south (equatorial).
        EastSouth = "east-south",
        /// To greater azimuth, then up (alt-azimuth).
        RightUp = "right-up",
        /// To greater azimuth, then down (alt-azimuth).
        RightDown = "right-down",
        /// To lesser azimuth, then up (alt-azimuth).
        LeftUp = "left-up",
        /// To lesser azimuth, then down (alt-azimuth).
        LeftDown = "left-down",
    }
}

impl Approach {
    /// Whether it makes sense on an equatorial mount (`true`), on an alt-azimuth mount (`false`), or on both (`None`).
    pub const fn equatorial(self) -> Option<bool> {
        match self {
            Self::None => None,
            Self::WestNorth | Self::WestSouth | Self::EastNorth | Self::EastSouth => Some(true),
            Self::RightUp | Self::RightDown | Self::LeftUp | Self::LeftDown => Some(false),
        }
    }
}

words! {
    /// What the person does when a target isn't in the field.
    pub enum Recovery, "a way to recover" {
        /// Go on to the next target.
        GoOn = "go-on",
        /// Search round the place in a spiral.
        Search = "search",
        /// Sight a bright star near by.
        SightNearby = "sight-nearby",
        /// Replace the nearest sighting by one here.
        ReplaceSighting = "replace-sighting",
        /// Do the whole alignment again.
        StartOver = "start-over",
    }
}

section! {
    /// The person at the eyepiece.
    #[derive(Default)]
    pub struct Observer {
        required {}
        optional {
            /// Error of centring in the finder, one sigma in each direction.
            finder_centring: Angle = "drawn from `care`", in "0 arcsec" to "10 deg";
            /// Error of centring in the eyepiece, one sigma in each direction, as a share of the true field.
            eyepiece_centring: Share = "drawn from `care`", in "0 %" to "50 %";
            /// Direction in which the tube last moves on the sky when a hand centres; `none` to ignore it.
            final_approach: Approach = "none";
            /// How often the hand remembers that.
            approach_kept: Share = "75 %; careful 97 %", in "0 %" to "100 %";
            /// Chance of centring a neighbour instead of the star.
            wrong_star: Share = "0 %", in "0 %" to "100 %";
            /// Chance that a mirrored view is taken for an upright one.
            view_mistaken: Share = "0 %", in "0 %" to "100 %";
            /// Time from seeing to pressing or letting go of a key.
            reaction: Span = "0.3 s", in "0 s" to "10 s";
            /// Shortest press of a key.
            shortest_press: Span = "0.25 s", in "10 ms" to "5 s";
            /// What is done when a target isn't in the field.
            when_missed: Recovery = "go-on";
        }
        nested {}
    }
}
