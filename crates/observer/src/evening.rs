//! Going through a list of targets.

use crate::seat::{EyepieceView, Line, NightOver};
use protocol::{Aim, RefusalKind, Request, Side, read_event, read_reply};
use units::Span;

/// How long the person waits after the mount has arrived before they look: the tube has come to rest by then.
pub const SETTLING: Span = Span::from_whole_seconds(3);

/// One thing that the person wants to see.
#[derive(Clone, Debug, PartialEq)]
pub struct Intent {
    /// Where the mount is sent.
    pub aim: Aim,
    /// How long it is watched after the first look.
    pub dwell: Span,
}

/// How it ended for one intent.
#[derive(Clone, Debug, PartialEq)]
pub enum Ending {
    /// The mount arrived and the person looked.
    Looked,
    /// The mount refused, with this sentence.
    Refused(String),
    /// No position of its axes points there, with this sentence.
    Unreachable(String),
    /// The night ended first.
    NightOver,
}

/// What became of each intent, in their order.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Account {
    /// One ending for each intent.
    pub endings: Vec<Ending>,
}

/// Goes through the intents in their order, without waiting for anything but the mount.
pub fn observe(intents: &[Intent], seat: &mut (impl Line + EyepieceView)) -> Account {
    let mut account = Account::default();
    for (index, intent) in intents.iter().enumerate() {
        let ending = see(index, intent, seat).unwrap_or(Ending::NightOver);
        account.endings.push(ending);
    }
    account
}

fn see(index: usize, intent: &Intent, seat: &mut (impl Line + EyepieceView)) -> Result<Ending, NightOver> {
    if let Some(ending) = go(&intent.aim, seat)? {
        return Ok(ending);
    }
    seat.wait(SETTLING)?;
    seat.look(index);
    if intent.dwell > Span::ZERO {
        // The look has been had, whether or not the night lets the person stay.
        let _ends_with_the_night = seat.watch(index, intent.dwell);
    }
    Ok(Ending::Looked)
}

/// Sends the mount and waits until it has arrived; an ending if it won't go.
fn go(aim: &Aim, line: &mut impl Line) -> Result<Option<Ending>, NightOver> {
    let request = Request::Goto { aim: aim.clone(), side: Side::Auto }.to_line();
    let reply = line.request(&request)?;
    let read = read_reply(&reply).unwrap_or_else(|| panic!("the mount answered `{request}` with `{reply}`"));
    let job = match read.outcome {
        Ok(_) => read.get("job").map(str::to_owned),
        Err((number, _, sentence)) if number == RefusalKind::Unreachable.number() => {
            return Ok(Some(Ending::Unreachable(sentence)));
        }
        Err((_, _, sentence)) => return Ok(Some(Ending::Refused(sentence))),
    };
    loop {
        let event = line.await_event()?;
        if let Some((word, fields)) = read_event(&event)
            && word == "arrived"
            && fields.iter().any(|(key, value)| key == "job" && Some(value) == job.as_ref())
        {
            return Ok(None);
        }
    }
}
