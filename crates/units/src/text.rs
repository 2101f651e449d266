//! The units of each quantity, and the sexagesimal forms of angles.

use crate::quantity::{Quantity, QuantityError, finite, shortened};
use crate::{
    Angle, AngularAcceleration, AngularJerk, AngularRate, Frequency, Length, PartsPerMillion, Pressure,
    Share, Span, Speed, Stiffness, Temperature, Torque,
};

const DEGREE: f64 = std::f64::consts::PI / 180.0;
const ARCMINUTE: f64 = DEGREE / 60.0;
const ARCSECOND: f64 = DEGREE / 3600.0;

/// Gives a newtype over SI its units.
macro_rules! quantity {
    ($type:ident, $name:literal, $example:literal, $($unit:literal = $factor:expr),+) => {
        impl Quantity for $type {
            const NAME: &'static str = $name;
            const EXAMPLE: &'static str = $example;
            const UNITS: &'static [(&'static str, f64)] = &[$(($unit, $factor)),+];

            fn from_inner(value: f64) -> Self {
                Self(value)
            }

            fn inner(self) -> f64 {
                self.0
            }
        }
    };
}

quantity!(
    AngularRate,
    "a rate of turning",
    "3 deg/s",
    "deg/s" = DEGREE,
    "arcmin/s" = ARCMINUTE,
    "arcsec/s" = ARCSECOND,
    "arcsec/min" = ARCSECOND / 60.0,
    "rad/s" = 1.0,
    "x" = AngularRate::SIDEREAL.0
);
quantity!(
    AngularAcceleration,
    "an angular acceleration",
    "2 deg/s2",
    "deg/s2" = DEGREE,
    "arcsec/s2" = ARCSECOND,
    "rad/s2" = 1.0
);
quantity!(
    AngularJerk,
    "an angular jerk",
    "6 deg/s3",
    "deg/s3" = DEGREE,
    "arcsec/s3" = ARCSECOND,
    "rad/s3" = 1.0
);
quantity!(Length, "a length", "150 mm", "m" = 1.0, "mm" = 1e-3, "cm" = 1e-2, "um" = 1e-6, "km" = 1e3);
quantity!(Torque, "a torque", "0.6 N m", "N m" = 1.0, "mN m" = 1e-3);
quantity!(Stiffness, "a torsional stiffness", "2000 N m/rad", "N m/rad" = 1.0);
quantity!(Pressure, "an air pressure", "965 hPa", "hPa" = 100.0, "mbar" = 100.0, "kPa" = 1000.0, "Pa" = 1.0);
quantity!(Speed, "a speed", "5 m/s", "m/s" = 1.0, "km/h" = 1.0 / 3.6);
quantity!(Frequency, "a frequency", "4.5 Hz", "Hz" = 1.0);
quantity!(Share, "a share", "75 %", "%" = 0.01);
quantity!(PartsPerMillion, "a relative clock error", "10 ppm", "ppm" = 1e-6, "s/d" = 1.0 / 86_400.0);

impl Quantity for Span {
    const NAME: &'static str = "a length of time";
    const EXAMPLE: &'static str = "45 s";
    const UNITS: &'static [(&'static str, f64)] =
        &[("s", 1e9), ("min", 60e9), ("h", 3600e9), ("d", 86_400e9), ("ms", 1e6), ("us", 1e3), ("ns", 1.0)];

    fn from_inner(value: f64) -> Self {
        // Nanoseconds: a cast saturates at 292 years.
        Self::from_nanoseconds(crate::maths::round(value) as i64)
    }

    fn inner(self) -> f64 {
        self.nanoseconds() as f64
    }
}

impl Quantity for Temperature {
    const NAME: &'static str = "a temperature";
    const EXAMPLE: &'static str = "9 degC";
    const UNITS: &'static [(&'static str, f64)] = &[("degC", 1.0)];

    fn from_inner(value: f64) -> Self {
        Self::from_celsius(value)
    }

    fn inner(self) -> f64 {
        self.celsius()
    }
}

impl Quantity for Angle {
    const NAME: &'static str = "an angle";
    const EXAMPLE: &'static str = "40.5 deg";
    const UNITS: &'static [(&'static str, f64)] =
        &[("deg", DEGREE), ("arcmin", ARCMINUTE), ("arcsec", ARCSECOND), ("rad", 1.0), ("h", 15.0 * DEGREE)];

    fn from_inner(value: f64) -> Self {
        Self(value)
    }

    fn inner(self) -> f64 {
        self.0
    }

    /// Beside a decimal with its unit, an angle may be written in parts: `-5d23m28s` (degrees, arcminutes,
    /// arcseconds) or `5h35m17.3s` (hours of 15°, minutes and seconds of them); seconds may be left out.
    fn parse(text: &str) -> Result<Self, QuantityError> {
        match parts(text) {
            Some(result) => result.and_then(|value| finite::<Self>(value, text)).map(Self),
            None => Plain::parse(text).map(|plain| Self(plain.0)),
        }
    }
}

