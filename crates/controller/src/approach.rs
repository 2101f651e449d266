//! The way of one axis to its target: straight, or past it and back, so that it arrives in the sense that was asked for.

use kinematics::Branch;
use kinematics::path::Path;
use kinematics::profile::{Limits, RestToRest};
use protocol::FinalApproach;
use units::{Angle, Span};

use crate::tracking::declination_sense;

/// One move, or two.
#[derive(Clone, Debug)]
pub(crate) struct Way {
    there: RestToRest,
    back: Option<RestToRest>,
}

impl Way {
    /// Over a distance, ending in `sense` (±1; 0 if it doesn't matter).
    ///
    /// A move in that sense that is as long as the overshoot takes up the play by itself.
    pub(crate) fn new(distance: Angle, sense: f64, overshoot: Angle, limits: &Limits) -> Self {
        if sense == 0.0 || overshoot == Angle::ZERO || distance * sense >= overshoot {
            return Self { there: RestToRest::new(distance, limits), back: None };
        }
        let back = overshoot * sense;
        Self { there: RestToRest::new(distance - back, limits), back: Some(RestToRest::new(back, limits)) }
    }

    /// How far it goes in all.
    pub(crate) fn distance(&self) -> Angle {
        self.back.as_ref().map_or(Angle::ZERO, RestToRest::distance) + self.there.distance()
    }

    /// How long it takes.
    pub(crate) fn duration(&self) -> Span {
        self.back.as_ref().map_or(Span::ZERO, RestToRest::duration) + self.there.duration()
    }

    /// The same, slowed so that it takes as long; a way past the target and back stays as quick as it is.
    pub(crate) fn stretched(self, duration: Span) -> Self {
        match self.back {
            None => Self { there: self.there.stretched(duration), back: None },
            Some(_) => self,
        }
    }

    /// It as a path from place zero.
    pub(crate) fn path(&self, at: Span) -> Path {
        let there = self.there.path(at);
        match &self.back {
            Some(back) => there.plus(at + self.there.duration(), back),
            None => there,
        }
    }
}

/// The senses in which both dials grow at the end, by the solution: −1, 0 or +1.
pub(crate) fn final_senses(last: FinalApproach, branch: Branch) -> [f64; 2] {
    let (west, north) = match last {
        FinalApproach::None => return [0.0; 2],
        FinalApproach::WestNorth => (1.0, 1.0),
        FinalApproach::WestSouth => (1.0, -1.0),
        FinalApproach::EastNorth => (-1.0, 1.0),
        FinalApproach::EastSouth => (-1.0, -1.0),
    };
    [west, north * declination_sense(branch)]
}
