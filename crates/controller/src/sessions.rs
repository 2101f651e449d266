//! What the computer keeps of each connection: which events it wants, who holds the controls, the last numbered motion line.

use crate::Controller;
use protocol::{
    ControlsAction, EventKind, EventsEntry, Fields, RawRequest, Refusal, RefusalKind, Request, Session,
};
use std::collections::{BTreeMap, BTreeSet};

/// One connection.
#[derive(Clone, Debug, Default)]
struct Kept {
    muted: BTreeSet<EventKind>,
    demands_check: bool,
    numbered: Option<Numbered>,
}

/// A motion line with a sequence number that was obeyed, and what was answered.
#[derive(Clone, Debug)]
struct Numbered {
    number: u64,
    line: String,
    answer: Fields,
}

/// All connections that ever asked for anything of their own, and who holds the controls.
#[derive(Clone, Debug, Default)]
pub(crate) struct Sessions {
    kept: BTreeMap<Session, Kept>,
    holder: Option<Session>,
}

/// What a sequence number says about a line.
pub(crate) enum Sequence {
    /// It has none.
    Absent,
    /// It is new.
    New(u64),
    /// The line was obeyed before; this was the answer.
    Again(Fields),
}

impl Controller {
    /// Whether a connection wants to hear of events of a kind. All do until they say otherwise.
    pub fn wants(&self, session: Session, kind: EventKind) -> bool {
        self.sessions.kept.get(&session).is_none_or(|kept| !kept.muted.contains(&kind))
    }

    /// Whether a connection demands a check at the end of every line.
    pub fn demands_check(&self, session: Session) -> bool {
        self.sessions.kept.get(&session).is_some_and(|kept| kept.demands_check)
    }

    pub(crate) fn checks(&mut self, demand: Option<bool>, session: Session) -> Fields {
        if let Some(demand) = demand {
            self.sessions.kept.entry(session).or_default().demands_check = demand;
        }
        Fields::new().text("demanded", if self.demands_check(session) { "yes" } else { "no" })
    }

    /// A connection has ended: it lets go of the controls, and nothing of it is kept. A held nudge ends by its dead-man time.
    pub fn disconnected(&mut self, session: Session) {
        self.sessions.kept.remove(&session);
        self.sessions.holder.take_if(|holder| *holder == session);
    }

    /// Refuses what changes anything while another connection holds the controls.
    pub(crate) fn may_act(&self, session: Session, request: &Request) -> Result<(), Refusal> {
        match self.sessions.holder {
            Some(holder) if holder != session && request.acts() => {
                let sentence =
                    "another connection holds the controls; only stop and questions are obeyed here";
                Err(Refusal::new(RefusalKind::NotInControl, sentence))
            }
            _ => Ok(()),
        }
    }

    pub(crate) fn controls(
        &mut self,
        action: Option<ControlsAction>,
        session: Session,
    ) -> Result<Fields, Refusal> {
        let holder = &mut self.sessions.holder;
        match action {
            None => {}
            Some(ControlsAction::Take) => match *holder {
                Some(other) if other != session => {
                    let sentence = "another connection holds the controls; it must release them, or end";
                    return Err(Refusal::new(RefusalKind::NotInControl, sentence));
                }
                _ => *holder = Some(session),
            },
            Some(ControlsAction::Release) => {
                holder.take_if(|holder| *holder == session);
            }
        }
        let word = match *holder {
            None => "nobody",
            Some(holder) if holder == session => "this",
            Some(_) => "another",
        };
        Ok(Fields::new().text("holder", word))
    }

    pub(crate) fn events(&mut self, entry: &EventsEntry, session: Session) -> Fields {
        if let Some(show) = entry.show {
            let muted = &mut self.sessions.kept.entry(session).or_default().muted;
            for kind in EventKind::ALL.iter().filter(|kind| entry.kind.is_none_or(|one| one == **kind)) {
                if show {
                    muted.remove(kind);
                } else {
                    muted.insert(*kind);
                }
            }
        }
        let listed = |wanted: bool| {
            let words: Vec<&str> = EventKind::ALL
                .iter()
                .filter(|kind| self.wants(session, **kind) == wanted)
                .map(|kind| kind.word())
                .collect();
            if words.is_empty() { "none".to_owned() } else { words.join(",") }
        };
        Fields::new().text("shown", &listed(true)).text("silent", &listed(false))
    }

    /// Looks at the sequence number of a line, which must grow from one motion line of a connection to the next.
    pub(crate) fn sequence(&self, raw: &RawRequest, session: Session) -> Result<Sequence, Refusal> {
        let Some(number) = number_of(raw) else { return Ok(Sequence::Absent) };
        let last = self.sessions.kept.get(&session).and_then(|kept| kept.numbered.as_ref());
        match last {
            Some(last) if last.number == number && last.line == untagged(raw) => {
                Ok(Sequence::Again(last.answer.clone()))
            }
            Some(last) if number <= last.number => {
                let sentence = format!(
                    "seq={number} was used or passed; the last was {}, the next must be greater",
                    last.number
                );
                Err(Refusal::new(RefusalKind::SequenceUsed, sentence))
            }
            _ => Ok(Sequence::New(number)),
        }
    }

    /// Keeps a numbered line that was obeyed.
    pub(crate) fn keep_numbered(&mut self, number: u64, raw: &RawRequest, answer: &Fields, session: Session) {
        let line = untagged(raw);
        let kept = self.sessions.kept.entry(session).or_default();
        kept.numbered = Some(Numbered { number, line, answer: answer.clone() });
    }
}

/// The sequence number of a line that was read already, so that its form is known to be right.
fn number_of(raw: &RawRequest) -> Option<u64> {
    raw.pairs.iter().find(|pair| pair.key == "seq").and_then(|pair| pair.value.parse().ok())
}

fn untagged(raw: &RawRequest) -> String {
    RawRequest { tag: None, ..raw.clone() }.to_line()
}