/// An angle without the sexagesimal forms: it only lends its messages.
#[derive(Clone, Copy)]
struct Plain(f64);

impl Quantity for Plain {
    const NAME: &'static str = Angle::NAME;
    const EXAMPLE: &'static str = Angle::EXAMPLE;
    const UNITS: &'static [(&'static str, f64)] = Angle::UNITS;

    fn from_inner(value: f64) -> Self {
        Self(value)
    }

    fn inner(self) -> f64 {
        self.0
    }
}

/// Reads `[sign] whole (d|h) minutes m [seconds s]` in radians; `None` if the text isn't of that form at all.
fn parts(text: &str) -> Option<Result<f64, QuantityError>> {
    let start = text.len() - text.trim_start().len();
    let body = text.trim();
    let (negative, signed) = match body.as_bytes().first()? {
        b'-' => (true, 1),
        b'+' => (false, 1),
        _ => (false, 0),
    };
    let letter = signed + body[signed..].find(|c: char| !c.is_ascii_digit())?;
    let unit = match body.as_bytes()[letter] {
        b'd' if body.as_bytes().get(letter + 1).is_none_or(|&b| b != b'e') => DEGREE,
        b'h' => 15.0 * DEGREE,
        _ => return None,
    };
    if letter == signed || letter + 1 == body.len() {
        return None;
    }
    let whole: f64 = body[signed..letter].parse().ok()?;
    let rest = &body[letter + 1..];
    Some(minutes_and_seconds(rest, start + letter + 1).map(|parts| {
        let size = (whole + parts / 3600.0) * unit;
        if negative { -size } else { size }
    }))
}

/// Reads `minutes m [seconds s]` as seconds; `offset` is its place in the whole text.
fn minutes_and_seconds(rest: &str, offset: usize) -> Result<f64, QuantityError> {
    let wrong = |span: std::ops::Range<usize>, problem: String| QuantityError {
        span,
        problem,
        remedy: "write `5h35m17.3s` or `-5d23m28s`, minutes and seconds below 60".to_owned(),
    };
    let Some(m) = rest.find('m') else {
        return Err(wrong(offset..offset + rest.len(), format!("`{}` lacks its minutes", shortened(rest))));
    };
    let minutes = sixtieth(&rest[..m], false).ok_or_else(|| {
        wrong(offset..offset + m, format!("`{}` is no number of minutes", shortened(&rest[..m])))
    })?;
    let tail = &rest[m + 1..];
    if tail.is_empty() {
        return Ok(minutes * 60.0);
    }
    let place = offset + m + 1..offset + rest.len();
    let seconds = tail
        .strip_suffix('s')
        .and_then(|digits| sixtieth(digits, true))
        .ok_or_else(|| wrong(place, format!("`{}` is no number of seconds", shortened(tail))))?;
    Ok(minutes * 60.0 + seconds)
}

/// An unsigned number below 60 (a fraction only where `fraction` allows it).
fn sixtieth(text: &str, fraction: bool) -> Option<f64> {
    let allowed = |b: u8| b.is_ascii_digit() || (fraction && b == b'.');
    if text.is_empty() || !text.bytes().all(allowed) {
        return None;
    }
    text.parse().ok().filter(|value: &f64| *value < 60.0)
}

impl Angle {
    /// As `5h35m17.3s`, with `decimals` digits after the point of seconds; wrapped to [0 h, 24 h).
    pub fn as_hours_text(self, decimals: usize) -> String {
        let (sign, whole, minutes, seconds) = split_sexagesimal(self.wrapped_positive().hours(), decimals);
        let whole = if whole == 24 { 0 } else { whole };
        format!("{sign}{whole}h{minutes:02}m{seconds}s")
    }

    /// As `-5d23m28s`, with `decimals` digits after the point of seconds.
    pub fn as_degrees_text(self, decimals: usize) -> String {
        let (sign, whole, minutes, seconds) = split_sexagesimal(self.degrees(), decimals);
        format!("{sign}{whole}d{minutes:02}m{seconds}s")
    }
}

