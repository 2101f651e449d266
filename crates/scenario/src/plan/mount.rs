//! The mount as matter: kind, grade, gears, geometry. What is left out comes from the grade.

use crate::value::{section, words};
use units::{
    Angle, AngularAcceleration, AngularJerk, AngularRate, Frequency, Length, PartsPerMillion, Share, Span,
    Stiffness, Torque,
};

words! {
    /// How the two axes stand.
    pub enum Kind, "a kind of mount" {
        /// Hour axis to the pole, the tube on one side of it, a counterweight on the other.
        GermanEquatorial = "german-equatorial",
        /// Hour axis to the pole, the tube between or on the arms of a fork.
        ForkEquatorial = "fork-equatorial",
        /// A vertical axis and a level one.
        AltAzimuth = "alt-azimuth",
    }
}

words! {
    /// How good the mount is; what the file says overrides it.
    pub enum Grade, "a grade" {
        /// A well-used budget mount.
        Worn = "worn",
        /// A mount of the middle of the range.
        MidRange = "mid-range",
        /// A good mount that somebody took care of.
        Tuned = "tuned",
        /// No error at all: for understanding, and for tests.
        Perfect = "perfect",
    }
}

words! {
    /// What tracking does at the limit past the meridian.
    pub enum MeridianPolicy, "a policy at the meridian" {
        /// Stop.
        Stop = "stop",
        /// Say so and go on to the hard limit.
        Warn = "warn",
        /// Go to the other side of the pier.
        Flip = "flip",
    }
}

words! {
    /// How the two axes of one slew are timed.
    pub enum AxisTiming, "a timing of the axes" {
        /// Each takes its own shortest time.
        Independent = "independent",
        /// Both end together.
        Together = "together",
    }
}

words! {
    /// Whether the drive plays back a recorded correction of its periodic error.
    pub enum Correction, "a state of the correction" {
        /// No correction.
        Off = "off",
        /// A recorded table is played back.
        On = "on",
    }
}

words! {
    /// An axis by its name.
    pub enum AxisName, "an axis" {
        /// The polar axis of an equatorial mount.
        Hour = "hour-axis",
        /// The axis across it.
        Declination = "declination-axis",
        /// The vertical axis of an alt-azimuth mount.
        Azimuth = "azimuth-axis",
        /// The level axis across it.
        Altitude = "altitude-axis",
    }
}

/// The two tables of axes that a kind of mount has, by their keys.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Axes {
    /// Key of the axis that is fixed to the base.
    pub first: &'static str,
    /// Key of the axis that the first one carries.
    pub second: &'static str,
}

impl Kind {
    /// Whether it has a polar axis.
    pub const fn is_equatorial(self) -> bool {
        !matches!(self, Self::AltAzimuth)
    }

    /// The keys of its axes.
    pub const fn axes(self) -> Axes {
        if self.is_equatorial() {
            Axes { first: "hour_axis", second: "declination_axis" }
        } else {
            Axes { first: "azimuth_axis", second: "altitude_axis" }
        }
    }
}

section! {
    /// The mount as matter.
    pub struct Mount {
        required {
            /// How its axes stand.
            kind: Kind;
        }
        optional {
            /// How good it is.
            grade: Grade = "mid-range";
            /// How far past the meridian the hour axis may go (German equatorial).
            over_run: Angle = "10 deg", in "0 deg" to "90 deg";
            /// What tracking does there (German equatorial).
            meridian: MeridianPolicy = "stop";
            /// How near the Sun the tube may come while the Sun is above the horizon.
            sun_exclusion: Angle = "20 deg", in "0 deg" to "90 deg";
            /// Lowest altitude of the tube; home, which must not be lower, is at 0 deg (alt-azimuth), at the latitude entered (German equatorial), at 90 deg less it (fork).
            altitude_lowest: Angle = "-5 deg", in "-30 deg" to "89 deg";
            /// Highest altitude of the tube; home must not be higher.
            altitude_highest: Angle = "90 deg", in "1 deg" to "90 deg";
            /// How far the azimuth axis may turn to either side before the cable is wound up (alt-azimuth).
            cable_wrap: Angle = "270 deg", in "180 deg" to "720 deg";
            /// Radius round the zenith into which the mount doesn't track (alt-azimuth).
            zenith_zone: Angle = "2 deg", in "0 deg" to "30 deg";
            /// How the two axes of one slew are timed.
            axis_timing: AxisTiming = "independent";
            /// How long the battery lasts until its voltage resets the mount.
            battery_life: Span = "longer than the night", in "1 min" to "1000 h";
            /// The hour axis (equatorial mounts).
            hour_axis: Axis = "the grade's";
            /// The declination axis (equatorial mounts).
            declination_axis: Axis = "the grade's";
            /// The azimuth axis (alt-azimuth mounts).
            azimuth_axis: Axis = "the grade's";
            /// The altitude axis (alt-azimuth mounts).
            altitude_axis: Axis = "the grade's";
        }
        nested {
            /// Errors of the mount's geometry.
            geometry: Geometry = "drawn for the grade";
            /// The mount's clock and oscillator.
            clock: Clock = "drawn for the grade";
            /// Sizes that decide what can touch what.
            structure: Structure = "a common build";
            /// The altitude and azimuth bolts under the polar axis (equatorial).
            bolts: Bolts = "as each key says";
        }
    }
}

