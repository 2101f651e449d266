//! What was done in the field before dark.

use crate::value::{section, words};
use units::{Angle, Length, Pressure, Span, Temperature};

words! {
    /// How carefully a person works where nothing is said.
    pub enum Care, "a degree of care" {
        /// Cold hands and a queue waiting.
        Hurried = "hurried",
        /// As most people do on most nights.
        Usual = "usual",
        /// With level, list and patience.
        Careful = "careful",
        /// Without any error.
        Perfect = "perfect",
    }
}

words! {
    /// By what the polar axis (or the base's north) was set.
    pub enum PolarSight, "a way to find the pole" {
        /// A compass, magnetic declination forgotten.
        Compass = "compass",
        /// A compass, magnetic declination applied.
        CorrectedCompass = "corrected-compass",
        /// The pole star as if it stood at the pole.
        PoleStar = "pole-star",
        /// The pole star with its offset from the pole.
        OffsetPoleStar = "offset-pole-star",
        /// A sighting scope in the axis.
        SightingScope = "sighting-scope",
    }
}

section! {
    /// What was done in the field before dark, against the truth.
    #[derive(Default)]
    pub struct Setup {
        required {}
        optional {
            /// What the person does where nothing is said.
            care: Care = "usual; perfect with grade perfect";
            /// How the pole was found; decides what is drawn where the polar errors aren't given.
            polar_sight: PolarSight = "as `care` draws it";
            /// How much the axis's elevated end stands too high, in either hemisphere (equatorial).
            polar_altitude_error: Angle = "drawn from `care`", in "-45 deg" to "45 deg";
            /// How much its elevated end stands too far east (equatorial).
            polar_azimuth_error: Angle = "drawn from `care`", in "-180 deg" to "180 deg";
            /// Lean of the base's vertical axis to the north; adds to the polar errors.
            lean_north: Angle = "drawn from `care`", in "-20 deg" to "20 deg";
            /// Lean of the base's vertical axis to the east; adds to the polar errors.
            lean_east: Angle = "drawn from `care`", in "-20 deg" to "20 deg";
            /// True hour axis angle minus dial (equatorial).
            home_hour_error: Angle = "drawn from `care`", in "-180 deg" to "180 deg";
            /// True declination axis angle minus dial (equatorial).
            home_declination_error: Angle = "drawn from `care`", in "-180 deg" to "180 deg";
            /// True azimuth axis angle minus dial (alt-azimuth).
            home_azimuth_error: Angle = "drawn from `care`", in "-180 deg" to "180 deg";
            /// True altitude axis angle minus dial (alt-azimuth).
            home_altitude_error: Angle = "drawn from `care`", in "-90 deg" to "90 deg";
            /// Where the finder points from the tube, across and up.
            finder_offset: [Angle; 2] = "drawn from `care`", in "-10 deg" to "10 deg";
            /// Distance of the mark on which the finder was set by day.
            finder_mark: Length = "drawn from `care`", in "5 m" to "100 km";
            /// How far the tripod sinks in, in the end.
            settling: Angle = "drawn for the grade", in "0 arcmin" to "2 deg";
        }
        nested {
            /// What was typed into the mount.
            entered: Entered = "the truth";
        }
    }
}

section! {
    /// What was typed into the mount.
    #[derive(Default)]
    pub struct Entered {
        required {}
        optional {
            /// How much the mount's clock is fast.
            clock_error: Span = "0 s", in "-48 h" to "48 h";
            /// Error of the zone typed in.
            zone_error: Span = "0 h", in "-26 h" to "26 h";
            /// Whether an hour of daylight saving was added by mistake.
            daylight_saving_wrong: bool = "false";
            /// Latitude typed in.
            latitude: Angle = "the truth", in "-90 deg" to "90 deg";
            /// Longitude typed in.
            longitude: Angle = "the truth", in "-180 deg" to "360 deg";
            /// Height typed in.
            height: Length = "the truth", in "-500 m" to "9000 m";
            /// Pressure typed in.
            pressure: Pressure = "the truth", in "0 hPa" to "1200 hPa";
            /// Temperature typed in.
            temperature: Temperature = "the truth", in "-90 degC" to "60 degC";
            /// Humidity typed in, a bare number from 0 to 1.
            humidity: f64 = "the truth", in "0" to "1";
            /// UT1 − UTC as the mount has it.
            ut1_minus_utc: Span = "the truth", in "-1 s" to "1 s";
        }
        nested {}
    }
}
