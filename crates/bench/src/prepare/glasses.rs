//! Finder, eyepieces and what stands before them: everything that decides what a person sees.

use super::targets;
use observer::View;
use scenario::{Complaint, DisturbanceKind, Plan};
use sky::Horizon;
use units::{Angle, Instant};

/// What is looked through, and what hides the sky.
#[derive(Clone, Debug)]
pub(crate) struct Glasses {
    /// True field of the finder.
    pub(crate) finder_field: Angle,
    /// Where the finder points from the tube: to the right and up, as the naked eye sees it along the tube.
    pub(crate) finder_offset: [Angle; 2],
    /// How far it points lower still where the tube is level.
    pub(crate) finder_droop: Angle,
    /// True field of the first eyepiece, in which stars are sighted.
    pub(crate) first_field: Angle,
    /// How the eyepiece shows the sky.
    pub(crate) view: View,
    /// The true skyline.
    pub(crate) horizon: Horizon,
    /// Clouds that come and go.
    pub(crate) clouds: Vec<Cloud>,
}

/// A part of the sky that is hidden for a while.
#[derive(Clone, Debug)]
pub(crate) struct Cloud {
    pub(crate) begins: Instant,
    pub(crate) ends: Instant,
    /// From this azimuth, going clockwise,
    pub(crate) from: Angle,
    /// over so wide an angle.
    pub(crate) width: Angle,
}

impl Cloud {
    pub(crate) fn hides(&self, azimuth: Angle, at: Instant) -> bool {
        (self.begins..self.ends).contains(&at) && (azimuth - self.from).wrapped_positive() <= self.width
    }
}

pub(super) fn glasses(plan: &Plan, horizon: Horizon, end: Instant) -> Result<Glasses, Vec<Complaint>> {
    Ok(Glasses {
        finder_field: plan.tube.finder_field.unwrap_or(Angle::from_degrees(6.0)),
        finder_offset: plan.setup.finder_offset.unwrap_or_default(),
        finder_droop: plan.mount.geometry.finder_droop.unwrap_or(Angle::ZERO),
        first_field: targets::first_field(plan),
        view: targets::view(plan),
        horizon,
        clouds: clouds(plan, end)?,
    })
}

fn clouds(plan: &Plan, end: Instant) -> Result<Vec<Cloud>, Vec<Complaint>> {
    let mut all = Vec::new();
    for (index, file) in plan.disturb.iter().enumerate() {
        if file.kind != DisturbanceKind::Cloud {
            continue;
        }
        let begins = plan.instant_of(file.at).map_err(|error| {
            let key = format!("disturb[{index}].at");
            vec![plan.complain(&key, error.to_string(), "write a time of day of this night")]
        })?;
        let from = file.azimuth_from.unwrap_or(Angle::ZERO);
        let to = file.azimuth_to.unwrap_or(Angle::TURN);
        // From 350 to 10 degrees is a narrow cloud in the north; from 0 to 360 the whole sky.
        let width = if to - from >= Angle::TURN { Angle::TURN } else { (to - from).wrapped_positive() };
        all.push(Cloud { begins, ends: file.lasts.map_or(end, |lasts| begins + lasts), from, width });
    }
    Ok(all)
}
