//! Sync: the zeros of both dials from one thing that the tube is said to point at.

use crate::Controller;
use crate::follower::{Course, Follower};
use crate::motors::Motors;
use crate::tracking::branch_of_dials;
use alignment::parameters::{FIRST_ZERO, SECOND_ZERO};
use alignment::{FitError, Method, Sense, Sighting, fit};
use kinematics::frames;
use protocol::{Fields, Refusal, RefusalKind, Seen};
use units::{Angle, Span};

/// What a person's centring is worth, for the model's own book-keeping: a tenth of a usual field.
const CENTRING: Angle = Angle::from_arcmin(5.0);

impl Controller {
    pub(crate) fn sync(
        &mut self,
        seen: &Seen,
        now: Span,
        motors: &mut impl Motors,
    ) -> Result<Fields, Refusal> {
        self.idle()?;
        self.not_parked()?;
        let (name, target) = self.seen(seen)?;
        let direction = target.observed(&self.belief, now);
        let (_, altitude) = frames::horizontal(&direction);
        if altitude < Angle::ZERO {
            let sentence = format!("{name} is below the level horizon: the tube can't point at it");
            return Err(Refusal::new(RefusalKind::BelowHorizon, sentence));
        }
        let dials = self.counted(now, motors);
        let sighting = Sighting {
            at: self.belief.instant(now),
            direction,
            dials,
            branch: branch_of_dials(dials),
            approach: [Sense::Unknown; 2],
            sigma: CENTRING,
            power_on: self.power_on,
            name,
        };
        let before = self.belief.model();
        let (kind, latitude, priors) = (before.kind(), before.latitude(), before.as_priors());
        let was = [before.parameters()[FIRST_ZERO], before.parameters()[SECOND_ZERO]];
        let model = fit(Method::OneStar, kind, latitude, &priors, &[sighting]).map_err(|error| {
            let (kind, sentence) = match error {
                FitError::AtThePole { name, .. } => (
                    RefusalKind::Unreachable,
                    format!("{name} is within a degree of the pole of the first axis; take something else"),
                ),
                other => (RefusalKind::BadValue, other.to_string()),
            };
            Refusal::new(kind, sentence)
        })?;
        let is = [model.parameters()[FIRST_ZERO], model.parameters()[SECOND_ZERO]];
        let shift = [0, 1].map(|axis| Angle::from_radians(is[axis] - was[axis]).wrapped_signed());
        self.belief.set_model(model);
        if let Some(Follower { course: Course::Model { branch, .. }, .. }) = &self.motion.follower {
            // From now on that thing itself is followed, by the new model: it stands where the dials are.
            let course = Course::Model { target, branch: *branch };
            let (rate, axes) = (self.motion.rate, self.motion.axes);
            if let Ok(base) = self.following(course, dials, rate, axes, now) {
                self.begin_motion(base, [None, None], now, motors);
            }
        }
        Ok(Fields::new().degrees("first_shift", shift[0]).degrees("second_shift", shift[1]))
    }
}
