//! What goes wrong during the night, and what must hold at its end.

use crate::plan::AxisName;
use crate::value::{section, words};
use crate::values::{Comparison, Count, TimeOfDay};
use units::{Angle, AngularRate, Share, Span, Speed, Temperature};

words! {
    /// What goes wrong.
    pub enum DisturbanceKind, "a disturbance" {
        /// Something moves axes, base or both for good.
        Knock = "knock",
        /// A touch that springs back.
        Bump = "bump",
        /// A foot against the tripod: the base moves for good.
        TripodKick = "tripod-kick",
        /// A clutch slips: the axis moves, its dial doesn't.
        ClutchSlip = "clutch-slip",
        /// The tripod sinks in.
        Settle = "settle",
        /// Wind with its gusts.
        Wind = "wind",
        /// The supply fails for a moment.
        BrownOut = "brown-out",
        /// A motor stalls.
        Stall = "stall",
        /// The mount's clock jumps.
        ClockJump = "clock-jump",
        /// The air grows colder or warmer.
        Temperature = "temperature",
        /// A cloud hides a part of the sky.
        Cloud = "cloud",
        /// Lines on the wire come late.
        WireDelay = "wire-delay",
        /// Lines on the wire are lost.
        WireLoss = "wire-loss",
        /// Bytes on the wire are changed.
        WireNoise = "wire-noise",
        /// Lines on the wire come twice.
        WireRepeat = "wire-repeat",
        /// Lines on the wire are cut short.
        WireCut = "wire-cut",
        /// The connection is closed.
        WireClose = "wire-close",
    }
}

section! {
    /// Something that goes wrong.
    pub struct Disturbance {
        required {
            /// The first such time of day at or after the begin, in the begin's offset.
            at: TimeOfDay;
            /// What goes wrong; it decides which other keys have a meaning.
            kind: DisturbanceKind;
        }
        optional {
            /// How long it lasts.
            lasts: Span = "to the end; brown-out 1 s, stall 2 s", in "1 ms" to "48 h";
            /// Which axis stalls.
            axis: AxisName = "none";
            /// How far the hour axis moves (equatorial).
            hour_axis: Angle = "0 arcmin", in "-90 deg" to "90 deg";
            /// How far the declination axis moves (equatorial).
            declination_axis: Angle = "0 arcmin", in "-90 deg" to "90 deg";
            /// How far the azimuth axis moves (alt-azimuth).
            azimuth_axis: Angle = "0 arcmin", in "-90 deg" to "90 deg";
            /// How far the altitude axis moves (alt-azimuth).
            altitude_axis: Angle = "0 arcmin", in "-90 deg" to "90 deg";
            /// How far the polar axis's elevated end rises (equatorial).
            polar_altitude: Angle = "0 arcmin", in "-20 deg" to "20 deg";
            /// How far the polar axis's elevated end goes east (equatorial).
            polar_azimuth: Angle = "0 arcmin", in "-20 deg" to "20 deg";
            /// How far the base leans further to the north.
            lean_north: Angle = "0 arcmin", in "-20 deg" to "20 deg";
            /// How far the base leans further to the east.
            lean_east: Angle = "0 arcmin", in "-20 deg" to "20 deg";
            /// How far the tripod sinks in the end.
            size: Angle = "none", in "0 arcsec" to "5 deg";
            /// Time in which 63 % of that has happened.
            time_constant: Span = "30 min", in "1 s" to "48 h";
            /// Mean speed of the wind.
            speed: Speed = "none", in "0 m/s" to "40 m/s";
            /// Standard deviation of the wind's speed, as a share of the mean.
            gusts: Share = "17 %", in "0 %" to "100 %";
            /// Azimuth from which the wind blows.
            from: Angle = "270 deg", in "0 deg" to "360 deg";
            /// How far the mount's clock jumps forward.
            by: Span = "none", in "-48 h" to "48 h";
            /// Temperature that the air reaches.
            temperature: Temperature = "none", in "-90 degC" to "60 degC";
            /// Azimuth at which the cloud begins.
            azimuth_from: Angle = "0 deg", in "0 deg" to "360 deg";
            /// Azimuth, going clockwise, at which the cloud ends.
            azimuth_to: Angle = "360 deg", in "0 deg" to "360 deg";
            /// How late a line comes.
            delay: Span = "none", in "1 ms" to "1 h";
            /// How often it happens to a line.
            chance: Share = "100 %", in "0 %" to "100 %";
        }
        nested {}
    }
}

