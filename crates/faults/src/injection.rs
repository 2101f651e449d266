//! What a fault did, for journals and reports.

use crate::kinds::Kind;
use crate::order::Direction;
use units::{Instant, Span};

/// One strike of a fault of the wire.
#[derive(Clone, Debug, PartialEq)]
pub struct Injection {
    /// When.
    pub at: Instant,
    /// Number of the order, as it was given.
    pub order: usize,
    /// Its kind.
    pub kind: Kind,
    /// Which way the bytes went: to the mount or from it.
    pub direction: Direction,
    /// Number of the line among all that passed this fault in this direction on this connection, from 1 on; 0 for what
    /// happened without a line.
    pub line: u64,
    /// The bytes as they came.
    pub before: Vec<u8>,
    /// What went on, piece by piece, each with how much later than it came.
    pub after: Vec<(Span, Vec<u8>)>,
    /// What went back to where the line came from, likewise.
    pub back: Vec<(Span, Vec<u8>)>,
    /// Whether the connection was closed.
    pub closed: bool,
}

impl Injection {
    /// In one line, with bytes that don't print as escapes.
    pub fn text(&self) -> String {
        let shown = |bytes: &[u8]| bytes.escape_ascii().to_string();
        let pieces = |pieces: &[(Span, Vec<u8>)]| {
            let one = |(late, bytes): &(Span, Vec<u8>)| match late.seconds() {
                0.0 => format!("\"{}\"", shown(bytes)),
                late => format!("\"{}\" {late:.3} s late", shown(bytes)),
            };
            if pieces.is_empty() {
                "nothing".to_owned()
            } else {
                pieces.iter().map(one).collect::<Vec<_>>().join(", ")
            }
        };
        if self.closed {
            return format!("{} {}: the connection is closed", self.kind.word(), self.direction.word());
        }
        let mut text = format!(
            "{} {}: \"{}\" became {}",
            self.kind.word(),
            self.direction.word(),
            shown(&self.before),
            pieces(&self.after)
        );
        if !self.back.is_empty() {
            text.push_str(&format!("; back went {}", pieces(&self.back)));
        }
        text
    }
}
