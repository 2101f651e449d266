//! The polar axis: where it stands by the model, and where to go so that the bolts can bring it to the pole.

use crate::Controller;
use crate::align::side_of;
use crate::goal::Goal;
use crate::jobs::Work;
use crate::motors::Motors;
use crate::sync::CENTRING;
use crate::target::Target;
use crate::tracking::branch_of_dials;
use alignment::polar::PolarError;
use alignment::{Model, usual_aim};
use kinematics::frames;
use nalgebra::Vector3;
use protocol::{Fields, Refusal, RefusalKind};
use units::{Angle, Span};

/// What locking the bolts shifts the axis by, one sigma in each direction: 2 to 10 arcmin (common practice, no source).
const LOCKING: Angle = Angle::from_arcmin(5.0);

/// After a correction of more than this two stars are to be sighted anew.
const LARGE: Angle = Angle::from_degrees(0.5);

fn refused(error: &PolarError) -> Refusal {
    let kind = match error {
        PolarError::NoPolarAxis => RefusalKind::WrongKind,
        PolarError::Unreachable(_) => RefusalKind::Unreachable,
        PolarError::BadPlace { .. } | PolarError::BadStars => RefusalKind::BadPlace,
    };
    Refusal::new(kind, error.to_string())
}

impl Controller {
    /// The model, if stars have told of it and there is a polar axis.
    fn polar_model(&self) -> Result<&Model, Refusal> {
        if !self.settings.kind.is_equatorial() {
            return Err(refused(&PolarError::NoPolarAxis));
        }
        if !self.belief.aligned() {
            let sentence = "no star has told where the axis points; align on two stars or more first";
            return Err(Refusal::new(RefusalKind::NoAlignment, sentence));
        }
        Ok(self.belief.model())
    }

    pub(crate) fn polar_axis(&self) -> Result<Fields, Refusal> {
        let axis = self.polar_model()?.polar_axis().map_err(|error| refused(&error))?;
        Ok(Fields::new()
            .arcmin("altitude", axis.altitude)
            .arcmin("azimuth", axis.azimuth)
            .arcmin("altitude_sigma", axis.altitude_sigma)
            .arcmin("azimuth_sigma", axis.azimuth_sigma)
            .arcmin("distance", axis.distance))
    }

    /// A star above the horizon: its name, and where it is observed.
    fn star_up(&self, name: &str, now: Span) -> Result<(String, Vector3<f64>), Refusal> {
        let (name, target) = self.seen(&protocol::Seen::Name(name.to_owned()))?;
        let direction = target.observed(&self.belief, now);
        if direction.z < 0.0 {
            let sentence = format!("{name} is below the level horizon");
            return Err(Refusal::new(RefusalKind::BelowHorizon, sentence));
        }
        Ok((name, direction))
    }

    pub(crate) fn polar_offset(
        &mut self,
        name: &str,
        now: Span,
        motors: &mut impl Motors,
    ) -> Result<Fields, Refusal> {
        self.idle()?;
        self.not_parked()?;
        let model = self.polar_model()?;
        let (name, star) = self.star_up(name, now)?;
        let branch = usual_aim(model.kind(), model.latitude(), star).branch;
        let dials = model.dials_for_bolts(&star, branch).map_err(|error| refused(&error))?;
        // By its model the mount points there then. Tracking at the stars' rate keeps the place good, as it would a star about a
        // perfect axis.
        let place = model.direction_for(dials);
        let away = frames::separation(&place, &star);
        let target = Target::at(&place, &self.belief, now);
        let goal = Goal::Sky { name: name.clone(), target, rate: self.settings.rate };
        let work = Work::Goto { target: name };
        let (number, ends, branch) = self.begin_goto(&goal, side_of(branch), work, now, motors)?;
        Ok(Fields::new()
            .count("job", number)
            .seconds("seconds", ends - now)
            .text("solution", side_of(branch).word())
            .arcmin("away", away))
    }

    pub(crate) fn polar_done(
        &mut self,
        name: &str,
        now: Span,
        motors: &mut impl Motors,
    ) -> Result<Fields, Refusal> {
        self.idle()?;
        self.not_parked()?;
        let model = self.polar_model()?;
        let (_, star) = self.star_up(name, now)?;
        let branch = branch_of_dials(self.counted(now, motors));
        let corrected = model.polar_axis().map_err(|error| refused(&error))?.distance;
        let priors = model.after_bolts(&star, branch, CENTRING, LOCKING).map_err(|error| refused(&error))?;
        let needed = if corrected > LARGE { 2 } else { 1 };
        let believed = Model::believed(model.kind(), model.latitude(), &priors);
        self.alignment.go_on_from(priors, needed);
        self.belief.set_taught_model(believed);
        self.belief_changed(now, motors);
        Ok(Fields::new().arcmin("corrected", corrected).count("sightings", needed as u64))
    }
}
