//! `samples.csv`: its columns, its bytes, and another reader's view of them.

mod common;

use common::{empty, eventful, holds_golden};
use report::samples_csv;

const COLUMNS: &str = "dwell,target,utc,target_azimuth_deg,target_altitude_deg,boresight_azimuth_deg,\
                       boresight_altitude_deg,error_east_arcsec,error_north_arcsec,";

#[test]
fn the_bytes_are_those_of_the_golden_file() {
    holds_golden("eventful.csv", &samples_csv(&eventful()));
}

#[test]
fn a_night_without_dwells_has_the_columns_alone() {
    let expected =
        format!("{COLUMNS}azimuth_dial_deg,altitude_dial_deg,azimuth_axis_deg,altitude_axis_deg\n");
    assert_eq!(samples_csv(&empty()), expected);
}

#[test]
fn a_general_reader_reads_what_was_measured() {
    let outcome = eventful();
    let text = samples_csv(&outcome);
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let header = reader.headers().unwrap().iter().collect::<Vec<_>>().join(",");
    assert_eq!(
        header,
        format!("{COLUMNS}hour_dial_deg,declination_dial_deg,hour_axis_deg,declination_axis_deg")
    );
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), outcome.samples.len());
    for (row, sample) in rows.iter().zip(&outcome.samples) {
        let number = |column: usize| row[column].parse::<f64>().unwrap();
        assert_eq!((&row[0], &row[1]), ("0", "M 42, \"the sword\""));
        assert_eq!(row[2], bench::utc_text(sample.at, 6).unwrap());
        // Half of the last printed digit, and a little for the reading.
        assert!((number(3) - sample.target.0.degrees()).abs() < 0.500_1e-8);
        assert!((number(6) - sample.boresight.1.degrees()).abs() < 0.500_1e-8);
        assert!((number(7) - sample.error_east.arcsec()).abs() < 0.500_1e-4);
        assert!((number(12) - sample.axes.1.degrees()).abs() < 0.500_1e-8);
    }
}
