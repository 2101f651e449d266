//! `samples.parquet`: the samples of the dwells for data frames, with types and units.

use crate::escape::harmless;
use crate::json::{SECOND_DECIMALS, utc};
use crate::samples::minute_of;
use bench::{MountKind, Outcome, Sample};
use parquet::basic::Compression;
use parquet::data_type::{ByteArray, ByteArrayType, DataType, DoubleType, Int32Type, Int64Type};
use parquet::errors::ParquetError;
use parquet::file::metadata::KeyValue;
use parquet::file::properties::{EnabledStatistics, WriterProperties};
use parquet::file::writer::{SerializedFileWriter, SerializedRowGroupWriter};
use parquet::schema::parser::parse_message_type;
use parquet::schema::types::ColumnPath;
use std::sync::Arc;
use units::{Angle, Instant};

/// The column of targets repeats few names, so it is written as a dictionary.
const TARGET: &str = "target";

/// The bytes of `samples.parquet` (Apache Parquet): the columns and the figures of `samples.csv`.
///
/// `dwell` is an INT32, `target` a string, `utc` a timestamp in microseconds of UTC (Unix time: a leap second shares the
/// number of the second after it), all others are doubles, rounded as they are printed. The file's metadata holds
/// `unit.COLUMN` for each column that has a unit, and which night it is.
pub fn samples_parquet(outcome: &Outcome) -> Vec<u8> {
    written(outcome).expect("writing good columns into memory can't fail")
}

fn written(outcome: &Outcome) -> Result<Vec<u8>, ParquetError> {
    let columns = columns(outcome.kind);
    let mut message = "message samples { REQUIRED INT32 dwell; REQUIRED BYTE_ARRAY target (STRING); \
                       REQUIRED INT64 utc (TIMESTAMP(MICROS,true));"
        .to_owned();
    for column in &columns {
        message.push_str(&format!(" REQUIRED DOUBLE {};", column.name));
    }
    message.push('}');
    let schema = Arc::new(parse_message_type(&message)?);
    let properties = WriterProperties::builder()
        .set_compression(Compression::SNAPPY)
        .set_created_by(format!("nightbench version {}", env!("CARGO_PKG_VERSION")))
        .set_dictionary_enabled(false)
        .set_statistics_enabled(EnabledStatistics::Chunk)
        .set_column_dictionary_enabled(ColumnPath::from(TARGET), true)
        .set_key_value_metadata(Some(metadata(outcome, &columns)))
        .build();
    let mut writer = SerializedFileWriter::new(Vec::new(), schema, Arc::new(properties))?;
    let mut group = writer.next_row_group()?;
    fill(&mut group, outcome, &columns)?;
    group.close()?;
    writer.into_inner()
}

fn fill(
    group: &mut SerializedRowGroupWriter<'_, Vec<u8>>,
    outcome: &Outcome,
    columns: &[Column],
) -> Result<(), ParquetError> {
    let samples = &outcome.samples;
    let dwells: Vec<i32> = samples.iter().map(|sample| sample.dwell as i32).collect();
    column::<Int32Type>(group, &dwells)?;
    let names: Vec<ByteArray> =
        outcome.dwells.iter().map(|dwell| ByteArray::from(harmless(&dwell.target).as_ref())).collect();
    let targets: Vec<ByteArray> = samples.iter().map(|sample| names[sample.dwell].clone()).collect();
    column::<ByteArrayType>(group, &targets)?;
    let mut clock = UnixClock::default();
    let instants: Vec<i64> = samples.iter().map(|sample| clock.micros(sample.at)).collect();
    column::<Int64Type>(group, &instants)?;
    let mut values = Vec::with_capacity(samples.len());
    for one in columns {
        values.clear();
        values.extend(samples.iter().map(|sample| one.value(sample)));
        column::<DoubleType>(group, &values)?;
    }
    Ok(())
}

fn column<T: DataType>(
    group: &mut SerializedRowGroupWriter<'_, Vec<u8>>,
    values: &[T::T],
) -> Result<(), ParquetError> {
    let mut writer = group.next_column()?.expect("the schema has as many columns as are written");
    writer.typed::<T>().write_batch(values, None, None)?;
    writer.close()
}

/// One column of angles.
struct Column {
    name: String,
    /// Printed in arcseconds, or else in degrees.
    arcsec: bool,
    angle: fn(&Sample) -> Angle,
}

