//! From bytes to lines: the same lines however the bytes are cut into pieces.

use bytes::{Buf, BytesMut};

/// Longest line, its end not counted.
pub const MAX_LINE_BYTES: usize = 255;

/// One line as it came.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Frame {
    /// A line of printable ASCII (tabs become blanks), without its end.
    Line(String),
    /// A line of over [`MAX_LINE_BYTES`] bytes; what it said is dropped up to its end.
    TooLong,
    /// A line with a byte that is no printable ASCII character; `column` counts from 1.
    NotText {
        /// Where the first such byte stands.
        column: usize,
        /// The line as it came.
        bytes: Vec<u8>,
    },
}

/// Collects bytes until lines are whole. LF ends a line, a CR before it is dropped, empty lines are silent.
///
/// Its memory is bounded: [`MAX_LINE_BYTES`] plus what the caller pushes at once.
#[derive(Clone, Debug, Default)]
pub struct LineBuffer {
    pending: BytesMut,
    scanned: usize,
    skipping: bool,
}

impl LineBuffer {
    /// An empty one.
    pub fn new() -> Self {
        Self::default()
    }

    /// Takes in bytes as they came.
    pub fn push(&mut self, bytes: &[u8]) {
        self.pending.extend_from_slice(bytes);
    }

    /// The next whole line, if there is one. Call until `None` after each push.
    pub fn next_frame(&mut self) -> Option<Frame> {
        loop {
            let newline = self.pending[self.scanned..].iter().position(|&byte| byte == b'\n');
            let Some(offset) = newline else {
                self.keep_bounded();
                return None;
            };
            let end = self.scanned + offset;
            let line = self.pending.split_to(end);
            self.pending.advance(1);
            self.scanned = 0;
            if std::mem::take(&mut self.skipping) {
                return Some(Frame::TooLong);
            }
            let line = line.strip_suffix(b"\r").unwrap_or(&line);
            if !line.is_empty() {
                return Some(frame(line));
            }
        }
    }

    /// Drops what can no longer become a line, and remembers how far the search went.
    fn keep_bounded(&mut self) {
        // One byte more than the limit may still be the CR of a line that fits.
        if self.skipping || self.pending.len() > MAX_LINE_BYTES + 1 {
            self.skipping = true;
            self.pending.clear();
        }
        self.scanned = self.pending.len();
    }
}

fn frame(line: &[u8]) -> Frame {
    if line.len() > MAX_LINE_BYTES {
        return Frame::TooLong;
    }
    let allowed = |byte: u8| byte == b'\t' || (b' '..=b'~').contains(&byte);
    match line.iter().position(|&byte| !allowed(byte)) {
        Some(index) => Frame::NotText { column: index + 1, bytes: line.to_vec() },
        None => {
            Frame::Line(line.iter().map(|&byte| if byte == b'\t' { ' ' } else { char::from(byte) }).collect())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn frames(chunks: &[&[u8]]) -> Vec<Frame> {
        let mut buffer = LineBuffer::new();
        let mut out = Vec::new();
        for chunk in chunks {
            buffer.push(chunk);
            while let Some(frame) = buffer.next_frame() {
                out.push(frame);
            }
        }
        out
    }

    #[test]
    fn line_ends_of_both_kinds_and_silence_for_nothing() {
        let all = frames(&[b"status\r\nstop\n\n\r\nid", b"entify\n"]);
        let line = |text: &str| Frame::Line(text.to_owned());
        assert_eq!(all, [line("status"), line("stop"), line("identify")]);
    }

    #[test]
    fn the_limit_is_exact() {
        let fits = vec![b'a'; MAX_LINE_BYTES];
        let over = vec![b'a'; MAX_LINE_BYTES + 1];
        assert!(matches!(frames(&[&fits, b"\r\n"])[..], [Frame::Line(_)]));
        assert_eq!(frames(&[&over, b"\nstop\n"]), [Frame::TooLong, Frame::Line("stop".into())]);
        assert_eq!(frames(&[b"a\x07b\n"]), [Frame::NotText { column: 2, bytes: b"a\x07b".to_vec() }]);
    }

    proptest! {
        #[test]
        fn cutting_the_bytes_otherwise_changes_nothing(
            bytes in proptest::collection::vec(prop_oneof![Just(b'\n'), Just(b'\r'), any::<u8>(), Just(b'a')], 0..900),
            cuts in proptest::collection::vec(1usize..300, 0..12),
        ) {
            let whole = frames(&[&bytes]);
            let mut pieces: Vec<&[u8]> = Vec::new();
            let mut rest = &bytes[..];
            for cut in cuts {
                let (head, tail) = rest.split_at(cut.min(rest.len()));
                pieces.push(head);
                rest = tail;
            }
            pieces.push(rest);
            prop_assert_eq!(frames(&pieces), whole);
        }
    }
}
