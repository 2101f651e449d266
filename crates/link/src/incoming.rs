//! Lines from a mount, as its clients take them.

use bytes::{Buf, BytesMut};

/// Longest line that is taken: replies may be longer than requests, but a mount that never ends a line is not a mount.
pub(crate) const LINE_MOST: usize = 4096;

/// Collects bytes until lines are whole. Its memory is bounded: [`LINE_MOST`] and what is pushed at once.
#[derive(Debug, Default)]
pub(crate) struct Incoming {
    pending: BytesMut,
    skipping: bool,
}

impl Incoming {
    pub(crate) fn push(&mut self, bytes: &[u8]) {
        self.pending.extend_from_slice(bytes);
    }

    /// The next whole line without its end; lines that are too long, and bytes that are no text, are left out.
    pub(crate) fn next_line(&mut self) -> Option<String> {
        loop {
            let Some(end) = self.pending.iter().position(|byte| *byte == b'\n') else {
                if self.pending.len() > LINE_MOST {
                    self.pending.clear();
                    self.skipping = true;
                }
                return None;
            };
            let line = self.pending.split_to(end);
            self.pending.advance(1);
            if std::mem::take(&mut self.skipping) || line.len() > LINE_MOST {
                continue;
            }
            let line = line.strip_suffix(b"\r").unwrap_or(&line);
            if let Ok(text) = str::from_utf8(line) {
                return Some(text.to_owned());
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_taken_and_floods_are_not_kept() {
        let mut incoming = Incoming::default();
        incoming.push(b"ok @1\r\n* arr");
        assert_eq!(incoming.next_line().as_deref(), Some("ok @1"));
        assert_eq!(incoming.next_line(), None);
        incoming.push(b"ived\n\xFF\n");
        assert_eq!(incoming.next_line().as_deref(), Some("* arrived"));
        assert_eq!(incoming.next_line(), None);
        for _ in 0..100 {
            incoming.push(&[b'x'; 1000]);
            assert_eq!(incoming.next_line(), None);
            assert!(incoming.pending.len() <= LINE_MOST);
        }
        incoming.push(b"\nok\n");
        assert_eq!(incoming.next_line().as_deref(), Some("ok"));
    }
}
