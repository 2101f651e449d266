//! What is ordered of the bench: time, and things that go wrong.

use crate::words::words;
use units::{Angle, Share, Span};

/// `clock …`
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ClockEntry {
    /// Only asked.
    Show,
    /// So much time passes.
    By(Span),
    /// Time passes until an event is sent to the connection that asks, but no more than this.
    UntilEvent(Span),
}

/// How long `clock until=event` waits if nothing is said.
pub(crate) const CLOCK_WITHIN: Span = Span::from_whole_seconds(3600);

words! {
    /// What can go wrong by order.
    FaultKind {
        /// Bytes are lost.
        LostBytes = "lost-bytes",
        /// Bytes come twice.
        DoubledBytes = "doubled-bytes",
        /// A bit of a byte is turned.
        FlippedBits = "flipped-bits",
        /// A run of bytes becomes others.
        GarbledBytes = "garbled-bytes",
        /// Bytes that nobody sent come between.
        AddedBytes = "added-bytes",
        /// Bytes come late.
        LateBytes = "late-bytes",
        /// Bytes overtake each other.
        SwappedBytes = "swapped-bytes",
        /// A byte comes three times.
        Stutter = "stutter",
        /// The highest bit of each byte is lost.
        SevenBits = "seven-bits",
        /// Bytes become zero.
        ZeroBytes = "zero-bytes",
        /// A line end comes within a line.
        SplitLine = "split-line",
        /// A line end is lost.
        MergedLines = "merged-lines",
        /// A line loses its tail.
        CutLine = "cut-line",
        /// A reply is lost.
        LostReply = "lost-reply",
        /// A reply comes twice.
        DoubledReply = "doubled-reply",
        /// A reply comes late.
        LateReply = "late-reply",
        /// Lines end otherwise than they should.
        WrongEnding = "wrong-ending",
        /// The connection is closed.
        HangUp = "hang-up",
        /// Nothing is carried any more, and nobody is told.
        HalfOpen = "half-open",
        /// What is sent comes back.
        Echo = "echo",
        /// The two ends are set to different speeds.
        WrongSpeed = "wrong-speed",
        /// The line is slow.
        SlowLine = "slow-line",
        /// The mount waits for leave to send that never comes.
        HeldBack = "held-back",
        /// A buffer is too small for what comes at once.
        Overrun = "overrun",
        /// Somebody else reads from the same port.
        SecondReader = "second-reader",
        /// The supply fails: what was in memory is lost.
        BrownOut = "brown-out",
        /// The computer starts anew by itself and says so.
        SelfRestart = "self-restart",
        /// Everything is refused as busy.
        StuckBusy = "stuck-busy",
        /// The log of errors is flooded.
        ErrorFlood = "error-flood",
        /// The computer does nothing for a while.
        Freeze = "freeze",
        /// Old settings come back.
        OldSettings = "old-settings",
        /// The motor of an axis stalls.
        Stall = "stall",
        /// The motor of an axis loses steps.
        LostSteps = "lost-steps",
        /// The count of an axis is suddenly another.
        CountSlip = "count-slip",
        /// A limit switch bounces.
        LimitBounce = "limit-bounce",
        /// The clock of the mount's computer jumps.
        ClockJump = "clock-jump",
    }
}

impl FaultKind {
    /// Whether it is the wire's, so that whoever carries the bytes brings it about; the others are the mount's.
    pub fn of_the_wire(self) -> bool {
        self < Self::BrownOut
    }
}

words! {
    /// Which way on the wire, as the mount sees it.
    WireDirection {
        /// Towards the mount.
        Received = "received",
        /// From the mount.
        Sent = "sent",
        /// Both ways.
        Both = "both",
    }
}

words! {
    /// An axis by its name on either kind of mount.
    FaultAxis {
        /// Hour axis.
        Hour = "hour",
        /// Declination axis.
        Declination = "declination",
        /// Azimuth axis.
        Azimuth = "azimuth",
        /// Altitude axis.
        Altitude = "altitude",
    }
}

/// `fault …`: one envelope for all kinds.
#[derive(Clone, Debug, PartialEq)]
pub struct FaultEntry {
    /// What goes wrong.
    pub kind: FaultKind,
    /// Which way on the wire.
    pub direction: Option<WireDirection>,
    /// How long until it begins; at once if left out.
    pub after: Option<Span>,
    /// How long it lasts.
    pub lasts: Option<Span>,
    /// What of all that passes it strikes.
    pub strikes: Strikes,
    /// How many in a row are struck.
    pub burst: Option<u64>,
    /// Which axis.
    pub axis: Option<FaultAxis>,
    /// By how much an axis or a count is off.
    pub angle: Option<Angle>,
    /// By how much a clock jumps.
    pub by: Option<Span>,
    /// How late something comes.
    pub delay: Option<Span>,
    /// By how much that varies.
    pub jitter: Option<Span>,
    /// How many bytes.
    pub bytes: Option<u64>,
    /// Bits per second.
    pub baud: Option<u64>,
}

/// Which of the things that pass are struck.
#[derive(Clone, Debug, PartialEq)]
pub enum Strikes {
    /// All of them.
    All,
    /// One in so many.
    Every(u64),
    /// That one alone, from 1.
    Nth(u64),
    /// Lines in which a text stands.
    Line(String),
    /// By chance.
    Rate {
        /// So often; 0 is never.
        rate: Share,
        /// How much the next chance hangs on the last.
        correlation: Option<Share>,
    },
}

impl FaultEntry {
    /// One of a kind, at once, without anything else said.
    pub fn of(kind: FaultKind) -> Self {
        Self {
            kind,
            direction: None,
            after: None,
            lasts: None,
            strikes: Strikes::All,
            burst: None,
            axis: None,
            angle: None,
            by: None,
            delay: None,
            jitter: None,
            bytes: None,
            baud: None,
        }
    }
}

/// `faults …`
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FaultsEntry {
    /// All, or one in particular.
    Show(Option<u64>),
    /// End one, or all.
    Clear(Option<u64>),
}
