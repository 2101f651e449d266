//! `nights.parquet`: a row for each night of each case, for data frames.

use crate::about::About;
use crate::row::{CaseRow, NOTHING, NightRow};
use parquet::basic::Compression;
use parquet::data_type::{ByteArray, ByteArrayType, DataType, DoubleType, Int32Type, Int64Type};
use parquet::errors::ParquetError;
use parquet::file::metadata::KeyValue;
use parquet::file::properties::{EnabledStatistics, WriterProperties};
use parquet::file::writer::{SerializedFileWriter, SerializedRowGroupWriter};
use parquet::schema::parser::parse_message_type;
use std::io::Write;
use std::sync::Arc;

/// The frame could not be written on.
#[derive(Debug, thiserror::Error)]
#[error("{0}")]
pub struct FrameError(#[from] ParquetError);

/// Rows of one group: as many are held at once. Of each group its metadata stay in memory until the frame's end, so that
/// fewer rows would take more memory again for many nights.
const GROUP: usize = 2048;

/// Writes the frame row by row; the rows of a night stand together, nights by their numbers, cases in their order.
pub struct FrameWriter<W: Write + Send> {
    writer: SerializedFileWriter<W>,
    labels: Vec<ByteArray>,
    numbers: Vec<i64>,
    cases: Vec<u16>,
    counts: [Vec<i32>; COUNTS.len()],
    /// The figures, then the inputs.
    values: Vec<Values>,
}

impl<W: Write + Send> FrameWriter<W> {
    /// Begins a frame. Its metadata says which sweep it is of and has `unit.COLUMN` for each column with a unit.
    ///
    /// # Errors
    /// What kept the first bytes from being written.
    pub fn new(about: &About, to: W) -> Result<Self, FrameError> {
        let schema = Arc::new(parse_message_type(&message(about))?);
        let builder = WriterProperties::builder()
            .set_compression(Compression::SNAPPY)
            .set_created_by(format!("nightbench version {}", env!("CARGO_PKG_VERSION")))
            // A range of nights is found by their numbers; of other columns the extremes would only take memory.
            .set_statistics_enabled(EnabledStatistics::None)
            .set_column_statistics_enabled("night".into(), EnabledStatistics::Chunk)
            .set_offset_index_disabled(true)
            .set_key_value_metadata(Some(metadata(about)));
        // Hardly a number comes twice there, so that a dictionary would only be in the way.
        let properties = value_columns(about)
            .fold(builder, |builder, name| builder.set_column_dictionary_enabled(name.into(), false))
            .build();
        Ok(Self {
            writer: SerializedFileWriter::new(to, schema, Arc::new(properties))?,
            labels: about.cases.iter().map(|case| ByteArray::from(case.label.as_str())).collect(),
            numbers: Vec::new(),
            cases: Vec::new(),
            counts: Default::default(),
            values: vec![Values::default(); FIGURES.len() + about.inputs.len()],
        })
    }

    /// Adds a night.
    ///
    /// # Errors
    /// What kept it from being written.
    pub fn add(&mut self, row: &NightRow) -> Result<(), FrameError> {
        for (place, case) in (0..).zip(&row.cases) {
            self.numbers.push(row.number as i64);
            self.cases.push(place);
            for (column, (_, count)) in self.counts.iter_mut().zip(COUNTS) {
                column.push(count(case) as i32);
            }
            let figures = FIGURES.iter().map(|(_, _, figure)| figure(case));
            let inputs = row.inputs.iter().map(|value| Some(*value).filter(|value| value.is_finite()));
            for (column, value) in self.values.iter_mut().zip(figures.chain(inputs)) {
                column.push(value);
            }
        }
        if self.numbers.len() >= GROUP {
            self.flush()?;
        }
        Ok(())
    }

    /// Ends the frame and gives back what it was written to.
    ///
    /// # Errors
    /// What kept the rest from being written.
    pub fn finish(mut self) -> Result<W, FrameError> {
        if !self.numbers.is_empty() {
            self.flush()?;
        }
        Ok(self.writer.into_inner()?)
    }

    fn flush(&mut self) -> Result<(), ParquetError> {
        let mut group = self.writer.next_row_group()?;
        written::<Int64Type>(&mut group, &self.numbers, None)?;
        let labels: Vec<ByteArray> =
            self.cases.iter().map(|case| self.labels[usize::from(*case)].clone()).collect();
        written::<ByteArrayType>(&mut group, &labels, None)?;
        drop(labels);
        for counts in &mut self.counts {
            written::<Int32Type>(&mut group, counts, None)?;
            counts.clear();
        }
        for Values { there, levels } in &mut self.values {
            written::<DoubleType>(&mut group, there, Some(levels))?;
            there.clear();
            levels.clear();
        }
        group.close()?;
        self.numbers.clear();
        self.cases.clear();
        Ok(())
    }
}

/// A column some of whose values are missing.
#[derive(Clone, Debug, Default)]
struct Values {
    there: Vec<f64>,
    /// 1 where a value is there, 0 where none is.
    levels: Vec<i16>,
}

impl Values {
    fn push(&mut self, value: Option<f64>) {
        self.levels.push(i16::from(value.is_some()));
        self.there.extend(value);
    }
}

/// A count of a night: name, value.
type Count = (&'static str, fn(&CaseRow) -> u32);

/// `played` is 1 or 0.
const COUNTS: [Count; 9] = [
    ("played", |case| u32::from(case.played)),
    ("targets", |case| case.targets),
    ("in_field", |case| case.in_field),
    ("refused", |case| case.refused),
    ("unreachable", |case| case.unreachable),
    ("night_over", |case| case.night_over),
    ("slews", |case| case.slews),
    ("presses", |case| case.presses),
    ("visitors_served", |case| case.visitors),
];

/// Figures of a night: name, unit, value.
type Figure = (&'static str, &'static str, fn(&CaseRow) -> Option<f64>);

const FIGURES: [Figure; 10] = [
    ("miss_median_arcsec", "arcsec", |case| figure(case.misses_of_night[0])),
    ("miss_p68_arcsec", "arcsec", |case| figure(case.misses_of_night[1])),
    ("miss_p95_arcsec", "arcsec", |case| figure(case.misses_of_night[2])),
    ("miss_rms_arcsec", "arcsec", |case| figure(case.misses_of_night[3])),
    ("tracking_rms_arcsec", "arcsec", |case| figure(case.tracking[0])),
    ("tracking_peak_to_peak_arcsec", "arcsec", |case| figure(case.tracking[1])),
    ("drift_median_arcsec_per_min", "arcsec/min", |case| figure(case.tracking[2])),
    ("setting_up_seconds", "s", |case| Some(case.time[0] as f64 / 1000.0)),
    ("alignment_seconds", "s", |case| Some(case.time[1] as f64 / 1000.0)),
    ("evening_seconds", "s", |case| Some(case.time[2] as f64 / 1000.0)),
];

fn figure(ten_thousandths: i64) -> Option<f64> {
    (ten_thousandths != NOTHING).then_some(ten_thousandths as f64 / 1e4)
}

fn message(about: &About) -> String {
    let mut text = "message nights { REQUIRED INT64 night; REQUIRED BYTE_ARRAY case (STRING);".to_owned();
    for (name, _) in COUNTS {
        text += &format!(" REQUIRED INT32 {name};");
    }
    for name in value_columns(about) {
        text += &format!(" OPTIONAL DOUBLE {name};");
    }
    text + " }"
}

/// Figures and inputs.
fn value_columns(about: &About) -> impl Iterator<Item = String> {
    let inputs = about.inputs.iter().map(|(key, _)| column_of(key));
    FIGURES.iter().map(|(name, ..)| (*name).to_owned()).chain(inputs)
}

/// A key as a column: `setup.finder_offset[0]` is `setup_finder_offset_0`.
fn column_of(key: &str) -> String {
    let mut name = String::with_capacity(key.len());
    for c in key.chars() {
        match c {
            c if c.is_ascii_alphanumeric() || c == '_' => name.push(c),
            ']' => {}
            _ => name.push('_'),
        }
    }
    name
}

fn metadata(about: &About) -> Vec<KeyValue> {
    let pair = |key: String, value: &str| KeyValue::new(key, value.to_owned());
    let mut pairs = vec![
        pair("title".to_owned(), &report::harmless(&about.title)),
        pair("plan_digest".to_owned(), &about.digest),
        pair("version".to_owned(), &about.version),
        pair("maths_fingerprint".to_owned(), &about.maths_fingerprint),
    ];
    pairs.extend(FIGURES.iter().map(|(name, unit, _)| pair(format!("unit.{name}"), unit)));
    let with_unit = about.inputs.iter().filter(|(_, unit)| !unit.is_empty());
    pairs.extend(with_unit.map(|(key, unit)| pair(format!("unit.{}", column_of(key)), unit)));
    pairs
}

fn written<T: DataType>(
    group: &mut SerializedRowGroupWriter<'_, impl Write + Send>,
    values: &[T::T],
    levels: Option<&[i16]>,
) -> Result<(), ParquetError> {
    let Some(mut column) = group.next_column()? else {
        return Err(ParquetError::General("the schema has fewer columns than are written".to_owned()));
    };
    column.typed::<T>().write_batch(values, levels, None)?;
    column.close()
}
