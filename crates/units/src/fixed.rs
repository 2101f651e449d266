//! Numbers of a fixed count of decimals, written without the general formatter's cost.

/// A number written with a fixed count of decimals, at most nine; `-0` is written as `0`.
#[derive(Clone, Copy, Debug)]
pub struct Fixed {
    /// The number; beyond ±9e9 or not finite it is written by the general formatter.
    pub value: f64,
    /// Digits after the point.
    pub decimals: u8,
}

impl Fixed {
    /// Appends it to a text.
    pub fn push_to(self, text: &mut String) {
        let decimals = usize::from(self.decimals.min(9));
        let scaled = self.value.abs() * SCALES[decimals];
        if !scaled.is_finite() || scaled >= 9e18 {
            text.push_str(&format!("{:.*}", decimals, self.value));
            return;
        }
        // Half away from zero, as `f64::round`, which is a call on processors without an instruction for it.
        let whole = scaled as u64;
        let number = whole + u64::from(scaled - whole as f64 >= 0.5);
        let mut buffer = [b'0'; BUFFER];
        let mut start = fill_digits(&mut buffer, number, decimals + 1);
        if decimals > 0 {
            let point = BUFFER - decimals;
            buffer.copy_within(start..point, start - 1);
            buffer[point - 1] = b'.';
            start -= 1;
        }
        if self.value < 0.0 && number > 0 {
            start -= 1;
            buffer[start] = b'-';
        }
        push_ascii(text, &buffer[start..]);
    }
}

const SCALES: [f64; 10] = [1.0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9];

/// Room for the 20 digits of the largest whole number, a point and a sign.
const BUFFER: usize = 22;

/// The numbers from 00 to 99, two digits each.
const PAIRS: [[u8; 2]; 100] = {
    let mut pairs = [[0; 2]; 100];
    let mut number = 0;
    while number < 100 {
        pairs[number] = [b'0' + (number / 10) as u8, b'0' + (number % 10) as u8];
        number += 1;
    }
    pairs
};

/// Appends a whole number with at least `width` digits (at most 20), leading zeros included.
pub fn push_digits(text: &mut String, number: u64, width: usize) {
    let mut buffer = [b'0'; BUFFER];
    let start = fill_digits(&mut buffer, number, width);
    push_ascii(text, &buffer[start..]);
}

/// Writes a whole number at the end of a buffer full of zeros; gives where it begins, with at least `width` digits.
fn fill_digits(buffer: &mut [u8; BUFFER], mut number: u64, width: usize) -> usize {
    let mut start = BUFFER;
    while number >= 10 {
        start -= 2;
        buffer[start..start + 2].copy_from_slice(&PAIRS[(number % 100) as usize]);
        number /= 100;
    }
    if number > 0 {
        start -= 1;
        buffer[start] = b'0' + number as u8;
    }
    start.min(BUFFER - width)
}

fn push_ascii(text: &mut String, digits: &[u8]) {
    text.push_str(std::str::from_utf8(digits).expect("digits, a point and a sign are ASCII"));
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn text(value: f64, decimals: u8) -> String {
        let mut text = String::new();
        Fixed { value, decimals }.push_to(&mut text);
        text
    }

    #[test]
    fn signs_zeros_and_extremes() {
        assert_eq!(text(-0.0, 2), "0.00");
        assert_eq!(text(-0.001, 2), "0.00");
        assert_eq!(text(-12.345_678, 4), "-12.3457");
        assert_eq!(text(7.0, 0), "7");
        assert_eq!(text(0.0, 0), "0");
        assert_eq!(text(0.5, 0), "1");
        assert_eq!(text(0.499_999_999_999_999_94, 0), "0");
        assert_eq!(text(-1_099.995_117_187_5, 9), "-1099.995117188");
        assert_eq!(text(-8.9e18, 0), "-8900000000000000000");
        assert_eq!(text(f64::NAN, 3), "NaN");
        assert_eq!(text(1e300, 0), format!("{:.0}", 1e300));
    }

    #[test]
    fn digits_fill_their_width() {
        for (number, width, expected) in
            [(0, 1, "0"), (0, 3, "000"), (7, 2, "07"), (10, 1, "10"), (100, 1, "100"), (205, 6, "000205")]
        {
            let mut text = String::new();
            push_digits(&mut text, number, width);
            assert_eq!(text, expected);
        }
        let mut text = String::new();
        push_digits(&mut text, u64::MAX, 20);
        assert_eq!(text, u64::MAX.to_string());
    }

    proptest! {
        #[test]
        fn it_is_within_half_a_digit(value in -1e6..1e6f64, decimals in 0u8..=8) {
            let read: f64 = text(value, decimals).parse().unwrap();
            let half = 0.5 / 10_u64.pow(u32::from(decimals)) as f64;
            // A relative 1e-15 for the two roundings of the reading and the scaling.
            prop_assert!((read - value).abs() <= half * (1.0 + 1e-6) + value.abs() * 1e-15);
        }
    }
}
