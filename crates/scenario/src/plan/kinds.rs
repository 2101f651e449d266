//! Which keys serve which kind of mount.

use super::Kind;

const EQUATORIAL: &[Kind] = &[Kind::GermanEquatorial, Kind::ForkEquatorial];
const GERMAN: &[Kind] = &[Kind::GermanEquatorial];
const ALT_AZIMUTH: &[Kind] = &[Kind::AltAzimuth];

/// The kinds of mount that a key serves; `None` if all.
pub(super) fn kinds_of(path: &str) -> Option<&'static [Kind]> {
    let whole = match path {
        "mount.over_run"
        | "mount.meridian"
        | "mount.structure.shaft_length"
        | "mount.structure.counterweight_diameter"
        | "controller.solution_choice" => Some(GERMAN),
        "mount.bolts"
        | "mount.bolts.pitch"
        | "mount.bolts.step"
        | "mount.bolts.cross_talk"
        | "mount.bolts.locking_shift" => Some(EQUATORIAL),
        "mount.cable_wrap" | "mount.zenith_zone" => Some(ALT_AZIMUTH),
        _ => None,
    };
    let part = || {
        path.split('.').find_map(|part| match part {
            "hour_axis"
            | "declination_axis"
            | "polar_altitude_error"
            | "polar_azimuth_error"
            | "polar_altitude"
            | "polar_azimuth"
            | "polar_sight"
            | "home_hour_error"
            | "home_declination_error" => Some(EQUATORIAL),
            "azimuth_axis" | "altitude_axis" | "home_azimuth_error" | "home_altitude_error" => {
                Some(ALT_AZIMUTH)
            }
            _ => None,
        })
    };
    whole.or_else(part)
}

/// The key that means the same on the other kind of mount.
pub(super) fn counterpart(path: &str, kind: Kind) -> Option<String> {
    let pairs = [
        ("hour_axis", "azimuth_axis"),
        ("declination_axis", "altitude_axis"),
        ("home_hour_error", "home_azimuth_error"),
        ("home_declination_error", "home_altitude_error"),
    ];
    pairs.iter().find_map(|(equatorial, horizontal)| {
        let (from, to) =
            if kind.is_equatorial() { (horizontal, equatorial) } else { (equatorial, horizontal) };
        path.split('.').any(|part| part == *from).then(|| path.replace(from, to))
    })
}

/// The part of a path that decides which kinds it serves.
pub(super) fn deciding_part(path: &str) -> &str {
    path.split('.').find(|part| kinds_of(part).is_some()).unwrap_or(path.rsplit('.').next().unwrap_or(path))
}