/// Splits into sign, whole, sixtieths and the text of the last part, rounding once so that no `60` appears.
fn split_sexagesimal(value: f64, decimals: usize) -> (&'static str, i64, i64, String) {
    let decimals = decimals.min(9);
    let scale = 10_i64.pow(decimals as u32);
    let total = crate::maths::round(value.abs() * 3600.0 * scale as f64) as i64;
    let seconds_scaled = total % (60 * scale);
    let minutes_total = total / (60 * scale);
    let seconds = if decimals == 0 {
        format!("{seconds_scaled:02}")
    } else {
        format!("{:02}.{:0decimals$}", seconds_scaled / scale, seconds_scaled % scale)
    };
    let sign = if value < 0.0 && total > 0 { "-" } else { "" };
    (sign, minutes_total / 60, minutes_total % 60, seconds)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[track_caller]
    fn check_angle(text: &str, degrees: f64) {
        let angle = Angle::parse(text).unwrap_or_else(|error| panic!("{text}: {error}"));
        assert!((angle.degrees() - degrees).abs() < 1e-12, "{text}: {}", angle.degrees());
    }

    #[track_caller]
    fn check_refused<Q: Quantity + std::fmt::Debug>(text: &str, pointed_at: &str, message: &str) {
        let error = Q::parse(text).unwrap_err();
        assert_eq!(&text[error.span.clone()], pointed_at, "{error}");
        assert_eq!(error.to_string(), message);
    }

    #[test]
    fn angles_in_all_their_forms() {
        check_angle("40.5 deg", 40.5);
        check_angle("-4.5deg", -4.5);
        check_angle(" +4 arcmin ", 4.0 / 60.0);
        check_angle("3600arcsec", 1.0);
        check_angle("5h35m17.3s", (5.0 + 35.0 / 60.0 + 17.3 / 3600.0) * 15.0);
        check_angle("-5d23m28s", -(5.0 + 23.0 / 60.0 + 28.0 / 3600.0));
        check_angle("-0d30m", -0.5);
        check_angle("6h", 90.0);
        check_angle("1e1 deg", 10.0);
    }

    #[test]
    fn a_mistake_is_pointed_at() {
        check_refused::<Angle>(
            "40.5",
            "40.5",
            "`40.5` has no unit; write an angle with its unit, such as `40.5 deg`",
        );
        check_refused::<Angle>("4 arcsecs", "arcsecs", "unknown unit `arcsecs`; did you mean `arcsec`?");
        check_refused::<Angle>(
            "NaN deg",
            "NaN deg",
            "`NaN deg` is not an angle; write a number with its unit, such as `40.5 deg`",
        );
        check_refused::<Angle>(
            "5h75m",
            "75",
            "`75` is no number of minutes; write `5h35m17.3s` or `-5d23m28s`, minutes and seconds below 60",
        );
        check_refused::<Angle>(
            "",
            "",
            "an angle is missing; write a number with its unit, such as `40.5 deg`",
        );
        check_refused::<Torque>("0.6 Nmm", "Nmm", "unknown unit `Nmm`; did you mean `N m`?");
        check_refused::<Span>(
            "5 parsec",
            "parsec",
            "unknown unit `parsec`; a length of time is written with `s`, `min`, `h`, `d`, `ms`, `us` or `ns`",
        );
        check_refused::<Length>(
            "1e999 m",
            "1e999 m",
            "`1e999 m` is too large a number; write a length such as `150 mm`",
        );
    }

    #[test]
    fn every_quantity_reads_its_own_example_and_units() {
        fn each<Q: Quantity>() {
            Q::parse(Q::EXAMPLE).unwrap();
            for (unit, factor) in Q::UNITS {
                let read = Q::parse(&format!("2 {unit}")).unwrap();
                assert!((read.inner() - 2.0 * factor).abs() <= 1e-15 * factor.abs(), "{unit}");
            }
        }
        each::<Angle>();
        each::<AngularRate>();
        each::<AngularAcceleration>();
        each::<AngularJerk>();
        each::<Length>();
        each::<Torque>();
        each::<Stiffness>();
        each::<Pressure>();
        each::<Temperature>();
        each::<Speed>();
        each::<Frequency>();
        each::<Share>();
        each::<PartsPerMillion>();
        each::<Span>();
    }

    #[test]
    fn sexagesimal_texts_never_show_sixty() {
        assert_eq!(Angle::from_degrees(-0.999_999_99).as_degrees_text(1), "-1d00m00.0s");
        assert_eq!(Angle::from_hours(23.999_999_99).as_hours_text(1), "0h00m00.0s");
        assert_eq!(Angle::from_degrees(-5.391_111_11).as_degrees_text(0), "-5d23m28s");
        assert_eq!(Angle::from_degrees(-1e-9).as_degrees_text(0), "0d00m00s");
    }

    proptest! {
        #[test]
        fn a_printed_angle_reads_back_to_the_bit(radians in -10.0..10.0f64) {
            let angle = Angle::from_radians(radians);
            prop_assert_eq!(Angle::parse(&angle.text_in("deg")).unwrap(), angle);
        }

        #[test]
        fn a_printed_span_reads_back(ns in -1_000_000_000_000_000i64..1_000_000_000_000_000) {
            let span = Span::from_nanoseconds(ns);
            prop_assert_eq!(Span::parse(&span.text_in("s")).unwrap(), span);
        }

        #[test]
        fn no_text_panics(text in "\\PC{0,24}") {
            let _ = Angle::parse(&text);
            let _ = Span::parse(&text);
            let _ = Torque::parse(&text);
        }
    }
}
