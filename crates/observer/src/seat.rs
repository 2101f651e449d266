//! What the person is handed.

use units::{Angle, Span};

/// The night has ended; there is nothing more to be done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NightOver;

/// The line to the mount, and the time that passes meanwhile.
pub trait Line {
    /// Types a request line and reads its reply line; a mount that says nothing (it has no power) is asked again until it
    /// does.
    ///
    /// # Errors
    /// The night is over; nothing was typed.
    fn request(&mut self, line: &str) -> Result<String, NightOver>;

    /// Waits for the next event line.
    ///
    /// # Errors
    /// The night ended first.
    fn await_event(&mut self) -> Result<String, NightOver>;

    /// Waits.
    ///
    /// # Errors
    /// The night ended first.
    fn wait(&mut self, span: Span) -> Result<(), NightOver>;

    /// What the person's own watch says: the time since the evening began.
    fn elapsed(&self) -> Span;
}

/// What the person looks through.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Glass {
    /// The finder on the tube.
    Finder,
    /// The eyepiece: that of the target, or the first one for a star of the alignment.
    Eyepiece,
}

/// What the person looks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Object<'a> {
    /// The target of that number, in the order of the intents.
    Target(usize),
    /// A star, by its name.
    Star(&'a str),
}

/// Where something stands in the field as the eye sees it, in widths of the true field from its middle: a spot at the
/// right edge is at 0.5.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Spot {
    /// To the right.
    pub right: f64,
    /// Upwards.
    pub up: f64,
}

impl Spot {
    /// Distance from the middle, in widths of the field.
    pub fn distance(&self) -> f64 {
        units::maths::hypot(self.right, self.up)
    }
}

/// What is to be seen of an object.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Sight {
    /// It stands in the field.
    Seen(Spot),
    /// The field shows other stars, not this one.
    NotThere,
    /// A cloud, a roof or a hill is before it, or it has set.
    Hidden,
    /// The sky is still too bright for it.
    TooBright,
}

/// A moment that the bench wants to note down; the person is told nothing about it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Moment<'a> {
    /// The person turns to the target of that number.
    SetsOut {
        /// In the order of the intents.
        target: usize,
    },
    /// The mount has arrived at a star that is to be sighted, and nobody has centred yet.
    Arrived {
        /// The star that is meant.
        star: &'a str,
    },
    /// The person holds the star to be centred and accepts it.
    Accepted {
        /// The star that is meant.
        star: &'a str,
    },
    /// The person is about to record a correction of the periodic error.
    Records,
    /// The recording is over, and what is to be played back is played.
    Recorded,
    /// An axis was come to from both sides, and the mount has told its play.
    PlayMeasured {
        /// 0 first axis, 1 second.
        axis: usize,
    },
}

/// Finder and eyepiece.
pub trait EyepieceView {
    /// Has the first look for the target of that number, in the order of the intents.
    fn look(&mut self, intent: usize);

    /// Stays at the eyepiece for a while.
    ///
    /// # Errors
    /// The night ended first; what was seen until then counts.
    fn watch(&mut self, intent: usize, span: Span) -> Result<(), NightOver>;

    /// Looks for an object.
    fn see(&mut self, glass: Glass, object: Object<'_>) -> Sight;

    /// The diameter of the true field through which an object is looked at.
    fn field(&self, glass: Glass, object: Object<'_>) -> Angle;

    /// Lets the bench note a moment.
    fn note(&mut self, moment: Moment<'_>);
}

/// What a visitor does to the mount without meaning to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Jolt {
    /// The eyepiece is pushed, and the tube springs back: about each axis.
    Bump([Angle; 2]),
    /// The eyepiece is pushed, and the tube stays where it was pushed to: about each axis.
    Step([Angle; 2]),
    /// A foot meets the tripod: the polar axis (or the base) moves for good, upwards and eastwards.
    Kick([Angle; 2]),
    /// A clutch slips.
    Slip {
        /// 0 first axis, 1 second.
        axis: usize,
        /// By how much.
        angle: Angle,
    },
}

/// The visitors' hands and feet.
pub trait Crowd {
    /// Something befalls the mount now.
    fn jolt(&mut self, jolt: Jolt);
}

/// The two bolts by which the polar axis is set.
pub trait Bolts {
    /// Turns the bolts so far that the axis's elevated end should rise and go east by these angles. A bolt does what it does: in
    /// steps, and with something for the other direction.
    fn turn_bolts(&mut self, up: Angle, east: Angle);

    /// Locks them after a star was centred or watched; that shifts the axis a little.
    fn lock_bolts(&mut self, star: &str);
}

/// Everything that a person has at the mount.
pub trait Seat: Line + EyepieceView + Crowd + Bolts {}

impl<S: Line + EyepieceView + Crowd + Bolts> Seat for S {}
