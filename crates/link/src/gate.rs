//! The token that a connection from afar has to show first.
//!
//! Where a server demands a token, the first line of a connection is `hello token=…`, with a tag if the client likes. The
//! answer is `ok`, and everything after it goes to the mount; any other line, and a wrong token, is refused with number 90,
//! `token-needed`, and the connection is closed. Nothing has reached the mount by then.

use crate::error::LinkError;
use protocol::{Frame, LineBuffer, RawRequest};

/// The refusal's number: those from 90 on are the connection's, not the mount's.
pub const TOKEN_NEEDED: u16 = 90;
/// The refusal's number where a server has as many connections as it allows.
pub const TOO_MANY: u16 = 91;

/// A secret between a server and its clients.
#[derive(Clone, PartialEq, Eq)]
pub struct Token(String);

impl Token {
    /// Takes a text of 16 to 128 letters, digits and hyphens.
    ///
    /// # Errors
    /// What is wrong with the text.
    pub fn new(text: &str) -> Result<Self, LinkError> {
        let problem = match text.len() {
            0..16 => "is shorter than 16 characters",
            129.. => "is longer than 128 characters",
            _ if !text.bytes().all(|byte| byte.is_ascii_alphanumeric() || byte == b'-') => {
                "has other characters than letters, digits and hyphens"
            }
            _ => return Ok(Self(text.to_owned())),
        };
        Err(LinkError::Token { problem })
    }

    /// The secret itself, for a link that is printed once.
    pub fn text(&self) -> &str {
        &self.0
    }

    /// The line that shows it.
    pub fn hello(&self) -> String {
        format!("hello token={}", self.0)
    }

    /// Whether a text is this token, in a time that doesn't tell how much of it was right.
    pub fn is(&self, text: &str) -> bool {
        let (own, other) = (self.0.as_bytes(), text.as_bytes());
        let differences = own
            .iter()
            .enumerate()
            .fold(0_u8, |sum, (place, byte)| sum | (byte ^ other.get(place).copied().unwrap_or(!byte)));
        differences == 0 && own.len() == other.len()
    }
}

/// A token is not for logs.
impl std::fmt::Debug for Token {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Token(…)")
    }
}

/// What the gate says to the bytes so far.
#[derive(Debug, PartialEq, Eq)]
pub(crate) enum Verdict {
    /// The first line isn't whole yet.
    Wait,
    /// The line to answer with; what came after the first line is for the mount.
    Open {
        /// With its line end.
        answer: String,
        /// How many of the bytes just handed in belonged to the first line.
        used: usize,
    },
    /// The line to answer with before closing.
    Shut(String),
}

/// Reads the first line of a connection.
#[derive(Debug)]
pub(crate) struct Gate {
    token: Token,
    line: LineBuffer,
}

impl Gate {
    pub(crate) fn new(token: Token) -> Self {
        Self { token, line: LineBuffer::new() }
    }

    /// Takes what came; bytes after the first line's end are left to the caller.
    pub(crate) fn judge(&mut self, bytes: &[u8]) -> Verdict {
        let mut used = 0;
        for piece in bytes.split_inclusive(|byte| *byte == b'\n') {
            used += piece.len();
            self.line.push(piece);
            match self.line.next_frame() {
                None => continue,
                Some(Frame::Line(line)) => return self.verdict(&line, used),
                Some(Frame::TooLong | Frame::NotText { .. }) => return Verdict::Shut(refusal("")),
            }
        }
        Verdict::Wait
    }

    fn verdict(&self, line: &str, used: usize) -> Verdict {
        let Ok(raw) = RawRequest::read(line) else { return Verdict::Shut(refusal("")) };
        let tag = raw.tag.as_ref().map_or(String::new(), |tag| format!(" @{}", tag.as_str()));
        let shown = raw.pairs.iter().find(|pair| pair.key == "token");
        if raw.verb == "hello" && shown.is_some_and(|pair| self.token.is(&pair.value)) {
            return Verdict::Open { answer: format!("ok{tag}\n"), used };
        }
        Verdict::Shut(refusal(&tag))
    }
}

fn refusal(tag: &str) -> String {
    format!(
        "no{tag} {TOKEN_NEEDED} token-needed \"begin with hello token=... and the token of this server\"\n"
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn gate() -> Gate {
        Gate::new(Token::new("correct-horse-battery").expect("a good token"))
    }

    #[test]
    fn opens_for_the_token_and_for_nothing_else() {
        let line = b"@7 hello token=correct-horse-battery\r\nstatus\n";
        assert_eq!(gate().judge(line), Verdict::Open { answer: "ok @7\n".into(), used: 38 });
        for wrong in [
            "hello token=correct-horse-batter\n",
            "hello\n",
            "stop\n",
            "\x07\n",
            "hello token=correct-horse-battery1\n",
        ] {
            assert!(matches!(gate().judge(wrong.as_bytes()), Verdict::Shut(_)), "{wrong}");
        }
    }

    #[test]
    fn waits_for_the_end_of_the_line_however_it_is_cut() {
        let mut slow = gate();
        let line = b"hello token=correct-horse-battery\n";
        for byte in &line[..line.len() - 1] {
            assert_eq!(slow.judge(&[*byte]), Verdict::Wait);
        }
        assert_eq!(slow.judge(b"\n"), Verdict::Open { answer: "ok\n".into(), used: 1 });
    }

    #[test]
    fn bad_tokens_are_told_why() {
        for bad in ["short", "has a blank in its middle", &"x".repeat(129)] {
            assert!(Token::new(bad).is_err());
        }
    }
}
