//! Parts of the sky that the mount keeps out of.

use crate::measured::SUN_COUNTS_ABOVE;
use crate::prepare::Prepared;
use kinematics::frames;
use nalgebra::Vector3;
use units::Angle;

/// A part of the sky that the mount keeps out of: a circle on the sky.
#[derive(Clone, Debug, PartialEq)]
pub struct Zone {
    /// In words, such as `the Sun at the begin`.
    pub name: &'static str,
    /// Whether what is forbidden lies inside the ring; otherwise it lies between the ring and the horizon.
    pub inside: bool,
    /// The ring: observed azimuth and altitude, once round, the first place again at the end.
    pub ring: Vec<(Angle, Angle)>,
}

const CORNERS: i32 = 72;

impl Prepared {
    pub(super) fn zones(&self) -> Vec<Zone> {
        let settings = &self.world.settings;
        let up = Vector3::z();
        let mut zones = Vec::new();
        if settings.lowest > Angle::ZERO {
            let ring = circle(&up, Angle::QUARTER - settings.lowest);
            zones.push(Zone { name: "below the lowest altitude", inside: false, ring });
        }
        let top = if self.plan.mount.kind.is_equatorial() { Angle::ZERO } else { settings.zenith_zone };
        let top = top.max(Angle::QUARTER - settings.highest);
        if top > Angle::ZERO {
            zones.push(Zone { name: "the zenith", inside: true, ring: circle(&up, top) });
        }
        let suns = [(self.world.begin, "the Sun at the begin"), (self.end, "the Sun at the end")];
        for (at, name) in suns {
            let sun = self.sun(at);
            if settings.sun_radius > Angle::ZERO && frames::horizontal(&sun).1 > SUN_COUNTS_ABOVE {
                zones.push(Zone { name, inside: true, ring: circle(&sun, settings.sun_radius) });
            }
        }
        zones
    }
}

/// A circle on the sky round a direction.
fn circle(centre: &Vector3<f64>, radius: Angle) -> Vec<(Angle, Angle)> {
    let aside = if centre.z.abs() > 0.9 { Vector3::x() } else { Vector3::z() };
    let first = centre.cross(&aside).normalize();
    let second = centre.cross(&first);
    let (sin, cos) = radius.sin_cos();
    (0..=CORNERS)
        .map(|corner| {
            let (across, along) = (Angle::TURN * (f64::from(corner) / f64::from(CORNERS))).sin_cos();
            frames::horizontal(&(centre * cos + (first * along + second * across) * sin))
        })
        .collect()
}
