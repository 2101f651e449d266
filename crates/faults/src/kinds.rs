//! The kinds of fault: one table from which orders are read and the manual is made.

/// What a kind of fault befalls.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Group {
    /// Single bytes on the wire.
    Bytes,
    /// Whole lines on the wire.
    Lines,
    /// The connection.
    Link,
    /// The mount's computer.
    Computer,
    /// Motors, switches and the clock.
    Machine,
}

impl Group {
    /// Whether the wire carries it out, rather than the mount.
    pub const fn is_wire(self) -> bool {
        matches!(self, Self::Bytes | Self::Lines | Self::Link)
    }
}

/// What is counted, and drawn for, by an order of a kind.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// Each byte.
    Byte,
    /// Each line.
    Line,
}

/// One row of the table.
#[derive(Clone, Copy, Debug)]
pub struct KindDoc {
    /// Its word, in scenarios and on the wire.
    pub word: &'static str,
    /// What it befalls.
    pub group: Group,
    /// What is counted.
    pub unit: Unit,
    /// Parameters of its own, beside those of the envelope.
    pub parameters: &'static [&'static str],
    /// What happens.
    pub meaning: &'static str,
}

macro_rules! kinds {
    ($($name:ident = $word:literal, $group:ident, $unit:ident, [$($parameter:literal),*], $meaning:literal;)*) => {
        /// A kind of fault.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum Kind {
            $(#[doc = $meaning] $name,)*
        }

        impl Kind {
            /// All of them, in the order of the table.
            pub const ALL: &[Self] = &[$(Self::$name),*];

            /// Its row of the table.
            pub const fn doc(self) -> KindDoc {
                match self {
                    $(Self::$name => KindDoc {
                        word: $word,
                        group: Group::$group,
                        unit: Unit::$unit,
                        parameters: &[$($parameter),*],
                        meaning: $meaning,
                    },)*
                }
            }
        }
    };
}

