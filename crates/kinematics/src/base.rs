//! Where the base of a mount, and the axis that it carries, really point.

use crate::frames;
use nalgebra::Matrix3;
use units::Angle;

/// How a mount is built.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// Hour and declination axes, the tube at one end of the declination axis and a counterweight at the other: two
    /// ways to point at most of the sky.
    GermanEquatorial,
    /// Hour and declination axes, the tube between the arms of a fork.
    ForkEquatorial,
    /// Azimuth and altitude axes.
    AltAzimuth,
}

impl Kind {
    /// Its word in scenarios, on the wire and in results.
    pub const fn word(self) -> &'static str {
        match self {
            Self::GermanEquatorial => "german-equatorial",
            Self::ForkEquatorial => "fork-equatorial",
            Self::AltAzimuth => "alt-azimuth",
        }
    }
}

impl Kind {
    /// Whether the first axis is an hour axis.
    pub const fn is_equatorial(self) -> bool {
        !matches!(self, Self::AltAzimuth)
    }
}

/// How far the base stands off from its ideal.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct BaseErrors {
    /// Of the hour axis's **north** end: positive is too high. Without meaning for an alt-azimuth mount.
    pub polar_altitude: Angle,
    /// Of the hour axis's **north** end: positive is too far east. For an alt-azimuth mount the base's own
    /// azimuth, which can't be told from the zero of its azimuth dial.
    pub polar_azimuth: Angle,
    /// Of the base's vertical axis: positive leans to the north.
    pub lean_north: Angle,
    /// Of the base's vertical axis: positive leans to the east.
    pub lean_east: Angle,
}

impl BaseErrors {
    /// From what people say of the axis's **elevated** end: too high by `high`, too far east by `east`.
    ///
    /// In the south the elevated end is the southern one: when it goes up or east, the northern end goes down or west.
    pub fn from_elevated_end(
        latitude: Angle,
        high: Angle,
        east: Angle,
        lean_north: Angle,
        lean_east: Angle,
    ) -> Self {
        let sign = elevated_sign(latitude);
        Self { polar_altitude: high * sign, polar_azimuth: east * sign, lean_north, lean_east }
    }

    /// What was set and what the lean adds, together, of the axis's elevated end: too high, too far east.
    ///
    /// Exact: read from the axis itself. To first order a lean adds −north to the altitude and east · tan φ to the
    /// azimuth of the northern end.
    pub fn total_elevated_end(&self, latitude: Angle) -> (Angle, Angle) {
        let axis = base(Kind::GermanEquatorial, latitude, self).column(2).into_owned();
        let (azimuth, altitude) = frames::horizontal(&axis);
        let near = azimuth.unwrapped_near(self.polar_azimuth);
        // Near a pole of the Earth the axis can pass over the zenith; count on through it then.
        let (azimuth, altitude) = if (near - self.polar_azimuth).abs() <= Angle::QUARTER {
            (near, altitude)
        } else {
            let across = (azimuth + Angle::HALF).unwrapped_near(self.polar_azimuth);
            (across, Angle::HALF - altitude)
        };
        let sign = elevated_sign(latitude);
        ((altitude - latitude).wrapped_signed() * sign, azimuth * sign)
    }
}

/// +1 where the northern end of the hour axis is the elevated one (the equator included), else −1.
fn elevated_sign(latitude: Angle) -> f64 {
    if latitude >= Angle::ZERO { 1.0 } else { -1.0 }
}

/// The attitude of the frame in which the first axis is z: its columns are that frame's axes in (east, north, up).
///
/// Equatorial: lean · turn in azimuth · the equatorial frame of latitude + altitude error. Alt-azimuth: the level
/// base (north, west, up) in place of the latter, the altitude error being without meaning.
pub fn base(kind: Kind, latitude: Angle, errors: &BaseErrors) -> Matrix3<f64> {
    let inner = if kind.is_equatorial() {
        frames::equatorial_to_topocentric(latitude + errors.polar_altitude)
    } else {
        frames::base_to_topocentric()
    };
    let turned = frames::rz(-errors.polar_azimuth) * inner;
    frames::lean_rotation(errors.lean_north, errors.lean_east) * turned
}