section! {
    /// One axis: its motor, gears, play and load.
    #[derive(Default)]
    pub struct Axis {
        required {}
        optional {
            /// Teeth of the worm wheel.
            teeth: u64 = "the grade's", in "1" to "10000";
            /// Radius of the wheel at which its teeth mesh.
            pitch_radius: Length = "the grade's", in "1 mm" to "2 m";
            /// Turns of the motor for one turn of the worm.
            reducer_ratio: f64 = "the grade's", in "0.01" to "100000";
            /// Errors of the stages between motor and worm.
            reducer_error: Vec<ReducerTerm> = "the grade's orders, phases drawn";
            /// Error of the worm by harmonics of its turn.
            periodic_error: Vec<PeriodicTerm> = "the grade's shape, phases drawn";
            /// Error of the worm's other flank, where it differs.
            periodic_error_other_flank: Vec<PeriodicTerm> = "as periodic_error";
            /// Error of the wheel once a turn, as an angle.
            wheel_eccentricity: Angle = "the grade's", in "0 arcsec" to "1 deg";
            /// Where in the turn that error is zero and rising.
            wheel_phase: Angle = "drawn", in "-360 deg" to "360 deg";
            /// Irregularity from tooth to tooth, one sigma.
            tooth_noise: Angle = "the grade's", in "0 arcsec" to "1 deg";
            /// Play between worm and wheel, as a full angle at the axis.
            backlash: Angle = "the grade's", in "0 arcsec" to "5 deg";
            /// How much the play varies round the wheel, as a share of itself.
            backlash_variation: Share = "the grade's", in "0 %" to "100 %";
            /// Where round the wheel the play is greatest.
            backlash_phase: Angle = "drawn", in "-360 deg" to "360 deg";
            /// Net mass moment about the axis.
            imbalance: Torque = "the grade's", in "0 N m" to "1000 N m";
            /// Dial at which the centre of mass is highest.
            balance_angle: Angle = "as the tube is mounted", in "-360 deg" to "360 deg";
            /// Breakaway friction of bearing and clutch.
            friction: Torque = "the grade's", in "0 N m" to "1000 N m";
            /// Torsional stiffness between gear and tube.
            stiffness: Stiffness = "the grade's", in "1 N m/rad" to "1000000000 N m/rad";
            /// Natural frequency of the axis with its load.
            natural_frequency: Frequency = "the grade's", in "0.1 Hz" to "1000 Hz";
            /// Damping as a share of the critical one, a bare number.
            damping: f64 = "the grade's", in "0.001" to "1";
            /// Greatest rate of a slew.
            slew_rate: AngularRate = "the grade's", in "0.01 deg/s" to "90 deg/s";
            /// Acceleration of a slew.
            acceleration: AngularAcceleration = "the grade's", in "0.01 deg/s2" to "1000 deg/s2";
            /// Jerk of a slew.
            jerk: AngularJerk = "the grade's", in "0.01 deg/s3" to "100000 deg/s3";
            /// Full steps of the motor in one of its turns.
            full_steps: u64 = "the grade's", in "4" to "10000";
            /// Microsteps of a full step.
            microsteps: u64 = "the grade's", in "1" to "4096";
            /// Greatest error of a microstep, as a share of a full step.
            microstep_error: Share = "the grade's", in "0 %" to "50 %";
            /// Torque at the axis beyond which the motor stalls at rest.
            stall_torque: Torque = "never", in "0.001 N m" to "100000 N m";
            /// Whether the worm has a mark that survives power-off.
            worm_index: bool = "the grade's";
            /// Whether a recorded correction of the periodic error is played back.
            error_correction: Correction = "the grade's";
            /// Turns of the worm over which that correction was recorded.
            error_correction_turns: u64 = "the grade's", in "1" to "1000";
        }
        nested {}
    }
}

