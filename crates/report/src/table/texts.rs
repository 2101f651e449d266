//! Numbers as people read them.

use super::style::TableStyle;
use units::{Angle, Instant, Span};

/// An angle in the unit that suits its size: `0.02″`, `12.3″`, `8.4′`, `1.52°`.
pub(crate) fn angle(angle: Angle, style: TableStyle) -> String {
    let size = angle.abs().arcsec();
    // The bounds are those at which the smaller unit would round to a whole larger one.
    if size < 0.995 {
        format!("{:.2}{}", unsigned_zero(angle.arcsec(), 2), style.arcsecond())
    } else if size < 59.95 {
        format!("{:.1}{}", angle.arcsec(), style.arcsecond())
    } else if size < 59.95 * 60.0 {
        format!("{:.1}{}", angle.arcmin(), style.arcminute())
    } else if size < 9.995 * 3_600.0 {
        format!("{:.2}{}", angle.degrees(), style.degree())
    } else {
        format!("{:.1}{}", angle.degrees(), style.degree())
    }
}

/// An angle in degrees whatever its size: `42.1°`.
pub(crate) fn degrees(angle: Angle, style: TableStyle) -> String {
    format!("{:.1}{}", unsigned_zero(angle.degrees(), 1), style.degree())
}

/// An angle, or a dash where there is none.
pub(crate) fn angle_or_dash(value: Option<Angle>, style: TableStyle) -> String {
    value.map_or_else(|| "-".to_owned(), |value| angle(value, style))
}

/// A length of time: `45 s`, `18.0 min`, `2.5 h`.
pub(crate) fn span(span: Span) -> String {
    let seconds = span.seconds();
    if seconds < 99.5 {
        format!("{seconds:.0} s")
    } else if seconds < 5_997.0 {
        format!("{:.1} min", span.minutes())
    } else {
        format!("{:.1} h", span.hours())
    }
}

/// The time of day of an instant, in UTC: `19:31:07`.
pub(crate) fn time_of_day(at: Instant) -> String {
    let text = crate::json::utc(at, 0);
    text.split_once('T').map_or("", |(_, time)| time.trim_end_matches('Z')).to_owned()
}

/// The day of an instant, in UTC: `2027-03-06`.
pub(crate) fn day(at: Instant) -> String {
    let text = crate::json::utc(at, 0);
    text.split_once('T').map_or("", |(day, _)| day).to_owned()
}

/// A share as per cent: `58 %`.
pub(crate) fn percent(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
}

/// A number that won't be printed as `-0.00`.
fn unsigned_zero(value: f64, decimals: i32) -> f64 {
    let half = 0.5 * units::maths::pow(10.0, -f64::from(decimals));
    if value.abs() < half { 0.0 } else { value }
}

#[cfg(test)]
mod tests {
    use super::*;

    const STYLE: TableStyle = TableStyle { colour: false, unicode: true };

    #[test]
    fn angles_change_their_unit_before_they_fill_a_larger_one() {
        for (arcsec, expected) in [
            (0.0, "0.00″"),
            (-0.004, "0.00″"),
            (0.994, "0.99″"),
            (0.996, "1.0″"),
            (59.94, "59.9″"),
            (59.96, "1.0′"),
            (3_596.0, "59.9′"),
            (3_598.0, "1.00°"),
            (-90.0, "-1.5′"),
            (36_000.0, "10.0°"),
        ] {
            assert_eq!(angle(Angle::from_arcsec(arcsec), STYLE), expected, "{arcsec}");
        }
    }

    #[test]
    fn a_little_less_than_nothing_is_nothing() {
        assert_eq!(degrees(Angle::from_degrees(-0.049), STYLE), "0.0°");
        assert_eq!(degrees(Angle::from_degrees(-0.051), STYLE), "-0.1°");
    }

    #[test]
    fn spans_change_their_unit_too() {
        assert_eq!(span(Span::from_whole_seconds(45)), "45 s");
        assert_eq!(span(Span::from_whole_seconds(18 * 60)), "18.0 min");
        assert_eq!(span(Span::from_whole_seconds(9_000)), "2.5 h");
    }
}
