//! What a drawing of the night needs beside its figures.

pub(crate) mod expected;
mod play_loop;
mod zones;

use crate::outcome::{MountKind, SightingRow};
use crate::prepare::Prepared;
use kinematics::frames;
use sky::catalogue::Catalogue;
use units::{Angle, AngularRate, Instant, Span};

pub use expected::ExpectedMiss;
pub use zones::Zone;

/// What a drawing of the night needs beside its figures.
#[derive(Clone, Debug, PartialEq)]
pub struct Scene {
    /// Begin of the night.
    pub begin: Instant,
    /// Its end.
    pub end: Instant,
    /// Where the pole stands: the site's latitude.
    pub latitude: Angle,
    /// The true skyline: azimuth and altitude, once round in steps of [`SKYLINE_STEP`].
    pub skyline: Vec<(Angle, Angle)>,
    /// Parts of the sky that the mount keeps out of, beside what lies behind the skyline.
    pub zones: Vec<Zone>,
    /// How far off the mount's computer expects to be over its sky, by its model at the night's end; empty without one.
    pub expected: Vec<ExpectedMiss>,
    /// Stars that were sighted: name, and observed azimuth and altitude when they were.
    pub sighted: Vec<(String, (Angle, Angle))>,
    /// Periods at which the gears repeat themselves while the mount follows a star.
    pub periods: Vec<GearPeriod>,
    /// The play of each axis as a loop.
    pub loops: Vec<PlayLoop>,
}

impl Default for Scene {
    fn default() -> Self {
        Self {
            begin: Instant::J2000_TAI,
            end: Instant::J2000_TAI,
            latitude: Angle::ZERO,
            skyline: Vec::new(),
            zones: Vec::new(),
            expected: Vec::new(),
            sighted: Vec::new(),
            periods: Vec::new(),
            loops: Vec::new(),
        }
    }
}

/// Steps of azimuth in which a skyline is told.
pub const SKYLINE_STEP: Angle = Angle::from_degrees(2.0);

/// A period at which a gear repeats its error.
#[derive(Clone, Debug, PartialEq)]
pub struct GearPeriod {
    /// In words: `worm`, `reducer, order 12.5`.
    pub gear: String,
    /// The period at the sidereal rate.
    pub lasts: Span,
}

/// One axis driven out, back and out again: where its wheel was for each place of its motor.
#[derive(Clone, Debug, PartialEq)]
pub struct PlayLoop {
    /// The axis, as it begins the names of result fields.
    pub axis: &'static str,
    /// Play of the gear, mean round the wheel.
    pub play: Angle,
    /// Pairs of motor (as an angle of the axis) and axis, both from where they were at the begin.
    pub points: Vec<(Angle, Angle)>,
}

impl Prepared {
    /// The scene of this night, given what was sighted in it and what the computer expects at its end.
    pub(crate) fn scene(&self, sightings: &[SightingRow], expected: Vec<ExpectedMiss>) -> Scene {
        Scene {
            begin: self.world.begin,
            end: self.end,
            latitude: self.world.site.latitude(),
            skyline: self.skyline(),
            zones: self.zones(),
            expected,
            sighted: sightings
                .iter()
                .filter_map(|row| Some((row.star.clone(), self.observed(row)?)))
                .collect(),
            periods: self.periods(),
            loops: play_loop::loops(&self.world, self.kind),
        }
    }

    pub(crate) fn skyline(&self) -> Vec<(Angle, Angle)> {
        let steps = (Angle::TURN / SKYLINE_STEP).round() as i32;
        let azimuths = (0..=steps).map(|step| SKYLINE_STEP * f64::from(step));
        azimuths.map(|azimuth| (azimuth, self.glasses.horizon.altitude_at(azimuth))).collect()
    }

    /// Where a star stood when it was sighted; `None` for a name that the sky doesn't have.
    fn observed(&self, row: &SightingRow) -> Option<(Angle, Angle)> {
        let track = self.world.geocentre.track(&Catalogue::embedded().find(&row.star).ok()?.source);
        Some(frames::horizontal(&self.station().observe(&track.cirs(row.at), row.at).refracted))
    }

    /// An equatorial mount follows with its first axis at the sidereal rate; an alt-azimuth mount's axes have no period.
    fn periods(&self) -> Vec<GearPeriod> {
        if self.kind == MountKind::AltAzimuth {
            return Vec::new();
        }
        let axis = &self.world.mount.axes[0];
        let worm = axis.worm_period(AngularRate::SIDEREAL);
        let has_error = axis.worm_errors.iter().any(|flank| !flank.is_empty());
        let mut periods = Vec::new();
        if has_error {
            periods.push(GearPeriod { gear: "worm".to_owned(), lasts: worm });
        }
        for error in &axis.reducer_errors {
            periods.push(GearPeriod {
                gear: format!("reducer, order {}", error.order),
                lasts: Span::from_seconds(worm.seconds() / error.order),
            });
        }
        periods
    }
}
