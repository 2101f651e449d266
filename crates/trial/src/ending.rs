//! How a program's trial ended.

/// How a program's trial ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Ending {
    /// It ended by itself and said that all was well.
    Finished,
    /// The night was over; it was asked to end, and did.
    EndedWithTheNight,
    /// It ended by itself with another status than 0.
    Failed(i32),
    /// A signal ended it.
    Crashed(i32),
    /// It was connected and said nothing for too long, or did not end in time.
    Hung,
    /// It was asked to end and had to be killed.
    Stubborn,
    /// It sent more lines within a second of the night than a mount can be asked.
    Flooded,
    /// It never connected.
    NeverConnected,
    /// It ended and left other processes behind.
    LeftChildren,
}

impl Ending {
    /// Whether the program did as it should.
    pub fn held(&self) -> bool {
        matches!(self, Self::Finished | Self::EndedWithTheNight)
    }

    /// Its word in results.
    pub const fn word(&self) -> &'static str {
        match self {
            Self::Finished => "finished",
            Self::EndedWithTheNight => "ended-with-the-night",
            Self::Failed(_) => "failed",
            Self::Crashed(_) => "crashed",
            Self::Hung => "hung",
            Self::Stubborn => "stubborn",
            Self::Flooded => "flooded",
            Self::NeverConnected => "never-connected",
            Self::LeftChildren => "left-children",
        }
    }

    /// In a sentence.
    pub fn sentence(&self) -> String {
        match self {
            Self::Finished => "it ended by itself with status 0".to_owned(),
            Self::EndedWithTheNight => "the night was over, and it ended when it was asked to".to_owned(),
            Self::Failed(status) => format!("it ended by itself with status {status}"),
            Self::Crashed(signal) => format!("signal {signal} ended it"),
            Self::Hung => "it said nothing for too long, or did not end in time".to_owned(),
            Self::Stubborn => "it did not end when it was asked to, and was killed".to_owned(),
            Self::Flooded => "it sent more lines within a second than a mount can be asked".to_owned(),
            Self::NeverConnected => "it never connected".to_owned(),
            Self::LeftChildren => "it ended and left other processes behind; they were ended".to_owned(),
        }
    }
}
