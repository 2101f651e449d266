//! The line language between a person or a program and a mount's computer.
//!
//! Text in, types out, and back: [`framing`] cuts bytes into lines, [`grammar`] cuts a line into tag, verb and
//! `key=value` pairs, [`Request`] gives the pairs their types and units, [`Reply`] and [`Event`] go the other way.
//! [`verbs`] is the one table from which requests are read, help is given and the manual's page is made.
//!
//! No I/O and no mount in here: [`Device`] is what a transport talks to.
//!
//! **Invariant:** a line that is refused has changed nothing.
#![forbid(unsafe_code)]

mod answer;
pub mod check;
mod device;
pub mod framing;
pub mod grammar;
mod manual;
mod refusal;
mod reply;
mod request;
pub mod verbs;
mod words;

pub use answer::answered;
pub use device::{Device, Session, WireStrike};
pub use framing::{Frame, LineBuffer, MAX_LINE_BYTES};
pub use grammar::{RawRequest, Tag, push_quoted};
pub use manual::{dialogue, reference_page};
pub use refusal::{Refusal, RefusalKind};
pub use reply::{Event, EventKind, Fields, ReadReply, Reply, ReplyLine, read_event, read_reply};
pub use request::{
    Aim, AlignEntry, AlignMethod, ApproachEntry, AxisEntry, Centring, CivilTime, ClockEntry, ControlsAction,
    Direction, ErrorsEntry, Estimator, EventsEntry, FaultAxis, FaultEntry, FaultKind, FaultsEntry,
    FinalApproach, KeptAlignment, LimitsEntry, MeridianEntry, MeridianPolicy, MovedPart, NudgeEnd, NudgeRate,
    PlayEntry, Purpose, RankEntry, RankedBy, Rate, Replaced, Request, Seen, Side, SightEntry, SiteEntry,
    SolutionChoice, StatusGroup, Strikes, TrackAxes, TrackEntry, WireDirection, Yes,
};
