//! The optional check that guards a line against a noisy cable.
//!
//! CRC-16/IBM-3740 (polynomial 1021 hexadecimal, initial value FFFF, not reflected, no final exclusive-or; the
//! catalogue of parametrised CRC algorithms gives 29B1 for the digits `123456789`), written as four upper-case
//! hexadecimal digits and compared as bytes: a lower-case digit is a damaged line.

/// What stands before the four digits, at the end of a line.
pub const CHECK_PREFIX: &str = " check=";

/// The check over the bytes of a line before its [`CHECK_PREFIX`].
pub fn crc16(bytes: &[u8]) -> u16 {
    let mut crc: u16 = 0xFFFF;
    for &byte in bytes {
        let index = usize::from((crc >> 8) as u8 ^ byte);
        crc = (crc << 8) ^ TABLE[index];
    }
    crc
}

const TABLE: [u16; 256] = table();

const fn table() -> [u16; 256] {
    let mut table = [0; 256];
    let mut index = 0;
    while index < 256 {
        let mut crc = (index as u16) << 8;
        let mut bit = 0;
        while bit < 8 {
            crc = if crc & 0x8000 != 0 { (crc << 1) ^ 0x1021 } else { crc << 1 };
            bit += 1;
        }
        table[index] = crc;
        index += 1;
    }
    table
}

/// Appends the check to a line that has none.
pub fn append(line: &mut String) {
    let crc = crc16(line.as_bytes());
    line.push_str(CHECK_PREFIX);
    for shift in [12, 8, 4, 0] {
        line.push(char::from(b"0123456789ABCDEF"[usize::from(crc >> shift) & 0xF]));
    }
}

/// What the end of a line says about its check.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Checked<'a> {
    /// No check; the whole line.
    Absent(&'a str),
    /// A check that holds; the line before it.
    Good(&'a str),
    /// A check that does not hold: the line is damaged.
    Bad,
}

/// Takes the check off a line.
pub fn take(line: &str) -> Checked<'_> {
    let Some(at) = line.rfind(CHECK_PREFIX) else {
        return Checked::Absent(line);
    };
    let (body, tail) = line.split_at(at);
    // Only the last word of a line is its check; within a text in quotes these letters mean nothing.
    if tail[CHECK_PREFIX.len()..].contains([' ', '"']) {
        return Checked::Absent(line);
    }
    let mut expected = String::with_capacity(line.len());
    expected.push_str(body);
    append(&mut expected);
    if expected.as_bytes()[at..] == *tail.as_bytes() { Checked::Good(body) } else { Checked::Bad }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_published_check_value() {
        // Catalogue of parametrised CRC algorithms, entry CRC-16/IBM-3740, field `check`.
        assert_eq!(crc16(b"123456789"), 0x29B1);
    }

    #[test]
    fn a_check_is_taken_off_or_found_bad() {
        let mut line = "@1 status".to_owned();
        append(&mut line);
        assert_eq!(take(&line), Checked::Good("@1 status"));
        assert_eq!(take("@1 status"), Checked::Absent("@1 status"));
        let lower = line.replace(|c: char| c.is_ascii_uppercase(), "a");
        assert_eq!(take(&lower), Checked::Bad);
        assert_eq!(take("status check=12"), Checked::Bad);
    }

    #[test]
    fn the_letters_of_a_check_within_a_text_are_none() {
        // A reply that repeats what it was sent, found by spoilt lines.
        for text in ["no 14 bad-value \"there is no term check=cone; look\"", "goto name=\"x check=29B1\""] {
            assert_eq!(take(text), Checked::Absent(text));
            let mut checked = text.to_owned();
            append(&mut checked);
            assert_eq!(take(&checked), Checked::Good(text));
        }
    }
}
