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
        let decimals = self.decimals.min(9);
        let scale = 10_u64.pow(u32::from(decimals));
        let scaled = (self.value.abs() * scale as f64).round();
        if !scaled.is_finite() || scaled >= 9e18 {
            text.push_str(&format!("{:.*}", usize::from(decimals), self.value));
            return;
        }
        let scaled = scaled as u64;
        if self.value < 0.0 && scaled > 0 {
            text.push('-');
        }
        push_digits(text, scaled / scale, 1);
        if decimals > 0 {
            text.push('.');
            push_digits(text, scaled % scale, usize::from(decimals));
        }
    }
}

/// Appends a whole number with at least `width` digits (at most 20), leading zeros included.
pub fn push_digits(text: &mut String, mut number: u64, width: usize) {
    let mut digits = [b'0'; 20];
    let mut start = digits.len();
    while number > 0 || digits.len() - start < width {
        start -= 1;
        digits[start] = b'0' + (number % 10) as u8;
        number /= 10;
    }
    for &digit in &digits[start..] {
        text.push(char::from(digit));
    }
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
        assert_eq!(text(f64::NAN, 3), "NaN");
        assert_eq!(text(1e300, 0), format!("{:.0}", 1e300));
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
