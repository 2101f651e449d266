//! Sync: the zeros of both dials from one thing that the tube is said to point at.

use crate::Controller;
use crate::motors::Motors;
use alignment::parameters::{FIRST_ZERO, SECOND_ZERO};
use alignment::{FitError, Method, fit};
use protocol::{Fields, Refusal, RefusalKind, Seen};
use units::{Angle, Span};

/// What a person's centring is worth, for the model's own book-keeping: a tenth of a usual field.
pub(crate) const CENTRING: Angle = Angle::from_arcmin(5.0);

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
        let sighting = self.sighting(&name, &target, now, motors)?;
        let dials = sighting.dials;
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
        self.believe(model, Some((target, dials)), now, motors);
        Ok(Fields::new().degrees("first_shift", shift[0]).degrees("second_shift", shift[1]))
    }
}