section! {
    /// One harmonic of a worm.
    pub struct PeriodicTerm {
        required {
            /// Turns of the error in one turn of the worm.
            harmonic: f64, in "0.01" to "1000";
            /// Amplitude, as an angle of the axis.
            amplitude: Angle, in "0 arcsec" to "1 deg";
        }
        optional {
            /// Its phase where the worm's turn begins.
            phase: Angle = "drawn", in "-360 deg" to "360 deg";
        }
        nested {}
    }
}

section! {
    /// One error of a stage between motor and worm.
    pub struct ReducerTerm {
        required {
            /// Turns of the error in one turn of the worm, usually no whole number.
            order: f64, in "0.01" to "1000";
            /// Amplitude, as an angle of the axis.
            amplitude: Angle, in "0 arcsec" to "1 deg";
        }
        optional {
            /// Its phase where the worm's turn begins.
            phase: Angle = "drawn", in "-360 deg" to "360 deg";
        }
        nested {}
    }
}

section! {
    /// Errors of the mount's geometry.
    #[derive(Default)]
    pub struct Geometry {
        required {}
        optional {
            /// Angle by which the optical axis isn't square to the second axis.
            cone_error: Angle = "drawn for the grade", in "-10 deg" to "10 deg";
            /// Angle by which the two axes aren't square to each other.
            axis_skew: Angle = "drawn for the grade", in "-10 deg" to "10 deg";
            /// Droop of the level tube.
            tube_flexure: Angle = "drawn for the grade", in "-5 deg" to "5 deg";
            /// Change of the cone as the second axis tilts from level to upright.
            cone_droop: Angle = "0 arcmin", in "-5 deg" to "5 deg";
            /// Droop of the level finder against the tube.
            finder_droop: Angle = "0 arcmin", in "-5 deg" to "5 deg";
        }
        nested {}
    }
}

section! {
    /// The mount's clock and oscillator.
    #[derive(Default)]
    pub struct Clock {
        required {}
        optional {
            /// How fast it runs; clock and tracking share it.
            drift: PartsPerMillion = "drawn for the grade", in "-10000 ppm" to "10000 ppm";
        }
        nested {}
    }
}

section! {
    /// The altitude and azimuth bolts under the polar axis.
    #[derive(Default)]
    pub struct Bolts {
        required {}
        optional {
            /// How far one turn of a bolt moves the axis (equatorial).
            pitch: Angle = "1 deg", in "1 arcmin" to "30 deg";
            /// The least by which a hand turns a bolt, as an angle of the axis (equatorial).
            step: Angle = "20 arcsec; perfect 0 arcsec", in "0 arcsec" to "1 deg";
            /// How much of each bolt's turn the other direction gets too (equatorial).
            cross_talk: Share = "3 %; perfect 0 %", in "0 %" to "50 %";
            /// What locking the bolts shifts the axis by, one sigma in each direction (equatorial).
            locking_shift: Angle = "by `care`: 5, 3, 2 or 0 arcmin", in "0 arcsec" to "2 deg";
        }
        nested {}
    }
}

section! {
    /// Sizes that decide what can touch what.
    #[derive(Default)]
    pub struct Structure {
        required {}
        optional {
            /// Length of the tube with its dew shield.
            tube_length: Length = "1.2 × focal length, at most 1.5 m", in "50 mm" to "20 m";
            /// Outer diameter of the tube.
            tube_diameter: Length = "1.2 × aperture", in "20 mm" to "12 m";
            /// From the crossing of the axes to the tube's middle.
            tube_offset: Length = "150 mm", in "0 mm" to "10 m";
            /// From the crossing of the axes to the end of the counterweight shaft (German equatorial).
            shaft_length: Length = "400 mm", in "0 mm" to "10 m";
            /// Diameter of the counterweight (German equatorial).
            counterweight_diameter: Length = "140 mm", in "0 mm" to "5 m";
            /// From the crossing of the axes down to where the legs spread.
            pier_height: Length = "400 mm", in "0 mm" to "10 m";
            /// Diameter of the pier.
            pier_diameter: Length = "120 mm", in "0 mm" to "5 m";
            /// Radius of the circle on which the feet of the legs stand.
            leg_spread: Length = "600 mm", in "0 mm" to "10 m";
            /// Least distance that is kept between moving and standing parts.
            clearance: Length = "50 mm", in "0 mm" to "1 m";
        }
        nested {}
    }
}
