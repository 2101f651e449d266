//! From a request line to its reply line, whoever obeys it.

use crate::check::{self, Checked};
use crate::framing::{Frame, MAX_LINE_BYTES};
use crate::grammar::RawRequest;
use crate::refusal::{Refusal, RefusalKind};
use crate::reply::{Fields, Reply, ReplyLine};

/// Reads a line, lets it be obeyed, and appends its one reply to `out` without the line end: with the tag repeated, and with
/// a check if the line had one. Where a check is `demanded`, a line without is refused.
pub fn answered(
    frame: &Frame,
    demanded: bool,
    out: &mut String,
    obey: impl FnOnce(&RawRequest) -> Result<Fields, Refusal>,
) {
    let start = out.len();
    let checked = match frame {
        Frame::Line(line) => answer_line(line, demanded, out, obey),
        Frame::TooLong => {
            let sentence =
                format!("a line may have {MAX_LINE_BYTES} bytes; this one had more and was dropped");
            refuse(RefusalKind::TooLong, &sentence, out);
            demanded
        }
        Frame::NotText { column, .. } => {
            let sentence =
                format!("the byte at column {column} is no printable ASCII character; the line was dropped");
            refuse(RefusalKind::NotText, &sentence, out);
            demanded
        }
    };
    if checked {
        let mut reply = out.split_off(start);
        check::append(&mut reply);
        out.push_str(&reply);
    }
}

/// Answers a line of text; whether its reply is to have a check.
fn answer_line(
    line: &str,
    demanded: bool,
    out: &mut String,
    obey: impl FnOnce(&RawRequest) -> Result<Fields, Refusal>,
) -> bool {
    match check::take(line) {
        Checked::Bad => {
            refuse(RefusalKind::BadCheck, "the check does not fit the line; send it again", out);
            demanded
        }
        Checked::Absent(_) if demanded => {
            let sentence = "this connection demands a check at the end of every line; this one has none";
            refuse(RefusalKind::BadCheck, sentence, out);
            true
        }
        Checked::Absent(body) => {
            answer_body(body, out, obey);
            false
        }
        Checked::Good(body) => {
            answer_body(body, out, obey);
            true
        }
    }
}

/// Appends a refusal of a line that was not read, so that it belongs to no tag.
fn refuse(kind: RefusalKind, sentence: &str, out: &mut String) {
    ReplyLine { tag: None, reply: Reply::No(Refusal::new(kind, sentence)) }.push_to(out);
}

fn answer_body(body: &str, out: &mut String, obey: impl FnOnce(&RawRequest) -> Result<Fields, Refusal>) {
    let (tag, outcome) = match RawRequest::read(body) {
        Ok(raw) => {
            let outcome = obey(&raw);
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
