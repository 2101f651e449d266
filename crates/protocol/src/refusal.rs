//! Refusals: a stable number, a stable word, and a sentence for the reader.

/// Makes the table of refusals: kind, number, word, meaning.
macro_rules! refusals {
    ($($(#[$doc:meta])* $kind:ident = $number:literal, $word:literal, $meaning:literal;)+) => {
        /// Why a request was refused. Numbers and words never change their meaning.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum RefusalKind {
            $(#[doc = $meaning] $kind,)+
        }

        impl RefusalKind {
            /// All kinds, by number.
            pub const ALL: &'static [Self] = &[$(Self::$kind),+];

            /// Its number.
            pub const fn number(self) -> u16 {
                match self { $(Self::$kind => $number,)+ }
            }

            /// Its word.
            pub const fn word(self) -> &'static str {
                match self { $(Self::$kind => $word,)+ }
            }

            /// What it means, for the manual.
            pub const fn meaning(self) -> &'static str {
                match self { $(Self::$kind => $meaning,)+ }
            }
        }
    };
}

refusals! {
    Unreadable = 10, "unreadable", "The line is not of the form `[@tag] verb [topic] key=value …`.";
    UnknownVerb = 11, "unknown-verb", "There is no such verb; the nearest one is named.";
    UnknownKey = 12, "unknown-key", "The verb has no such key; the nearest one is named.";
    MissingKey = 13, "missing-key", "The verb needs a key that the line lacks.";
    BadValue = 14, "bad-value", "A value has the wrong form or the wrong unit, or no unit at all.";
    OutOfRange = 15, "out-of-range", "A value is well formed but outside what the key allows.";
    RepeatedKey = 16, "repeated-key", "A key stands twice in the line.";
    ConflictingKeys = 17, "conflicting-keys", "Two keys of the line exclude each other.";
    TooLong = 18, "too-long", "The line has over 255 bytes; it was dropped whole.";
    NotText = 19, "not-text", "The line has a byte that is no printable ASCII character; it was dropped whole.";
    BadCheck = 20, "bad-check", "The check at the end of the line does not fit the line: it was damaged on its way.";
    Busy = 21, "busy", "The mount is doing something that must end, or be stopped, first.";
    NotInControl = 22, "not-in-control", "Another connection holds the controls.";
    SequenceUsed = 23, "sequence-used", "The sequence number is not greater than that of the last motion line of this connection, and the line is another.";
    NotAllowed = 24, "not-allowed", "Whoever started the bench didn't allow this here: moving its clock, or ordering faults; or nothing here can bring that fault about.";
    UnknownTarget = 30, "unknown-target", "No catalogue object has that name; the nearest names are given.";
    BelowHorizon = 31, "below-horizon", "The target is below the horizon that the mount was told.";
    Unreachable = 32, "unreachable", "No position of the axes points there: it lies within the cap round the axis.";
    BeyondLimit = 33, "beyond-limit", "The axes would have to leave their allowed range.";
    WrongKind = 34, "wrong-kind", "This kind of mount has no such axis or setting.";
    NearSun = 35, "near-sun", "The tube, or its way there, would come too near the Sun, or by day nobody knows where it points.";
    Parked = 36, "parked", "The mount is parked; unpark it first.";
    UnknownJob = 37, "unknown-job", "There is no job of that number, or it ended too long ago.";
    NoAlignment = 40, "no-alignment", "No alignment was begun, or none was kept; send `align method=…` with a star first.";
    UnfitSighting = 41, "unfit-sighting", "The sightings can't be used as they are: the same star twice, stars too near each other or opposite, or contradicting.";
    Suspicious = 42, "suspicious", "The sighting disagrees with the model so much that another star is likelier; look again, or insist with `anyway=yes`.";
    NoStar = 43, "no-star", "No star fits the rules of a proposal now.";
    BadPlace = 44, "bad-place", "The altitude and azimuth bolts can't centre a star there; take one near the meridian, low to middling in altitude.";
    NoRecording = 45, "no-recording", "No correction was recorded that could be played; send `record turns=…` and guide meanwhile.";
}

/// One refusal.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refusal {
    kind: RefusalKind,
    sentence: String,
}

impl Refusal {
    /// A refusal with its sentence; characters outside printable ASCII become `?`, and it is cut so that the line
    /// keeps within its limit.
    pub fn new(kind: RefusalKind, sentence: impl Into<String>) -> Self {
        let sentence: String = sentence.into();
        let mut clean: String = sentence
            .chars()
            .map(|c| if c == ' ' || c.is_ascii_graphic() { c } else { '?' })
            .take(180)
            .collect();
        if clean.len() < sentence.len() && clean.len() >= 180 {
            clean.truncate(177);
            clean.push_str("...");
        }
        Self { kind, sentence: clean }
    }

    /// Why.
    pub fn kind(&self) -> RefusalKind {
        self.kind
    }

    /// The sentence for the reader.
    pub fn sentence(&self) -> &str {
        &self.sentence
    }
}
