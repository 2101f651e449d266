//! What is typed and what comes back.

use crate::seat::{Line, NightOver};
use protocol::{Aim, ReadReply, RefusalKind, Request, Side, read_event, read_reply};
use units::{Angle, Quantity as _, Span};

/// A refusal as the person reads it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Refused {
    pub(crate) number: u16,
    pub(crate) sentence: String,
}

impl Refused {
    pub(crate) fn is(&self, kind: RefusalKind) -> bool {
        self.number == kind.number()
    }
}

/// Types a line and reads the answer.
pub(crate) fn ask(line: &mut impl Line, request: &str) -> Result<Result<ReadReply, Refused>, NightOver> {
    let reply = line.request(request)?;
    let read = read_reply(&reply).unwrap_or_else(|| panic!("the mount answered `{request}` with `{reply}`"));
    Ok(match read.outcome {
        Ok(_) => Ok(read),
        Err((number, _, sentence)) => Err(Refused { number, sentence }),
    })
}

/// An angle of a reply.
pub(crate) fn angle(reply: &ReadReply, key: &str) -> Option<Angle> {
    Angle::parse(reply.get(key)?).ok()
}

/// A text as the value of a key, in quotes.
pub(crate) fn quoted(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 2);
    out.push('"');
    for c in text.chars() {
        if matches!(c, '"' | '\\') {
            out.push('\\');
        }
        out.push(c);
    }
    out.push('"');
    out
}

/// Where the mount says that it went: which way round its tube hangs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Arrived {
    pub(crate) through_pole: bool,
}

/// Sends the mount and waits until it has arrived.
pub(crate) fn go(line: &mut impl Line, aim: &Aim) -> Result<Result<Arrived, Refused>, NightOver> {
    travel(line, &Request::Goto { aim: aim.clone(), side: Side::Auto }.to_line())
}

/// Types a line that sends the mount somewhere, and waits until it has arrived.
pub(crate) fn travel(line: &mut impl Line, request: &str) -> Result<Result<Arrived, Refused>, NightOver> {
    let mut answer = ask(line, request)?;
    if matches!(&answer, Err(refused) if refused.is(RefusalKind::Busy)) {
        // It still brakes from the last touch of a key; a second later it doesn't.
        line.wait(Span::from_whole_seconds(1))?;
        answer = ask(line, request)?;
    }
    let reply = match answer {
        Ok(reply) => reply,
        Err(refused) => return Ok(Err(refused)),
    };
    let job = reply.get("job").map(str::to_owned);
    let through_pole = reply.get("solution") == Some("through-pole");
    loop {
        let event = line.await_event()?;
        let Some((word, fields)) = read_event(&event) else { continue };
        let ours = fields.iter().any(|(key, value)| key == "job" && Some(value) == job.as_ref());
        match word.as_str() {
            "arrived" if ours => return Ok(Ok(Arrived { through_pole })),
            // Somebody or something ended it before: the tube is not where it should be.
            "stopped" if ours => {
                let sentence = "the go-to was stopped on its way".to_owned();
                return Ok(Err(Refused { number: RefusalKind::Busy.number(), sentence }));
            }
            // Its memory is gone, and with it the job.
            "restarted" => {
                let sentence = "the mount lost its power on the way".to_owned();
                return Ok(Err(Refused { number: RefusalKind::Busy.number(), sentence }));
            }
            _ => {}
        }
    }
}
