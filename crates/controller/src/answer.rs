//! From a request line to its reply line.

use crate::Controller;
use crate::motors::Motors;
use protocol::check::{self, Checked};
use protocol::{Frame, MAX_LINE_BYTES, RawRequest, Refusal, RefusalKind, Reply, ReplyLine, Request, Tag};
use units::Span;

impl Controller {
    /// Answers what came in as a line: exactly one reply, appended to `out` without its line end; nothing at all while
    /// it has no power.
    pub fn answer(&mut self, frame: &Frame, now: Span, motors: &mut impl Motors, out: &mut String) {
        if !self.powered {
            return;
        }
        match frame {
            Frame::Line(line) => self.answer_line(line, now, motors, out),
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

    fn answer_line(&mut self, line: &str, now: Span, motors: &mut impl Motors, out: &mut String) {
        let start = out.len();
        match check::take(line) {
            Checked::Bad => {
                let sentence = "the check does not fit the line; send it again";
                refuse(RefusalKind::BadCheck, sentence.to_owned(), out);
            }
            Checked::Absent(body) => self.answer_body(body, now, motors, out),
            Checked::Good(body) => {
                self.answer_body(body, now, motors, out);
                let mut reply = out.split_off(start);
                check::append(&mut reply);
                out.push_str(&reply);
            }
        }
    }

    fn answer_body(&mut self, body: &str, now: Span, motors: &mut impl Motors, out: &mut String) {
        let (tag, request) = match RawRequest::read(body) {
            Ok(raw) => {
                let request = Request::from_raw(&raw);
                (raw.tag, request)
            }
            Err((tag, refusal)) => (tag, Err(refusal)),
        };
        let reply = match request.and_then(|request| self.obey(&request, now, motors)) {
            Ok(fields) => Reply::Ok(fields),
            Err(refusal) => Reply::No(refusal),
        };
        ReplyLine { tag, reply }.push_to(out);
    }
}

fn refuse(kind: RefusalKind, sentence: String, out: &mut String) {
    let tag: Option<Tag> = None;
    ReplyLine { tag, reply: Reply::No(Refusal::new(kind, sentence)) }.push_to(out);
}