kinds! {
    LostBytes = "lost-bytes", Bytes, Byte, [], "Bytes are lost.";
    DoubledBytes = "doubled-bytes", Bytes, Byte, [], "Bytes come twice.";
    FlippedBits = "flipped-bits", Bytes, Byte, [], "One bit of a byte is flipped, whichever is drawn.";
    GarbledBytes = "garbled-bytes", Bytes, Byte, [], "Bytes are replaced by any others, eight in a row if no burst is given.";
    AddedBytes = "added-bytes", Bytes, Byte, [], "A byte that nobody sent comes before another.";
    LateBytes = "late-bytes", Bytes, Line, ["delay", "jitter"], "Lines come late, in order: by `delay` (1 s), and up to `jitter` (0 s) more or less.";
    SwappedBytes = "swapped-bytes", Bytes, Byte, [], "A byte changes places with the one after it.";
    Stutter = "stutter", Bytes, Byte, ["bytes"], "A byte comes `bytes` (3) times.";
    SevenBits = "seven-bits", Bytes, Byte, [], "The top bit of a byte is lost; text in ASCII has none to lose.";
    ZeroBytes = "zero-bytes", Bytes, Byte, [], "A zero byte comes before another.";
    SplitLine = "split-line", Lines, Line, [], "A line end comes in the middle of a line.";
    MergedLines = "merged-lines", Lines, Line, [], "The end of a line is lost, so that it runs into the next one.";
    CutLine = "cut-line", Lines, Line, ["bytes"], "A line is cut short, after `bytes` or wherever is drawn; its end stays.";
    LostReply = "lost-reply", Lines, Line, [], "Replies are lost; with direction `received`, requests.";
    DoubledReply = "doubled-reply", Lines, Line, [], "Replies come twice; with direction `received`, requests.";
    LateReply = "late-reply", Lines, Line, ["delay"], "Replies come late by `delay` (3 s), and others overtake them; with direction `received`, requests.";
    WrongEnding = "wrong-ending", Lines, Line, [], "A line ends otherwise: with CR, with LF and CR, or with CR and LF.";
    HangUp = "hang-up", Link, Line, [], "The connection is closed; so is every new one until the fault is over.";
    HalfOpen = "half-open", Link, Line, [], "The connection stays, and carries nothing.";
    Echo = "echo", Link, Line, [], "What one end sends comes back to it.";
    WrongSpeed = "wrong-speed", Link, Line, ["baud"], "One end takes the line for one of `baud` (4800) instead of 9600.";
    SlowLine = "slow-line", Link, Line, ["baud"], "The line carries no more than `baud` (300), ten bits a byte.";
    HeldBack = "held-back", Link, Line, ["delay"], "The line stands still for `delay` (5 s), as after a stop character; then everything comes at once.";
    Overrun = "overrun", Link, Line, ["bytes", "baud"], "The receiver has room for `bytes` (32) and takes them at `baud` (9600); what finds no room is lost.";
    SecondReader = "second-reader", Link, Line, [], "A second program has the line open: it takes half of what the mount says, and asks things of its own.";
    BrownOut = "brown-out", Computer, Line, ["lasts"], "The supply fails for `lasts` (1 s): what is in memory is lost, and motors take where they stand for home.";
    SelfRestart = "self-restart", Computer, Line, ["lasts"], "The computer's watchdog starts it anew, which takes `lasts` (3 s); what is in memory is lost.";
    StuckBusy = "stuck-busy", Computer, Line, ["lasts"], "For `lasts` (30 s) everything that would move or change anything is refused as busy; stop and questions are answered.";
    ErrorFlood = "error-flood", Computer, Line, [], "The log of errors runs over, and every entry is told as an event: 32 if no burst is given.";
    Freeze = "freeze", Computer, Line, ["lasts"], "The computer does nothing for `lasts` (5 s); then it answers what came in meanwhile, as far as 512 bytes of it.";
    OldSettings = "old-settings", Computer, Line, [], "Site, clock and all settings are again as they were when it was switched on.";
    Stall = "stall", Machine, Line, ["axis", "lasts"], "The motor of an axis is held for `lasts` (2 s) and loses steps.";
    LostSteps = "lost-steps", Machine, Line, ["axis", "angle"], "The motor of an axis loses steps: the axis stays behind by `angle` (5 arcmin), and the dial doesn't know.";
    CountSlip = "count-slip", Machine, Line, ["axis", "angle"], "The count of an axis jumps by `angle` (5 arcmin) while nothing moves.";
    LimitBounce = "limit-bounce", Machine, Line, ["axis"], "The limit switch of an axis bounces where there is no limit: three times if no burst is given.";
    ClockJump = "clock-jump", Machine, Line, ["by"], "The computer's clock jumps forward by `by` (1 min).";
}

impl Kind {
    /// Its word.
    pub const fn word(self) -> &'static str {
        self.doc().word
    }

    /// The kind of a word.
    pub fn of_word(word: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|kind| kind.word() == word)
    }

    /// How many units in a row are struck where no burst is given.
    pub const fn usual_burst(self) -> u32 {
        match self {
            Self::GarbledBytes => 8,
            Self::ErrorFlood => 32,
            Self::LimitBounce => 3,
            _ => 1,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn thirty_six_kinds_in_their_groups() {
        let of = |group| Kind::ALL.iter().filter(|kind| kind.doc().group == group).count();
        assert_eq!(Kind::ALL.len(), 36);
        let groups = [Group::Bytes, Group::Lines, Group::Link, Group::Computer, Group::Machine];
        assert_eq!(groups.map(of), [10, 7, 8, 6, 5]);
        let words: BTreeSet<&str> = Kind::ALL.iter().map(|kind| kind.word()).collect();
        assert_eq!(words.len(), 36);
        assert!(Kind::ALL.iter().all(|kind| Kind::of_word(kind.word()) == Some(*kind)));
    }
}
