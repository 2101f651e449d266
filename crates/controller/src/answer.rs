//! From a request line to its reply line.

use crate::Controller;
use crate::motors::Motors;
use crate::sessions::Sequence;
use protocol::check::{self, Checked};
use protocol::{
    Fields, Frame, MAX_LINE_BYTES, RawRequest, Refusal, RefusalKind, Reply, ReplyLine, Request, Session, Tag,
};
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
        match frame {
            Frame::Line(line) => self.answer_line(session, line, now, motors, out),
            Frame::TooLong => {
                let sentence =
                    format!("a line may have {MAX_LINE_BYTES} bytes; this one had more and was dropped");
                refuse(RefusalKind::TooLong, sentence, out);
            }
            Frame::NotText { column } => {
                let sentence = format!(
                    "the byte at column {column} is no printable ASCII character; the line was dropped"
                );
                refuse(RefusalKind::NotText, sentence, out);
            }
        }
    }

    fn answer_line(
        &mut self,
        session: Session,
        line: &str,
        now: Span,
        motors: &mut impl Motors,
        out: &mut String,
    ) {
        let start = out.len();
        match check::take(line) {
            Checked::Bad => {
                let sentence = "the check does not fit the line; send it again";
                refuse(RefusalKind::BadCheck, sentence.to_owned(), out);
            }
            Checked::Absent(body) => self.answer_body(session, body, now, motors, out),
            Checked::Good(body) => {
                self.answer_body(session, body, now, motors, out);
                let mut reply = out.split_off(start);
                check::append(&mut reply);
                out.push_str(&reply);
            }
        }
    }

    fn answer_body(
        &mut self,
        session: Session,
        body: &str,
        now: Span,
        motors: &mut impl Motors,
        out: &mut String,
    ) {
        let (tag, outcome) = match RawRequest::read(body) {
            Ok(raw) => {
                let outcome = self.answer_request(session, &raw, now, motors);
                (raw.tag, outcome)
            }
            Err((tag, refusal)) => (tag, Err(refusal)),
        };
        let reply = match outcome {
            Ok(fields) => Reply::Ok(fields),
            Err(refusal) => Reply::No(refusal),
        };
        ReplyLine { tag, reply }.push_to(out);
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

fn refuse(kind: RefusalKind, sentence: String, out: &mut String) {
    let tag: Option<Tag> = None;
    ReplyLine { tag, reply: Reply::No(Refusal::new(kind, sentence)) }.push_to(out);
}
