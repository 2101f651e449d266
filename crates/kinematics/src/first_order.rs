//! What small errors do, to first order.
//!
//! Each row is the change of the direction pointed at, at given dial readings, per radian of one error, holding the
//! others at zero. They follow from the [chain](crate::Chain) by differentiation; tests hold the two against each other.

use crate::chain::Branch;
use units::Angle;

/// An error of an equatorial mount.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum EquatorialTerm {
    /// Zero offset of the hour axis.
    HourZero,
    /// Zero offset of the declination axis.
    DeclinationZero,
    /// Altitude error of the hour axis's north end.
    PolarAltitude,
    /// Azimuth error of the hour axis's north end.
    PolarAzimuth,
    /// Lean of the base to the north.
    LeanNorth,
    /// Lean of the base to the east.
    LeanEast,
    /// Skew of the axes.
    AxisSkew,
    /// Cone error.
    ConeError,
    /// Flexure of the tube.
    TubeFlexure,
}

impl EquatorialTerm {
    /// All of them.
    pub const ALL: [Self; 9] = [
        Self::HourZero,
        Self::DeclinationZero,
        Self::PolarAltitude,
        Self::PolarAzimuth,
        Self::LeanNorth,
        Self::LeanEast,
        Self::AxisSkew,
        Self::ConeError,
        Self::TubeFlexure,
    ];

    /// (Δ hour angle, Δ declination) per radian of the error: true minus dial, where the dials of `branch` say this hour
    /// angle and declination. Multiply the first by cos δ to compare both on the sky.
    pub fn row(self, latitude: Angle, hour: Angle, declination: Angle, branch: Branch) -> (f64, f64) {
        let (sp, cp) = latitude.sin_cos();
        let (sh, ch) = hour.sin_cos();
        let (sd, cd) = declination.sin_cos();
        let tan = sd / cd;
        let beta = branch.sign();
        let altitude = (-tan * sh, -ch);
        let azimuth = (sp - cp * tan * ch, cp * sh);
        match self {
            Self::HourZero => (1.0, 0.0),
            Self::DeclinationZero => (0.0, beta),
            Self::PolarAltitude => altitude,
            Self::PolarAzimuth => azimuth,
            // The axis sinks in altitude by what the base leans north.
            Self::LeanNorth => (-altitude.0, -altitude.1),
            // The axis goes east by tan φ, and the zero of the hour axis turns with the base by −sec φ; together, without
            // their poles at φ = ±90°:
            Self::LeanEast => (-(cp + sp * tan * ch), sp * sh),
            Self::AxisSkew => (beta * tan, 0.0),
            Self::ConeError => (-beta / cd, 0.0),
            Self::TubeFlexure => (cp * sh / cd, -(sp * cd - cp * sd * ch)),
        }
    }
}

/// An error of an alt-azimuth mount.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum AltAzimuthTerm {
    /// Zero offset of the azimuth axis.
    AzimuthZero,
    /// Zero offset of the altitude axis.
    AltitudeZero,
    /// Lean of the base to the north.
    LeanNorth,
    /// Lean of the base to the east.
    LeanEast,
    /// Skew of the axes.
    AxisSkew,
    /// Cone error.
    ConeError,
    /// Flexure of the tube.
    TubeFlexure,
}

impl AltAzimuthTerm {
    /// All of them.
    pub const ALL: [Self; 7] = [
        Self::AzimuthZero,
        Self::AltitudeZero,
        Self::LeanNorth,
        Self::LeanEast,
        Self::AxisSkew,
        Self::ConeError,
        Self::TubeFlexure,
    ];

    /// (Δ azimuth, Δ altitude) per radian of the error: true minus dial, where the dials of `branch` say this azimuth and
    /// altitude. Multiply the first by cos h to compare both on the sky.
    pub fn row(self, azimuth: Angle, altitude: Angle, branch: Branch) -> (f64, f64) {
        let (sa, ca) = azimuth.sin_cos();
        let (sh, ch) = altitude.sin_cos();
        let tan = sh / ch;
        let beta = branch.sign();
        match self {
            Self::AzimuthZero => (1.0, 0.0),
            Self::AltitudeZero => (0.0, beta),
            Self::LeanNorth => (-tan * sa, -ca),
            Self::LeanEast => (tan * ca, -sa),
            Self::AxisSkew => (beta * tan, 0.0),
            Self::ConeError => (-beta / ch, 0.0),
            Self::TubeFlexure => (0.0, -ch),
        }
    }
}