const AXES: &[&str] = &["hour_axis", "declination_axis", "azimuth_axis", "altitude_axis"];
const BASE: &[&str] = &["polar_altitude", "polar_azimuth", "lean_north", "lean_east"];
const AXES_AND_BASE: &[&str] = &[
    "hour_axis",
    "declination_axis",
    "azimuth_axis",
    "altitude_axis",
    "polar_altitude",
    "polar_azimuth",
    "lean_north",
    "lean_east",
];

/// Which keys, beside `at` and `kind`, a disturbance has.
pub(crate) struct KeysOf {
    /// At least one of these must be there.
    pub needed: &'static [&'static str],
    /// These may be there too.
    pub allowed: &'static [&'static str],
}

impl DisturbanceKind {
    pub(crate) const fn keys(self) -> KeysOf {
        match self {
            Self::Knock => KeysOf { needed: AXES_AND_BASE, allowed: &[] },
            Self::Bump | Self::ClutchSlip => KeysOf { needed: AXES, allowed: &[] },
            Self::TripodKick => KeysOf { needed: BASE, allowed: &[] },
            Self::Settle => KeysOf { needed: &["size"], allowed: &["time_constant"] },
            Self::Wind => KeysOf { needed: &["speed"], allowed: &["gusts", "from", "lasts"] },
            Self::BrownOut => KeysOf { needed: &[], allowed: &["lasts"] },
            Self::Stall => KeysOf { needed: &["axis"], allowed: &["lasts"] },
            Self::ClockJump => KeysOf { needed: &["by"], allowed: &[] },
            Self::Temperature => KeysOf { needed: &["temperature"], allowed: &["lasts"] },
            Self::Cloud => KeysOf { needed: &["lasts"], allowed: &["azimuth_from", "azimuth_to"] },
            Self::WireDelay => KeysOf { needed: &["delay"], allowed: &["chance", "lasts"] },
            Self::WireLoss | Self::WireNoise | Self::WireRepeat | Self::WireCut => {
                KeysOf { needed: &[], allowed: &["chance", "lasts"] }
            }
            Self::WireClose => KeysOf { needed: &[], allowed: &["lasts"] },
        }
    }
}

section! {
    /// What must hold at the end of the night: a sign (`>=`, `<=`, `>`, `<`) and a bound.
    #[derive(Default)]
    pub struct Expect {
        required {}
        optional {
            /// Number of targets.
            targets: Comparison<Count> = "anything";
            /// Share of targets in the field at the first look.
            in_field: Comparison<Share> = "anything", in "0 %" to "100 %";
            /// Number of visitors who saw something.
            visitors_served: Comparison<Count> = "anything";
            /// Median miss.
            miss_median: Comparison<Angle> = "anything", in "0 arcsec" to "180 deg";
            /// Miss that 68 % of targets stay below.
            miss_p68: Comparison<Angle> = "anything", in "0 arcsec" to "180 deg";
            /// Miss that 95 % of targets stay below.
            miss_p95: Comparison<Angle> = "anything", in "0 arcsec" to "180 deg";
            /// Root of the mean square of the misses.
            miss_rms: Comparison<Angle> = "anything", in "0 arcsec" to "180 deg";
            /// Root of the mean square of the tracking error, over all dwells.
            tracking_rms: Comparison<Angle> = "anything", in "0 arcsec" to "180 deg";
            /// Largest peak-to-peak tracking error of a dwell.
            tracking_peak_to_peak: Comparison<Angle> = "anything", in "0 arcsec" to "180 deg";
            /// Median drift over the dwells.
            drift_median: Comparison<AngularRate> = "anything", in "0 arcsec/min" to "360 deg/s";
            /// Time that the alignment took.
            alignment_time: Comparison<Span> = "anything", in "0 s" to "48 h";
        }
        nested {}
    }
}
