//! From a request line to its reply line.

use crate::Controller;
use crate::motors::Motors;
use crate::sessions::Sequence;
use protocol::{Fields, Frame, RawRequest, Refusal, Request, Session};
use units::Span;

impl Controller {
    /// Answers what came in as a line on the only connection there is; see [`Controller::answer_from`].
    pub fn answer(&mut self, frame: &Frame, now: Span, motors: &mut impl Motors, out: &mut String) {
        self.answer_from(Session(0), frame, now, motors, out);
    }

    /// Answers what came in as a line on a connection: exactly one reply, appended to `out` without its line end; nothing at
    /// all while it has no power.
    pub fn answer_from(
        &mut self,
        session: Session,
        frame: &Frame,
        now: Span,
        motors: &mut impl Motors,
        out: &mut String,
    ) {
        if !self.powered {
            return;
        }
        let demanded = self.demands_check(session);
        protocol::answered(frame, demanded, out, |raw| self.answer_request(session, raw, now, motors));
    }

    fn answer_request(
        &mut self,
        session: Session,
        raw: &RawRequest,
        now: Span,
        motors: &mut impl Motors,
    ) -> Result<Fields, Refusal> {
        let request = Request::from_raw(raw)?;
        self.may_act(session, &request)?;
        self.not_stuck(&request, now)?;
        match self.sequence(raw, session)? {
            Sequence::Again(fields) => Ok(fields),
            Sequence::Absent => self.obey(session, &request, now, motors),
            Sequence::New(number) => {
                let fields = self.obey(session, &request, now, motors)?;
                self.keep_numbered(number, raw, &fields, session);
                Ok(fields)
            }
        }
    }
}