impl Column {
    fn value(&self, sample: &Sample) -> f64 {
        let angle = (self.angle)(sample);
        // Powers of ten to this size are exact, so the quotient is the double that the printed decimals read as.
        const DEGREES: f64 = 1e8;
        const ARCSECONDS: f64 = 1e4;
        if self.arcsec {
            units::maths::round(angle.arcsec() * ARCSECONDS) / ARCSECONDS
        } else {
            units::maths::round(angle.degrees() * DEGREES) / DEGREES
        }
    }

    const fn unit(&self) -> &'static str {
        if self.arcsec { "arcsec" } else { "deg" }
    }
}

fn columns(kind: MountKind) -> Vec<Column> {
    let (first, second) = kind.axis_words();
    let column = |name: String, angle| Column { arcsec: name.ends_with("_arcsec"), name, angle };
    vec![
        column("target_azimuth_deg".to_owned(), |sample: &Sample| sample.target.0),
        column("target_altitude_deg".to_owned(), |sample| sample.target.1),
        column("boresight_azimuth_deg".to_owned(), |sample| sample.boresight.0),
        column("boresight_altitude_deg".to_owned(), |sample| sample.boresight.1),
        column("error_east_arcsec".to_owned(), |sample| sample.error_east),
        column("error_north_arcsec".to_owned(), |sample| sample.error_north),
        column(format!("{first}_dial_deg"), |sample| sample.dials.0),
        column(format!("{second}_dial_deg"), |sample| sample.dials.1),
        column(format!("{first}_axis_deg"), |sample| sample.axes.0),
        column(format!("{second}_axis_deg"), |sample| sample.axes.1),
    ]
}

fn metadata(outcome: &Outcome, columns: &[Column]) -> Vec<KeyValue> {
    let pair = |key: &str, value: String| KeyValue::new(key.to_owned(), value);
    let mut pairs = vec![
        pair("title", harmless(&outcome.title).into_owned()),
        pair("seed", outcome.seed.to_string()),
        pair("scenario_digest", outcome.scenario_digest.clone()),
        pair("version", env!("CARGO_PKG_VERSION").to_owned()),
        pair("maths_fingerprint", outcome.maths_fingerprint.clone()),
    ];
    pairs.extend(
        columns.iter().map(|column| pair(&format!("unit.{}", column.name), column.unit().to_owned())),
    );
    pairs
}

/// Unix time of instants that follow each other closely: the calendar is asked once a minute.
#[derive(Default)]
struct UnixClock {
    /// The instant at which the minute began, and its Unix time in microseconds.
    minute: Option<(Instant, i64)>,
}

impl UnixClock {
    fn micros(&mut self, at: Instant) -> i64 {
        const MINUTE: i64 = 60_000_000;
        let since = |begin: Instant| (at.since(begin).nanoseconds() + 500).div_euclid(1_000);
        match self.minute {
            Some((begin, unix)) if (0..MINUTE).contains(&since(begin)) => unix + since(begin),
            _ => {
                let text = utc(at, SECOND_DECIMALS);
                let (begin, prefix) = minute_of(at, &text).expect("civil time has a minute");
                let unix = unix_seconds(&prefix).expect("civil time has a date") * 1_000_000;
                self.minute = Some((begin, unix));
                unix + since(begin)
            }
        }
    }
}

/// Unix time of a minute such as `2027-03-06T19:30:`; days from the civil date by counting years from March, so that the
/// leap day is a year's last.
fn unix_seconds(minute: &str) -> Option<i64> {
    let mut parts = minute.split(['-', 'T', ':']).map(|part| part.parse::<i64>());
    let mut next = || parts.next()?.ok();
    let (year, month, day, hour, minutes) = (next()?, next()?, next()?, next()?, next()?);
    let year = if month <= 2 { year - 1 } else { year };
    let day_of_year = (153 * ((month + 9) % 12) + 2) / 5 + day - 1;
    let days = year * 365 + year / 4 - year / 100 + year / 400 + day_of_year - 719_468;
    Some(days * 86_400 + hour * 3_600 + minutes * 60)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn unix_time_of_civil_minutes() {
        // The epoch itself, POSIX.1's 2001-09-09T01:46:40 = 10⁹ s, and the day after a leap day.
        assert_eq!(unix_seconds("1970-01-01T00:00:"), Some(0));
        assert_eq!(unix_seconds("2001-09-09T01:46:"), Some(1_000_000_000 - 40));
        assert_eq!(
            unix_seconds("2000-03-01T00:00:").unwrap() - unix_seconds("2000-02-28T00:00:").unwrap(),
            2 * 86_400
        );
    }
}
