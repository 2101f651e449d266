//! What the observer hands over when a star stands centred, as the mount's computer saw it.

use kinematics::{AxisAngles, Branch};
use nalgebra::Vector3;
use units::{Angle, Instant};

/// In which sense an axis last turned before the sighting was taken: with play in the gears the dial means another
/// tube angle after an approach from the other side.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sense {
    /// The dial grew.
    Increasing,
    /// The dial fell.
    Decreasing,
    /// Nobody knows.
    #[default]
    Unknown,
}

/// One sighting: at this instant, with these dials, this star stood in the middle.
///
/// Everything in it is belief. The direction is where the machine *computes* the star to be, by its own clock and
/// site; the dials are its own counts.
#[derive(Clone, Debug, PartialEq)]
pub struct Sighting {
    /// When, by the machine's clock.
    pub at: Instant,
    /// Where the machine believes the star to stand: a unit vector (east, north, up), refraction as the machine sets it.
    pub direction: Vector3<f64>,
    /// The dials: hour and declination, or azimuth and altitude.
    pub dials: AxisAngles,
    /// By which of the two solutions the star was reached.
    pub branch: Branch,
    /// In which sense each axis last turned (first axis, second axis).
    pub approach: [Sense; 2],
    /// How well the star was centred: one standard deviation along each of two directions on the sky.
    pub sigma: Angle,
    /// Counts the times that the machine was switched on: dials of two such spells have no common zero.
    pub power_on: u32,
    /// The star's name, for messages.
    pub name: String,
}

/// Puts the newest sighting in the place of the one that stands nearest to it on the sky.
///
/// With nothing there yet it is added. Ties go to the older of the two. Gives the sighting that had to go.
pub fn replace_nearest(sightings: &mut Vec<Sighting>, newest: Sighting) -> Option<Sighting> {
    let nearest = (0..sightings.len()).min_by(|&i, &j| {
        let distance = |k: usize| (sightings[k].direction - newest.direction).norm();
        distance(i).total_cmp(&distance(j)).then(sightings[i].at.cmp(&sightings[j].at))
    });
    replace(sightings, nearest, newest)
}

/// Puts the newest sighting in the place of the oldest. With nothing there yet it is added. Gives the one that had to go.
pub fn replace_oldest(sightings: &mut Vec<Sighting>, newest: Sighting) -> Option<Sighting> {
    let oldest = (0..sightings.len()).min_by_key(|&k| sightings[k].at);
    replace(sightings, oldest, newest)
}

fn replace(sightings: &mut Vec<Sighting>, place: Option<usize>, newest: Sighting) -> Option<Sighting> {
    match place {
        Some(k) => Some(std::mem::replace(&mut sightings[k], newest)),
        None => {
            sightings.push(newest);
            None
        }
    }
}
