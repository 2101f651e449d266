//! The mount's own settings.

use super::Approach;
use crate::value::{section, words};
use units::{Angle, AngularRate};

words! {
    /// Which axes track.
    pub enum Tracking, "a way of tracking" {
        /// The hour axis alone.
        OneAxis = "one-axis",
        /// Both, as the model says.
        BothAxesFromModel = "both-axes-from-model",
        /// None.
        Off = "off",
    }
}

words! {
    /// How fast tracking goes.
    pub enum Rate, "a tracking rate" {
        /// With the stars.
        Sidereal = "sidereal",
        /// With the mean Sun.
        Solar = "solar",
        /// With the Moon.
        Lunar = "lunar",
        /// With the stars as refraction shows them on average.
        RefractionAveraged = "refraction-averaged",
        /// At the rate of `custom_rate`.
        Custom = "custom",
    }
}

words! {
    /// Which of its two solutions a German equatorial mount takes.
    pub enum SolutionChoice, "a choice of solution" {
        /// East of the meridian direct, west of it through the pole.
        ByHourAngle = "by-hour-angle",
        /// The one that can track longest.
        LongestTrack = "longest-track",
        /// The one that is reached soonest.
        ShortestSlew = "shortest-slew",
        /// Always direct.
        Direct = "direct",
        /// Always through the pole.
        ThroughPole = "through-pole",
    }
}

section! {
    /// The mount's own settings.
    #[derive(Default)]
    pub struct Controller {
        required {}
        optional {
            /// Direction in which its go-tos end; `none` for the shortest way.
            final_approach: Approach = "none";
            /// How far a go-to overshoots for that.
            approach_overshoot: Angle = "1.5 × the play believed", in "0 arcsec" to "10 deg";
            /// Which axes track.
            tracking: Tracking = "one-axis; alt-azimuth: both";
            /// How fast tracking goes.
            tracking_rate: Rate = "sidereal";
            /// Rate of the hour axis for `tracking_rate = "custom"`.
            custom_rate: AngularRate = "none", in "-10 deg/s" to "10 deg/s";
            /// Which of its two solutions a German equatorial mount takes.
            solution_choice: SolutionChoice = "by-hour-angle";
            /// Whether its sky has refraction.
            refraction: bool = "true";
        }
        nested {
            /// Motor motion that is added when an axis reverses, to take the play up.
            take_up: TakeUp = "none";
        }
    }
}

section! {
    /// Motor motion that is added when an axis reverses.
    #[derive(Default)]
    pub struct TakeUp {
        required {}
        optional {
            /// Of the hour axis (equatorial).
            hour_axis: Angle = "0 arcsec", in "0 arcsec" to "5 deg";
            /// Of the declination axis (equatorial).
            declination_axis: Angle = "0 arcsec", in "0 arcsec" to "5 deg";
            /// Of the azimuth axis (alt-azimuth).
            azimuth_axis: Angle = "0 arcsec", in "0 arcsec" to "5 deg";
            /// Of the altitude axis (alt-azimuth).
            altitude_axis: Angle = "0 arcsec", in "0 arcsec" to "5 deg";
        }
        nested {}
    }
}
