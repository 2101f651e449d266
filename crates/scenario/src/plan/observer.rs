//! The person at the eyepiece.

use crate::value::{section, words};
use crate::values::TargetName;
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

words! {
    /// What the person does when the mount doubts a star or asks what was entered.
    pub enum WhenAsked, "a way to answer" {
        /// Go on with the next star.
        GoOn = "go-on",
        /// Look again at the chart, the watch and the map, and at the sky after a kick.
        LookAgain = "look-again",
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
            /// How far the air moves a star about while its place is read at the wires, one sigma in each direction.
            seeing: Angle = "0.5 arcsec; perfect 0 arcsec", in "0 arcsec" to "1 arcmin";
            /// What is done when the mount doubts a star, asks what was entered, or was kicked.
            when_asked: WhenAsked = "look-again; hurried and perfect go-on";
            /// The person guides a star before the first target, so that the mount records a correction of its periodic error (equatorial).
            periodic_error: PeriodicErrorRecording = "not recorded";
            /// The person measures the play of both axes before the first target, after a recording.
            play: PlayMeasurement = "not measured";
        }
        nested {}
    }
}

section! {
    /// A correction of the hour axis's periodic error, recorded by guiding a star (equatorial).
    pub struct PeriodicErrorRecording {
        required {
            /// Over how many turns of the worm.
            record_turns: u64, in "1" to "12";
        }
        optional {
            /// The star that is guided.
            star: TargetName = "a bright one near the equator that has passed the meridian";
            /// Time from one reading of the star's place to the next.
            guide_interval: Span = "10 s", in "1 s" to "60 s";
            /// Whether what was recorded is played back from then on.
            playback: bool = "true";
        }
        nested {}
    }
}

section! {
    /// The play of both axes, measured by centring a star from both sides of each.
    pub struct PlayMeasurement {
        required {
            /// How often each axis is measured; the mean counts.
            rounds: u64, in "1" to "20";
        }
        optional {
            /// The star.
            star: TargetName = "the mount's proposal";
            /// Whether the take-up is set to what was measured.
            set_take_up: bool = "true";
        }
        nested {}
    }
}
