//! The conformance suite of the line language: numbered requirements, each tried against whatever answers at an address.
//!
//! Every requirement has a connection of its own. It passes, or fails with the lines that were exchanged, or does not apply
//! to this mount; a mount that can't be reached is an error and no failure.

mod connections;
mod junit;
mod lines;
mod motion;
mod probe;
mod requests;
mod verbs;

use crate::address::Address;
use crate::error::LinkError;
use crate::gate::Token;
pub use junit::junit;
use probe::{Fault, Probe};
use std::pin::Pin;

/// Whom to vet, and what is allowed.
#[derive(Clone, Debug)]
pub struct Subject {
    /// Where it answers.
    pub address: Address,
    /// The token it wants to be shown, if any.
    pub token: Option<Token>,
    /// Whether its axes may be moved, by a few degrees and under supervision.
    pub may_move: bool,
}

/// How a requirement was met.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// It holds.
    Passed,
    /// It doesn't: what was expected and what came instead.
    Failed(String),
    /// It says nothing about this mount, and why.
    NotApplicable(String),
}

/// One requirement's verdict, with the lines exchanged: `> ` for those sent, `< ` for those received.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    /// Which.
    pub requirement: &'static Requirement,
    /// How it was met.
    pub verdict: Verdict,
    /// What passed on the line.
    pub lines: Vec<String>,
}

type Trial = for<'a> fn(&'a mut Probe) -> Pin<Box<dyn Future<Output = Result<(), Fault>> + Send + 'a>>;

/// Something that the language demands.
pub struct Requirement {
    /// Its number; it never changes its meaning.
    pub number: u16,
    /// What is demanded, in one sentence.
    pub demand: &'static str,
    trial: Trial,
}

impl PartialEq for Requirement {
    fn eq(&self, other: &Self) -> bool {
        self.number == other.number
    }
}

impl Eq for Requirement {}

impl std::fmt::Debug for Requirement {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} {}", self.number, self.demand)
    }
}

macro_rules! requirements {
    ($($number:literal $demand:literal => $trial:path;)+) => {
        /// All requirements by number: from 100 lines, 200 requests and replies, 300 checks, 400 verbs, 500 motion,
        /// 600 connections.
        pub const REQUIREMENTS: &[Requirement] = &[$(
            Requirement { number: $number, demand: $demand, trial: |probe| Box::pin($trial(probe)) },
        )+];
    };
}

requirements! {
    101 "A line ends with LF, and a CR before it is dropped." => lines::both_line_ends;
    102 "Empty lines are ignored in silence." => lines::empty_lines;
    103 "Lines are the same however their bytes are cut into pieces." => lines::cut_bytes;
    104 "A line of 255 bytes is read; a longer one is refused whole with 18, and the next is read afresh." => lines::length;
    105 "A line with a byte that is no printable ASCII character is refused with 19." => lines::not_text;
    106 "A reply is printable ASCII and ends with LF alone." => lines::reply_form;
    201 "Every request gets exactly one reply, in the order of the requests." => requests::one_reply_each;
    202 "A reply repeats the request's tag, and has none if the request had none." => requests::tags;
    203 "A tag of other than 1 to 8 letters and digits is refused with 10." => requests::bad_tags;
    204 "Verbs, keys and words are read without regard to case." => requests::case;
    205 "A line that is no request is refused with 10." => requests::unreadable;
    206 "A verb that there is not is refused with 11." => requests::unknown_verb;
    207 "A key that the verb has not is refused with 12." => requests::unknown_key;
    208 "A request without a key that it needs is refused with 13." => requests::missing_key;
    209 "A bare number where a unit is due is refused with 14." => requests::bare_number;
    210 "A value outside its range is refused with 15." => requests::out_of_range;
    211 "A key that stands twice is refused with 16." => requests::repeated_key;
    212 "Keys that exclude each other are refused with 17." => requests::conflicting_keys;
    213 "A refusal is `no`, the tag, a number, a word, and a sentence in quotes." => requests::refusal_form;
    214 "A value in quotes may have blanks, quotes and backslashes." => requests::quotes;
    215 "A request that is refused has changed nothing." => requests::nothing_half_done;
    216 "Every quantity in a reply carries its unit." => requests::units_in_replies;
    301 "A request with a check is answered with one that fits; one without, without." => requests::checks;
    302 "A line whose check doesn't fit is refused with 20 and not obeyed." => requests::damaged;
    303 "A check in lower case doesn't fit." => requests::lower_case_check;
    401 "identify names device, kind and language." => verbs::identify;
    402 "help names all verbs, and help with a verb explains each of them." => verbs::help;
    403 "stop is never refused." => verbs::stop;
    404 "status and axes name the same dials." => verbs::status_and_axes;
    405 "site shows what it was told." => verbs::site;
    501 "A go-to is answered at once with a job number, and its end is told by `arrived`." => motion::arrives;
    502 "stop ends a go-to, names its job, and the event `stopped` follows." => motion::stops;
    503 "A go-to that is refused moves nothing." => motion::refused_moves_nothing;
    504 "A motion that is sent again with its sequence number is answered as before; another with that number is refused with 23." => motion::numbered;
    505 "A nudge that is held and not repeated ends by itself, and `dead-man` tells it." => motion::dead_man;
    506 "await is answered at once, and exactly one `awaited` follows when the job has ended." => motion::awaited;
    601 "A reply goes to the connection that asked, and to no other." => connections::own_replies;
    602 "stop works from any connection." => connections::stop_from_anywhere;
    603 "A line that was begun on one connection is not continued by the next." => connections::unended_line;
    604 "While one connection holds the controls, another may ask and stop, and is refused with 22 what else it asks." => connections::controls;
    605 "A connection that ends lets go of the controls." => connections::controls_let_go;
    606 "An event that a connection switched off is not sent to it, and to others it is." => connections::silenced_event;
}

/// Tries every requirement in turn.
///
/// # Errors
/// Nobody answers at the address, or no longer.
pub async fn vet(subject: &Subject, mut told: impl FnMut(&Finding)) -> Result<Vec<Finding>, LinkError> {
    let mut findings = Vec::with_capacity(REQUIREMENTS.len());
    for requirement in REQUIREMENTS {
        let mut probe = Probe::open(subject).await?;
        let result = (requirement.trial)(&mut probe).await;
        let verdict = match result {
            Ok(()) => Verdict::Passed,
            Err(Fault::Broken(what)) => Verdict::Failed(what),
            Err(Fault::NotApplicable(why)) => Verdict::NotApplicable(why),
            Err(Fault::Outside(error)) => return Err(error),
        };
        let finding = Finding { requirement, verdict, lines: probe.into_lines() };
        told(&finding);
        findings.push(finding);
    }
    Ok(findings)
}

/// The manual's page of the suite.
pub fn reference_page() -> String {
    let mut page = include_str!("vet/preface.md").to_owned();
    page.push_str("| number | demand |\n|---|---|\n");
    for requirement in REQUIREMENTS {
        page.push_str(&format!("| {} | {} |\n", requirement.number, requirement.demand));
    }
    page
}
