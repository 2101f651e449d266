//! What the person is handed.

use units::Span;

/// The night has ended; there is nothing more to be done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NightOver;

/// The line to the mount, and the time that passes meanwhile.
pub trait Line {
    /// Types a request line and reads its reply line.
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
}

/// The eyepiece.
pub trait EyepieceView {
    /// Looks for the target of that number, in the order of the intents.
    fn look(&mut self, intent: usize);

    /// Stays at the eyepiece for a while.
    ///
    /// # Errors
    /// The night ended first; what was seen until then counts.
    fn watch(&mut self, intent: usize, span: Span) -> Result<(), NightOver>;
}
