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

/// Rows of one group: as many are held at once.
const GROUP: usize = 4096;

/// Writes the frame row by row; the rows of a night stand together, nights by their numbers, cases in their order.
pub struct FrameWriter<W: Write + Send> {
    writer: SerializedFileWriter<W>,
    cases: Vec<ByteArray>,
    inputs: usize,
    held: Vec<NightRow>,
}

impl<W: Write + Send> FrameWriter<W> {
    /// Begins a frame. Its metadata says which sweep it is of and has `unit.COLUMN` for each column with a unit.
    ///
    /// # Errors
    /// What kept the first bytes from being written.
    pub fn new(about: &About, to: W) -> Result<Self, FrameError> {
        let schema = Arc::new(parse_message_type(&message(about))?);
        let properties = WriterProperties::builder()
            .set_compression(Compression::SNAPPY)
            .set_created_by(format!("nightbench version {}", env!("CARGO_PKG_VERSION")))
            .set_statistics_enabled(EnabledStatistics::Chunk)
            .set_key_value_metadata(Some(metadata(about)))
            .build();
        Ok(Self {
            writer: SerializedFileWriter::new(to, schema, Arc::new(properties))?,
            cases: about.cases.iter().map(|case| ByteArray::from(case.label.as_str())).collect(),
            inputs: about.inputs.len(),
            held: Vec::new(),
        })
    }

    /// Adds a night.
    ///
    /// # Errors
    /// What kept it from being written.
    pub fn add(&mut self, row: NightRow) -> Result<(), FrameError> {
        self.held.push(row);
        if self.held.len() * self.cases.len() >= GROUP {
            self.flush()?;
        }
        Ok(())
    }

    /// Ends the frame and gives back what it was written to.
    ///
    /// # Errors
    /// What kept the rest from being written.
    pub fn finish(mut self) -> Result<W, FrameError> {
        if !self.held.is_empty() {
            self.flush()?;
        }
        Ok(self.writer.into_inner()?)
    }

    fn flush(&mut self) -> Result<(), ParquetError> {
        let nights = std::mem::take(&mut self.held);
        let rows: Vec<(&NightRow, usize, &CaseRow)> = nights
            .iter()
            .flat_map(|night| night.cases.iter().enumerate().map(move |(index, case)| (night, index, case)))
            .collect();
        let mut group = self.writer.next_row_group()?;
        let numbers: Vec<i64> = rows.iter().map(|(night, ..)| night.number as i64).collect();
        whole::<Int64Type>(&mut group, &numbers)?;
        let cases: Vec<ByteArray> = rows.iter().map(|(_, index, _)| self.cases[*index].clone()).collect();
        whole::<ByteArrayType>(&mut group, &cases)?;
        for (_, count) in COUNTS {
            let counts: Vec<i32> = rows.iter().map(|(.., case)| count(case) as i32).collect();
            whole::<Int32Type>(&mut group, &counts)?;
        }
        for (_, _, figure) in FIGURES {
            some(&mut group, rows.iter().map(|(.., case)| figure(case)))?;
        }
        for place in 0..self.inputs {
            let value = |night: &NightRow| Some(night.inputs[place]).filter(|value| value.is_finite());
            some(&mut group, rows.iter().map(|(night, ..)| value(night)))?;
        }
        group.close()?;
        Ok(())
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
    for (name, ..) in FIGURES {
        text += &format!(" OPTIONAL DOUBLE {name};");
    }
    for (key, _) in &about.inputs {
        text += &format!(" OPTIONAL DOUBLE {};", column_of(key));
    }
    text + " }"
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

fn whole<T: DataType>(
    group: &mut SerializedRowGroupWriter<'_, impl Write + Send>,
    values: &[T::T],
) -> Result<(), ParquetError> {
    written::<T>(group, values, None)
}

/// A column some of whose values are missing.
fn some(
    group: &mut SerializedRowGroupWriter<'_, impl Write + Send>,
    values: impl Iterator<Item = Option<f64>>,
) -> Result<(), ParquetError> {
    let (mut there, mut levels) = (Vec::new(), Vec::new());
    for value in values {
        levels.push(i16::from(value.is_some()));
        there.extend(value);
    }
    written::<DoubleType>(group, &there, Some(&levels))
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
