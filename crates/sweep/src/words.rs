//! Figures in words.

use units::Fixed;

/// An angle in arcsec, in the unit that suits its size.
pub(crate) fn angle(arcsec: f64) -> String {
    match arcsec.abs() {
        size if size < 99.95 => format!("{arcsec:.1}″"),
        size if size < 5_997.0 => format!("{:.1}′", arcsec / 60.0),
        _ => format!("{:.2}°", arcsec / 3600.0),
    }
}

/// A share from 0 to 1 in per cent, finer where it is near its ends.
pub(crate) fn percent(share: f64) -> String {
    let percent = 100.0 * share;
    if percent > 1.0 && percent < 99.0 { format!("{percent:.0} %") } else { format!("{percent:.1} %") }
}

/// `1 night`, `12 nights`.
pub(crate) fn times(count: u64, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}

/// A number of so many decimals as JSON has it: the same digits on every machine.
pub(crate) fn rounded(value: f64, decimals: u8) -> serde_json::Value {
    if !value.is_finite() {
        return serde_json::Value::Null;
    }
    let mut text = String::new();
    Fixed { value, decimals }.push_to(&mut text);
    text.parse::<f64>().ok().filter(|value| value.is_finite()).map_or(serde_json::Value::Null, Into::into)
}
