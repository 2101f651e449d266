//! Home and park.

use crate::Controller;
use crate::goal::Goal;
use crate::jobs::Work;
use crate::motors::Motors;
use protocol::{Fields, Refusal, Side};
use units::Span;

impl Controller {
    /// Goes to the dials of home, for home itself or for parking.
    pub(crate) fn go_home(
        &mut self,
        work: Work,
        now: Span,
        motors: &mut impl Motors,
    ) -> Result<Fields, Refusal> {
        self.idle()?;
        self.not_parked()?;
        let goal = Goal::Dials { name: String::new(), dials: self.settings.home };
        let (number, ends, _) = self.begin_goto(&goal, Side::Auto, work, now, motors)?;
        Ok(Fields::new().count("job", number).seconds("seconds", ends - now))
    }

    pub(crate) fn unpark(&mut self) -> Fields {
        self.parked = false;
        Fields::new().text("parked", "no")
    }
}
